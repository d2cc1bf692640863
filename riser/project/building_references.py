# SPDX-License-Identifier: Apache-2.0
"""References to floors and shafts, which have a name only within their building."""

from __future__ import annotations

import numpy as np

from riser.project.columns import Refers
from riser.project.known_ids import KnownIds, filled, is_among, joined_keys, part_names
from riser.project.text_table import Texts
from riser.project.typed import TypedTable

_OTHER = "Name one of that building."


def follow_floor(known: KnownIds, table: TypedTable, column: str) -> None:
    """A floor of the building of the same row; of any building where the row names none."""
    floors = known.readable("floors", "building", "floor")
    if floors is None or not table.usable("building"):
        return
    frame = table.frame
    building, floor = frame["building"].to_numpy(object), frame[column].to_numpy(object)
    home_known = is_among(building, floors.frame["building"])
    there = is_among(
        joined_keys(building, floor), joined_keys(floors.frame["building"], floors.frame["floor"])
    )
    anywhere = is_among(floor, floors.frame["floor"])
    bad = filled(floor) & ((home_known & ~there) | (~filled(building) & ~anywhere))
    same_building = is_among(floors.frame["building"], building[bad])
    near = floors.frame["floor"][same_building] if same_building.any() else floors.frame["floor"]
    known.blame(table, column, bad, Refers.FLOOR.value, near.unique())


def follow_bare_floor(known: KnownIds, table: TypedTable, column: str) -> None:
    """A floor without a building column: the building is that of the parts of the row's joint."""
    floors = known.readable("floors", "building", "floor")
    if floors is None:
        return
    values = table.cells(column).values
    exists = is_among(values, floors.frame["floor"])
    known.blame(
        table, column, filled(values) & ~exists, Refers.BARE_FLOOR.value, floors.frame["floor"].unique()
    )
    if not (table.usable("stub_a", "stub_b") and exists.any()):
        return
    there = joined_keys(floors.frame["building"], floors.frame["floor"])
    a, b = (_buildings(known, table.cells(stub).values) for stub in ("stub_a", "stub_b"))
    has_a, has_b = (exists & is_among(joined_keys(building, values), there) for building in (a, b))
    strange = exists & (filled(a) | filled(b)) & ~has_a & ~has_b
    known.blame(table, column, strange, "a floor of the building of the joint's parts", (), _OTHER)
    for first, second in sorted(set(zip(a, b, strict=True))):
        if first != second:
            doubtful = has_a & has_b & (a == first) & (b == second)
            expected = f"a floor of one building; {first} and {second} may be meant"
            known.blame(table, column, doubtful, expected, (), "Leave it empty, or split the joint.")


def _buildings(known: KnownIds, values: Texts) -> Texts:
    """The building of the part of each `PART/NODE`, "" where it is not known."""
    return np.array([known.building_of_part.get(part, "") for part in part_names(values)], dtype=object)


def follow_shaft(known: KnownIds, table: TypedTable, column: str) -> None:
    """A shaft of the building in which the part of `through` stands."""
    shafts = known.readable("shafts", "shaft", "building")
    if shafts is None:
        return
    values = table.cells(column).values
    exists = is_among(values, shafts.frame["shaft"])
    known.blame(table, column, filled(values) & ~exists, Refers.SHAFT.value, shafts.frame["shaft"])
    if not table.usable("through"):
        return
    building = _buildings(known, table.cells("through").values)
    there = joined_keys(shafts.frame["building"], shafts.frame["shaft"])
    buildings = known.names("floors", "building")
    home_known = filled(building) if buildings is None else is_among(building, buildings)
    elsewhere = exists & home_known & ~is_among(joined_keys(building, values), there)
    known.blame(table, column, elsewhere, "a shaft of the building in which `through` stands", (), _OTHER)
