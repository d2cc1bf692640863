# SPDX-License-Identifier: Apache-2.0
"""UPC figures against a copy of published values made apart from the rule set; none of this edition."""

from __future__ import annotations

import math

import pytest

from riser.audit import Status
from riser.errors import NotInRules
from riser.rules import load_set

UPC, IPC = load_set("upc_2021"), load_set("ipc_2021")
INCH, FOOT, PSI = 0.0254, 0.3048, 6894.757293168361


def test_nothing_claims_to_have_been_read_in_this_edition() -> None:
    assert UPC.certainty()[Status.READ] == 0


# kingcounty.gov, drainage and venting fixture unit values, UPC Table 702.1
@pytest.mark.parametrize(
    ("fixture", "units", "trap"),
    [
        ("lavatory", 1, 1.25),
        ("bathtub, with or without shower", 2, 1.5),
        ("clothes washer, domestic, 2 in standpipe", 3, 2),
        ("shower stall", 2, 2),
        ("kitchen sink, domestic, with or without disposer or dishwasher", 2, 1.5),
        ("water closet, 1.6 gpf gravity tank, private", 3, 3),
    ],
)
def test_drainage_fixture_units(fixture: str, units: float, trap: float) -> None:
    row = UPC.table("drainage_fixture_units").exact(fixture=fixture)
    assert row.number("fixture_units") == units
    assert math.isclose(row.number("trap"), trap * INCH)


def test_a_clothes_washer_weighs_more_than_under_the_ipc() -> None:
    """3 under UPC 702.1 (kingcounty.gov), 2 under IPC 709.1."""
    upc, ipc = (s.fixture_row("clothes_washer", "private").row("drainage_fixture_units") for s in (UPC, IPC))
    assert (upc.number("fixture_units"), ipc.number("fixture_units")) == (3.0, 2.0)


# the same page, UPC Table 703.2; 6 in from memory
@pytest.mark.parametrize(
    ("size", "vertical", "horizontal", "vertical_ft", "vent", "vent_ft"),
    [
        (1.25, 1, 1, 45, 1, 45),
        (2, 16, 8, 85, 24, 120),
        (3, 48, 35, 212, 84, 212),
        (4, 256, 216, 300, 256, 300),
        (6, 1380, 720, 510, 1380, 510),
    ],
)
def test_loads_and_lengths(
    size: float, vertical: int, horizontal: int, vertical_ft: int, vent: int, vent_ft: int
) -> None:
    row = UPC.table("loads_and_lengths").exact(size=size * INCH)
    found = [row.number(c) for c in ("vertical", "horizontal", "vent")]
    assert found == [vertical, horizontal, vent]
    assert math.isclose(row.number("vertical_length"), vertical_ft * FOOT)
    assert math.isclose(row.number("vent_length"), vent_ft * FOOT)


def test_the_largest_pipes_print_no_length() -> None:
    with pytest.raises(NotInRules):
        UPC.table("loads_and_lengths").exact(size=10 * INCH).cell("vent_length")


# WAC 51-56-0700: 3 closets on a horizontal and 4 on a vertical pipe of 3 in
def test_closets_on_three_inches() -> None:
    assert UPC.limit("closets_on_3_in_horizontal").number == 3
    assert UPC.limit("closets_on_3_in_vertical").number == 4


# boulderlibrary.net, a calculations manual, Zone One
@pytest.mark.parametrize(("size", "distance"), [(1.25, 2.5), (1.5, 3.5), (2, 5), (3, 6), (4, 10)])
def test_trap_to_vent(size: float, distance: float) -> None:
    cell = UPC.table("trap_to_vent").exact(size=size * INCH).cell("distance")
    assert math.isclose(cell.number, distance * FOOT)


def test_trap_arms_are_shorter_than_under_the_ipc() -> None:
    for row in UPC.table("trap_to_vent").rows:
        assert row.number("distance") < IPC.table("trap_to_vent").exact(size=row.number("size")).number(
            "distance"
        )


# ru.scribd.com/document/371322279, a Los Angeles sizing worksheet of 2011
@pytest.mark.parametrize(
    ("fixture", "use", "units"),
    [
        ("bathtub", "any", 4),
        ("lavatory", "any", 1),
        ("water closet, tank", "any", 2.5),
        ("clothes washer", "any", 4),
        ("service or mop sink", "private", 1.5),
        ("service or mop sink", "public", 3),
        ("hose bibb, first", "any", 2.5),
    ],
)
def test_supply_fixture_units(fixture: str, use: str, units: float) -> None:
    assert UPC.table("supply_fixture_units").exact(fixture=fixture, use=use).number("total") == units


def test_published_sum_of_supply_fixture_units() -> None:
    """Worked example by the UPC of 2009 at terrylove.com: 29.0 units.

    A bathtub, 2 washers, a dishwasher, 2 hose bibbs, 2 lavatories, 2 kitchen sinks, a shower and 2 closets.
    """
    table = UPC.table("supply_fixture_units")
    counted = {
        "bathtub": 1,
        "clothes washer": 2,
        "dishwasher": 1,
        "hose bibb, first": 1,
        "hose bibb, each additional": 1,
        "lavatory": 2,
        "kitchen sink": 2,
        "shower": 1,
        "water closet, tank": 2,
    }
    total = sum(n * table.exact(fixture=name).number("total") for name, n in counted.items())
    assert total == 29.0


# the same worksheet: flushometer closets 40, 70, 90, 105 for one to four, urinals 20, 35, 45, 53
@pytest.mark.parametrize(
    ("fixture", "sums"), [("water closet", [40, 70, 90, 105, 115]), ("urinal", [20, 35, 45, 53, 58])]
)
def test_flushometer_units_of_the_first_five(fixture: str, sums: list[int]) -> None:
    table = UPC.table("flushometer_units")
    adds = [table.bracket(float(n), fixture=fixture).row.number("adds") for n in range(1, 6)]
    assert [sum(adds[: n + 1]) for n in range(5)] == sums


def test_drain_and_supply_tests_from_memory() -> None:
    """UPC 712.2: 10 ft for 15 min; 712.3: 5 psi for 15 min; 609.4: working pressure, or 50 psi of air."""
    tests = UPC.table("tests")
    assert math.isclose(tests.exact(test="drain_water", stage=1.0).number("head"), 10 * FOOT)
    air = tests.exact(test="drain_air", stage=1.0)
    assert math.isclose(air.number("pressure"), 5 * PSI)
    assert air.number("hold") == 900.0
    assert math.isclose(tests.exact(test="supply_air", stage=1.0).number("pressure"), 50 * PSI)


def test_air_in_plastic_is_barred_although_a_reading_of_the_code_has_no_ban() -> None:
    """2022 California 712.3 prints no ban (thebuildingcodeforum.com); the safe side is used."""
    cell = UPC.table("tests").exact(test="drain_air", stage=1.0).cell("on_plastic")
    assert (cell.required, cell.status) == (False, Status.CONFLICT)


def test_pipes_cannot_be_sized_by_a_procedure_made_for_another_code() -> None:
    assert not UPC.has("procedure")
    assert not UPC.has("branches_and_stacks")
