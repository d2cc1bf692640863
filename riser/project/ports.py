# SPDX-License-Identifier: Apache-2.0
"""Ports: a run enters a node by a port that such a node has, and names it where there is a choice."""

from __future__ import annotations

import numpy as np
import pandas as pd

from riser.network.kinds import KINDS, PORTS
from riser.project.faults import did_you_mean
from riser.project.known_ids import KnownIds, joined_keys
from riser.project.typed import TypedTable


def check_ports(known: KnownIds) -> None:
    """A fault for each end of a run whose port its node does not have, or that leaves a choice open."""
    runs = known.readable("runs", "run")
    if runs is None or not known.nodes_whole:
        return
    for end in ("from", "to"):
        if runs.usable(end, f"{end}_port"):
            _check_end(known, runs, end, f"{end}_port")


def _check_end(known: KnownIds, runs: TypedTable, end: str, port: str) -> None:
    frame = runs.frame
    keys = joined_keys(frame["type"], frame["revision"], frame[end])
    kinds = pd.Series(keys, dtype=object).map(known.kind_of_node).fillna("").to_numpy(object)
    codes, distinct = pd.MultiIndex.from_arrays([kinds, frame[port].to_numpy(object)]).factorize()
    cells = runs.cells(port)
    for number, (kind, name) in enumerate(distinct):
        if kind not in KINDS or _fits(kind, name):
            continue
        listed = ", ".join(PORTS[kind]) or "none"
        remedy = did_you_mean(name, PORTS[kind], "Name the port the run enters.")
        expected = f"a port of a {kind}: {listed}"
        known.faults.add_rows(cells.places, np.asarray(codes == number), port, cells.values, expected, remedy)


def _fits(kind: str, port: str) -> bool:
    return port in PORTS[kind] if port else KINDS[kind].blank
