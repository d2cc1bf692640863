# SPDX-License-Identifier: Apache-2.0
"""Following references: every id that names something in another table must find it there.

Tables that are absent or could not be read are not asked: their own fault or note is enough.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

import pandas as pd

from riser.project import building_references, node_references
from riser.project.columns import Refers
from riser.project.faults import Faults
from riser.project.known_ids import KnownIds, filled, is_among, joined_keys
from riser.project.ports import check_ports
from riser.project.typed import TypedTable

_SIMPLE = {
    Refers.BUILDING: ("floors", "building"),
    Refers.PIPE: ("pipes", "pipe"),
    Refers.FAMILY: ("couplings", "family"),
    Refers.TYPE: ("types", "type"),
    Refers.CURVE: ("curves", "curve"),
    Refers.JOINT: ("joints", "joint"),
}


def follow_references(
    typed: Mapping[str, TypedTable], absent: Iterable[str], broken: Iterable[str], faults: Faults
) -> None:
    """A fault for every reference that finds nothing, and for every port that its node does not have."""
    known = KnownIds(typed, frozenset(absent), frozenset(broken), faults)
    for table in typed.values():
        for column in table.table.columns:
            if column.refers in _SIMPLE and table.usable(column.name):
                _follow_id(known, table, column.name, column.refers)
            elif column.refers is not None and table.usable(column.name):
                _RULES[column.refers](known, table, column.name)
    check_ports(known)


def _follow_id(known: KnownIds, table: TypedTable, column: str, refers: Refers) -> None:
    """An id of another table."""
    names = known.names(*_SIMPLE[refers])
    if names is None:
        # Make-ups say nothing without their joints; everything else can wait for its table.
        if refers is not Refers.JOINT or "joints" not in known.absent:
            return
        names = pd.Index([], dtype=object)
    values = table.cells(column).values
    known.blame(table, column, filled(values) & ~is_among(values, names), refers.value, names)


def _follow_revision(known: KnownIds, table: TypedTable, column: str) -> None:
    """A revision of the type named in the same row."""
    types = known.readable("types", "type", "revision")
    if types is None or not table.usable("type"):
        return
    frame = table.frame
    there = joined_keys(types.frame["type"], types.frame["revision"])
    type_known = is_among(frame["type"], types.frame["type"])
    bad = type_known & filled(frame[column].to_numpy(object))
    bad &= ~is_among(joined_keys(frame["type"], frame[column]), there)
    known.blame(table, column, bad, Refers.REVISION.value, types.frame["revision"])


_RULES: dict[Refers, Callable[[KnownIds, TypedTable, str], object]] = {
    Refers.REVISION: _follow_revision,
    Refers.FLOOR: building_references.follow_floor,
    Refers.BARE_FLOOR: building_references.follow_bare_floor,
    Refers.SHAFT: building_references.follow_shaft,
    Refers.NODE_OF_TYPE: node_references.follow_node_of_type,
    Refers.STUB: node_references.follow_stub,
    Refers.NODE: node_references.follow_node,
    Refers.FIXTURE: node_references.follow_fixture,
    Refers.SERVED: node_references.follow_served,
}
