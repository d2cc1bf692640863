# SPDX-License-Identifier: Apache-2.0
"""Inside connections: made within one part, in the factory or below the slab."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from riser.network.placing import Placed
from riser.network.types import Floats, Ints, Texts


@dataclass(frozen=True)
class InsideConnections:
    """Every connection within a part, `PART/RUN.from` or `PART/RUN.to`: run, node, family and place [m]."""

    id: Texts
    part: Ints
    run: Ints
    node: Ints
    family: Texts
    xyz_m: Floats


def inside_connections(placed: Placed) -> InsideConnections:
    """All inside connections of all parts, in the order of parts and runs."""
    runs = placed.types.runs
    rows = []
    for column, end in (("joined_from", "from"), ("joined_to", "to")):
        family = runs[column].to_numpy(object)[placed.run_type]
        made = np.flatnonzero(family != "").astype(np.int32)
        rows.append((made, family[made], end))
    run = np.concatenate([row[0] for row in rows])
    family = np.concatenate([row[1] for row in rows])
    at_start = np.concatenate([np.full(len(row[0]), row[2] == "from") for row in rows])
    order = np.lexsort((~at_start, run))
    run, family, at_start = run[order], family[order], at_start[order]
    point = np.where(at_start, placed.run_from_point[run], placed.run_to_point[run])
    node = placed.point_node[point]
    names = [
        f"{placed.run_id(r)}.{'from' if s else 'to'}"
        for r, s in zip(run.tolist(), at_start.tolist(), strict=True)
    ]
    return InsideConnections(
        id=np.array(names, dtype=object),
        part=placed.run_part[run],
        run=run,
        node=node,
        family=family,
        xyz_m=placed.node_xyz_m[node],
    )
