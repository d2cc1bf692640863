# SPDX-License-Identifier: Apache-2.0
"""The straight pieces of runs between their corners, as they lie in the building."""

from __future__ import annotations

import numpy as np

from riser.network.placing import Placed
from riser.network.types import Floats, Ints


def straights(placed: Placed, runs: Ints) -> tuple[Ints, Floats, Floats]:
    """Every straight of these runs, in order along each: its run, and both its ends [m], shape (n, 3)."""
    types = placed.types
    counts = np.bincount(types.segment_run, minlength=len(types.runs))
    first = np.cumsum(counts) - counts
    kind = placed.run_type[runs]
    owner = np.repeat(np.arange(len(runs)), counts[kind])
    within = np.arange(len(owner)) - np.repeat(np.cumsum(counts[kind]) - counts[kind], counts[kind])
    straight = first[kind][owner] + within
    part = placed.run_part[runs[owner]]
    ends = (types.segment_start_m[straight], types.segment_end_m[straight])
    start_m, end_m = (placed.in_world(xyz_m, part) for xyz_m in ends)
    return runs[owner], start_m, end_m
