# SPDX-License-Identifier: Apache-2.0
"""Look-ups: on a row, between rows, beyond the last row, and in bulk."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riser.audit import Assumed, Given, replay_differences
from riser.errors import NotInRules
from riser.rules import (
    Table,
    bracket_derived,
    exact_derived,
    first_not_less_derived,
    last_not_more_derived,
    linear_derived,
)
from riser.rules.table_reading import Edition, RawRow, RawTable, read_table

INCH, FOOT = 0.0254, 0.3048
EDITION = Edition("invented_2020", "Invented Code", "2020")


def made(head: dict[str, object], rows: list[dict[str, object]]) -> Table:
    known = {"source": "invented for a test", **head}
    raw = RawTable("t.toml", "t", known, tuple(RawRow({"status": "read", **r}) for r in rows))
    return read_table(raw, EDITION)


DRAINS = made(
    {
        "clause": "Table 1",
        "key": ["fall", "size"],
        "lookup": "first_row_not_less",
        "columns": {"fall": "in/ft", "size": "in", "load": "dfu", "venting": "dfu"},
        "beyond": "by engineering design",
    },
    [
        {"fall": "1/8", "size": 3, "load": 36},
        {"fall": "1/8", "size": 4, "load": 180, "venting": 10},
        {"fall": "1/4", "size": 2, "load": 21},
        {"fall": "1/4", "size": 3, "load": 42},
    ],
)
DEMAND = made(
    {
        "clause": "Table 2",
        "key": "load",
        "lookup": "linear",
        "columns": {"load": "wsfu", "a": "gpm", "b": "gpm"},
    },
    [{"load": 1, "a": 3}, {"load": 5, "a": 9.4, "b": 15}, {"load": 10, "a": 14.6, "b": 27}],
)
FALLS = made(
    {
        "clause": "Table 3",
        "key": ["from", "to"],
        "lookup": "bracket",
        "columns": {"from": "in", "to": "in", "fall": "in/ft"},
    },
    [{"to": "2-1/2", "fall": "1/4"}, {"from": 3, "to": 6, "fall": "1/8"}, {"from": 6, "fall": "1/16"}],
)


def figure(name: str, value: float, unit: str = "dfu") -> Given:
    return Given(name, value, unit, Assumed("a test"))


def test_a_value_equal_to_a_row_takes_that_row() -> None:
    assert DRAINS.first_not_less("load", 36.0, fall=1 / 96).row.label == "1/8 in/ft, 3 in"


def test_a_value_just_above_a_row_takes_the_next_and_names_the_row_passed_over() -> None:
    found = DRAINS.first_not_less("load", 36.0000001, fall=1 / 96)
    assert found.row.label == "1/8 in/ft, 4 in"
    assert [(r.what, r.why) for r in found.rejected] == [("1/8 in/ft, 3 in: 36 dfu", "less than 36 dfu")]


def test_beyond_the_last_row_the_sentence_says_what_the_code_says() -> None:
    with pytest.raises(
        NotInRules, match=r"Invented Code 2020, Table 1: .*no row is as large; by engineering"
    ):
        DRAINS.first_not_less("load", 181.0, fall=1 / 96)


def test_a_row_without_a_figure_is_passed_over_and_said_so() -> None:
    found = DRAINS.first_not_less("venting", 5.0, fall=1 / 96)
    assert found.row.label == "1/8 in/ft, 4 in"
    assert found.rejected[0].why == "prints no figure for venting"


def test_a_size_worked_out_from_its_parts_finds_its_row() -> None:
    assert DRAINS.exact(fall=0.125 / 12, size=0.1 * INCH * 40).number("load") == 180.0


def test_a_key_that_is_not_printed_is_not_in_the_rules() -> None:
    with pytest.raises(NotInRules, match=r"has no row with fall 0.02 m/m"):
        DRAINS.first_not_less("load", 1.0, fall=0.02)


def test_a_missing_figure_is_never_a_zero() -> None:
    with pytest.raises(NotInRules, match="no figure is printed for venting"):
        DRAINS.exact(fall=1 / 96, size=3 * INCH).number("venting")


def test_the_steepest_fall_not_above_the_drawn_one_is_found() -> None:
    assert DRAINS.last_not_more("fall", 1 / 50).row.cell("fall").printed == "1/8 in/ft"
    assert DRAINS.last_not_more("fall", 1 / 48).row.cell("fall").printed == "1/4 in/ft"
    with pytest.raises(NotInRules, match="every row is larger"):
        DRAINS.last_not_more("fall", 0.01)


def test_a_range_holds_its_bounds_and_a_gap_between_ranges_is_a_gap() -> None:
    assert FALLS.bracket(2.5 * INCH).row.cell("fall").printed == "1/4 in/ft"
    assert FALLS.bracket(3 * INCH).row.cell("fall").printed == "1/8 in/ft"
    assert FALLS.bracket(6 * INCH).row.cell("fall").printed == "1/8 in/ft"
    assert FALLS.bracket(15 * INCH).row.cell("fall").printed == "1/16 in/ft"
    with pytest.raises(NotInRules, match="no range holds it"):
        FALLS.bracket(2.75 * INCH)


def test_straight_between_two_rows_and_exactly_on_one() -> None:
    between = DEMAND.linear("load", 7.0, "b")
    assert math.isclose(between.figure, si_gpm(15 + 2 / 5 * 12), rel_tol=1e-12)
    on_row = DEMAND.linear("load", 5.0, "b")
    assert on_row.low is on_row.high
    assert on_row.figure == DEMAND.exact(load=5.0).number("b")


@pytest.mark.parametrize("load", [0.0, 4.9, 10.1])
def test_no_interpolation_outside_the_rows_that_print_the_column(load: float) -> None:
    with pytest.raises(NotInRules, match="outside the rows printed"):
        DEMAND.linear("load", load, "b")


def test_a_table_is_only_read_the_way_it_is_meant() -> None:
    with pytest.raises(ValueError, match="read by first_row_not_less, not by linear"):
        DRAINS.linear("load", 5.0, "size")
    with pytest.raises(ValueError, match="has no column slope"):
        DRAINS.exact(slope=1.0)
    with pytest.raises(ValueError, match="fits 2 rows"):
        DRAINS.exact(fall=1 / 96)


def test_the_derivation_of_a_look_up_keeps_cells_and_rows_passed_over() -> None:
    node = first_not_less_derived("size", DRAINS, "size", "load", figure("load of D1", 40.0), fall=1 / 96)
    assert (node.value, node.unit, node.basis) == (4 * INCH, "m", "Invented Code 2020, Table 1")
    assert node.formula == "size of the first row with fall 1/8 in/ft whose load is not less than load of D1"
    assert [child.name for child in node.inputs] == ["load of D1", "t load", "t size"]
    assert node.rejected[0].what == "1/8 in/ft, 3 in: 36 dfu"


def test_the_derivation_of_an_interpolation_replays_from_its_own_text() -> None:
    node = linear_derived("demand", DEMAND, "a", "load", figure("load", 3.3, "wsfu"))
    assert replay_differences(node) == []
    assert node.value == DEMAND.linear("load", 3.3, "a").figure
    assert linear_derived("demand", DEMAND, "a", "load", figure("load", 5.0, "wsfu")).symbols == ()


def test_the_other_derivations_name_row_and_reason() -> None:
    fall = last_not_more_derived("fall", DRAINS, "fall", "fall", figure("drawn fall", 1 / 50, "m/m"))
    assert fall.value == 1 / 96
    least = bracket_derived("least fall", FALLS, "fall", figure("size of D1", 4 * INCH, "m"))
    assert least.formula == "fall of the row whose range holds size of D1"
    keys = {"fall": figure("fall", 1 / 96, "m/m"), "size": figure("size", 3 * INCH, "m")}
    found = exact_derived("allowed", DRAINS, "load", {**keys})
    assert found.formula == "load of the row with fall = 1/8 in/ft, size = 3 in"
    assert found.value == 36.0


@settings(max_examples=50)
@given(st.lists(st.floats(0.0, 200.0), min_size=1, max_size=20))
def test_bulk_look_ups_find_the_same_rows(loads: list[float]) -> None:
    rows = DRAINS.select(fall=1 / 96)
    places = DRAINS.places_not_less("load", np.array(loads), fall=1 / 96)
    for load, place in zip(loads, places, strict=True):
        if place < 0:
            with pytest.raises(NotInRules):
                DRAINS.first_not_less("load", load, fall=1 / 96)
        else:
            assert DRAINS.first_not_less("load", load, fall=1 / 96).row == rows[place]


@settings(max_examples=50)
@given(st.lists(st.floats(0.0, 12.0), min_size=1, max_size=20))
def test_bulk_interpolation_agrees_with_single_interpolation(loads: list[float]) -> None:
    found = DEMAND.linear_many("load", np.array(loads), "a")
    for load, bulk in zip(loads, found, strict=True):
        if 1 <= load <= 10:
            assert math.isclose(bulk, DEMAND.linear("load", load, "a").figure, rel_tol=1e-12)
        else:
            assert math.isnan(bulk)


def test_columns_are_arrays_in_printed_order() -> None:
    venting = DRAINS.column("venting", fall=1 / 96)
    assert math.isnan(venting[0])
    assert venting[1] == 10.0
    assert DRAINS.distinct("fall") == (1 / 96, 1 / 48)


def si_gpm(gpm: float) -> float:
    """US gallons per minute in m3/s by definition: 231 cubic inches a gallon."""
    return gpm * 231 * INCH**3 / 60
