# SPDX-License-Identifier: Apache-2.0
"""F01 and F02: fire water on site and in the design."""

from __future__ import annotations

from typing import Any

import pytest

FLOORS = (("M01-1", "M01-2"), ("M02-1", "M02-2"), ("M03-1", "M03-2"))


def standing(floors: int) -> tuple[str, ...]:
    """The foundation and the modules of so many floors."""
    return ("BG", *(part for floor in FLOORS[:floors] for part in floor))


def test_a_riser_that_follows_the_building_is_in_order(house: Any) -> None:
    for floors in (1, 2, 3):
        assert house.found(standing=standing(floors)) == []


@pytest.mark.parametrize(("floors", "count"), [(2, 0), (3, 1)])
def test_a_riser_may_lag_one_floor_and_no_more(house: Any, floors: int, count: int) -> None:
    found = house.found("F01", standing=standing(floors), unmade=("J1-FR2",))
    assert len(found) == count


def test_a_joint_not_made_ends_the_riser_below_it(house: Any) -> None:
    (finding,) = house.found(standing=standing(3), unmade=("J1-FR2", "J1-FR3"))
    assert finding.key == "F01:M01-1/FR2"
    assert finding.says == (
        "The fire riser from BG/FRT1 is continuous from its inlet up to floor 01 (M01-1/FR2); "
        "joint J1-FR2 there "
        "is not made; modules stand up to floor 03: it lags 2 floors behind, 1 is the most."
    )
    assert finding.basis == "Code X 1, clause fire_riser_lag_floors"
    assert finding.because is None


def test_a_joint_that_cannot_be_made_is_the_cause(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.nodes("MX", "FR1 stub 0.3 0.5 0.05 down ST100 fire")
    (finding,) = house.found("F01", standing=standing(3))
    assert (finding.key, finding.because) == ("F01:M01-1/FR2", "J03:J1-FR2")


def test_a_riser_not_joined_to_its_inlet_reaches_no_floor(house: Any) -> None:
    (finding,) = house.found("F01", standing=standing(2), unmade=("J1-FR1",))
    assert finding.key == "F01:M01-1/FR1"
    assert "is not connected to its inlet at M01-1/FR1; joint J1-FR1 there is not made" in finding.says
    assert house.found("F01", standing=standing(1), unmade=("J1-FR1",)) == []


def test_each_riser_is_judged_by_itself(house: Any) -> None:
    found = house.found("F01", standing=standing(3), unmade=("J1-FR2", "J2-FR2"))
    assert {f.key for f in found} == {"F01:M01-1/FR2", "F01:M01-2/FR2"}


def test_the_design_check_has_no_lag(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.nodes("MX", "FR1 stub 0.3 0.5 0.05 down ST100 fire")
    assert house.found("F01") == []


def test_roof_plant_does_not_count_as_a_floor_with_modules(house: Any) -> None:
    # The riser of column 1 reaches floor 02; R2 stands on the roof, two floors higher.
    assert house.found("F01", standing=(*standing(3), "R2"), unmade=("J1-FR3",)) == []


def test_without_a_figure_the_lag_cannot_be_judged(house: Any, with_rules: Any) -> None:
    rules = with_rules(left_out=("fire_riser_lag_floors",))
    found = house.found(rules=rules, standing=standing(3), unmade=("J1-FR2",))
    assert [f.key for f in found] == ["M03:code_x:fire_riser_lag_floors"]


def test_outlets_that_no_pipe_feeds_are_one_fault(house: Any) -> None:
    house.drop("runs", type="BG", run="F2")
    (finding,) = house.found()
    assert finding.key == "F02:BG/FRT2:M01-2/F3"
    assert finding.says == (
        "4 fire outlets (M01-2/HO, M02-2/HO, M03-2/HO, R2/HO) on a piece of pipework without a way "
        "to a source; "
        "its lowest point is BG/FRT2."
    )


def test_outlets_behind_a_broken_joint_follow_from_it(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.nodes("MX", "FR1 stub 0.3 0.5 0.05 down ST100 fire")
    found = house.found("F02")
    assert {f.items[0] for f in found} == {"M02-1/F3", "M03-1/F3", "R1/F1"}
    assert {f.because for f in found} == {"J03:J1-FR2"}


def test_an_outlet_without_a_pipe_is_told(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.drop("runs", type="MX", run="F3")
    assert [f.says for f in house.found("F02")] == ["M02-1/HO has no pipe for fire water."]


def test_outlets_above_a_joint_still_to_be_made_are_not_told_on_site(house: Any) -> None:
    assert house.found("F02", standing=standing(3), unmade=("J1-FR2",)) == []
