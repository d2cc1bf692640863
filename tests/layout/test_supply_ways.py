# SPDX-License-Identifier: Apache-2.0
"""S01 and S02: drinking water kept apart, and every connection fed."""

from __future__ import annotations

from typing import Any

import pytest


def test_two_waters_in_one_pipe_are_told_where_they_meet(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.runs("MX", "C5 non_potable C1.branch WC.non_potable CU15")
    (finding,) = house.found()
    assert finding.key == "S01:M02-1/C1"
    assert finding.says == "At M02-1/C1 cold and non-potable meet in one pipe."
    assert finding.basis == "Code X 1, clause potable_protected"
    assert finding.severity == "error"
    assert finding.because is None


def test_waters_that_meet_only_in_a_fixture_are_apart(house: Any) -> None:
    _rainwater_to_closet(house, "mains_connection")
    assert house.found() == []


def _rainwater_to_closet(house: Any, source: str) -> None:
    """The closet of M01-1 on non-potable water from the foundation."""
    house.variant("M01-1", "MX")
    house.nodes("MX", "N1 stub 1.2 0.7 0.05 down CU22 non_potable")
    house.drop("runs", type="MX", run="C5")
    house.runs("MX", "C4 cold CV.out C1.a CU22\nN1 non_potable N1 WC.non_potable CU15")
    house.nodes("BG", f"N1 stub 1.2 0.7 0.13 up CU22 non_potable\nNS {source} 1.2 0.7 -0.3")
    house.runs("BG", "N1 non_potable NS N1 CU22")
    house.joint("JN", "BG/N1", "M01-1/N1")


@pytest.mark.parametrize("kind", ["valve", "check_valve", "meter", "strainer"])
def test_a_device_that_does_not_part_waters_ties_them(house: Any, kind: str) -> None:
    _feed_through(house, kind, "in", "out")
    (finding,) = house.found("S01")
    assert finding.key == "S01:BG/PR"
    assert finding.says == (
        f"The {kind.replace('_', ' ')} BG/PR leads from cold to non-potable and does not part them."
    )


def test_a_backflow_preventer_and_a_tank_part_waters(house: Any) -> None:
    _feed_through(house, "backflow_preventer", "in", "out")
    assert house.found("S01") == []
    house.nodes("BG", "PR tank -2.0 0.9 -0.5")
    assert house.found("S01") == []


@pytest.mark.parametrize("kind", ["backflow_preventer", "tank"])
def test_standing_the_wrong_way_round_they_do_not(house: Any, kind: str) -> None:
    _feed_through(house, kind, "out", "in")
    (finding,) = house.found("S01")
    assert finding.key == "S01:BG/PR"
    assert "leads from non-potable to cold and does not part them: it protects the other way" in finding.says


def test_both_waters_may_fill_a_tank_that_feeds_none_to_drink(house: Any) -> None:
    _feed_through(house, "tank", "in", "out")
    house.nodes("BG", "RW mains_connection -3.0 2.0 -0.5")
    house.runs("BG", "X3 non_potable RW PR.in_2 CU22")
    assert house.found("S01") == []
    house.change("runs", {"type": "BG", "run": "X2"}, system="cold")
    (finding,) = house.found("S01")
    assert finding.key == "S01:BG/PR"


def _feed_through(house: Any, kind: str, cold_port: str, other_port: str) -> None:
    """A branch from the cold main through a device to a garden tap on non-potable water."""
    house.nodes("BG", f"PR {kind} -2.0 0.9 -0.5\nGT fixture -2.0 3.0 0.5 tap")
    house.runs(
        "BG", f"X1 cold MT.branch_2 PR.{cold_port} CU22\nX2 non_potable PR.{other_port} GT.non_potable CU22"
    )


def test_fire_water_and_drains_are_other_water_too(house: Any) -> None:
    house.nodes("BG", "FT tee -2.5 0.5 -0.6")
    house.runs("BG", "X1 fire MT.branch_2 FT.branch CU22\nF1 fire FI FT.a ST100 via -3.0 0.5 -0.60")
    house.runs("BG", "F9 fire FT.b FRT1.a ST100")
    assert [f.says for f in house.found("S01")] == ["At BG/MT cold and fire meet in one pipe."]


def test_a_joint_that_ties_two_waters_is_told_because_of_the_joint(house: Any) -> None:
    house.variant("R1", "RX")
    house.change("nodes", {"type": "RX", "node": "CW1"}, system="non_potable")
    house.change("runs", {"type": "RX", "run": "C1"}, system="non_potable")
    (finding,) = house.found("S01")
    assert finding.key == "S01:J1-CW4"
    assert finding.says == "Joint J1-CW4 ties cold (M03-1/CW2) to non-potable (R1/CW1)."
    assert finding.because == "J08:J1-CW4"


def test_hot_and_cold_are_both_drinking_water(house: Any) -> None:
    house.nodes("BG", "MX valve -2.0 0.7 -0.5")
    house.runs("BG", "X1 cold MT.branch_2 MX.in CU22\nX2 hot MX.out HX.out CU22")
    assert house.found("S01") == []


def test_whether_waters_are_kept_apart_is_told_where_no_rule_settles_it(house: Any, with_rules: Any) -> None:
    _feed_through(house, "valve", "in", "out")
    found = house.found(rules=with_rules(left_out=("potable_protected",)))
    assert [f.key for f in found] == ["M03:code_x:potable_protected"]


def test_connections_behind_a_joint_that_cannot_be_made_follow_from_it(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.nodes("MX", "CW1 stub 0.8 0.5 0.05 down CU42 cold")
    found = house.found("S02")
    assert len(found) == 6
    assert {f.because for f in found} == {"J03:J1-CW2"}
    assert found[0].says == ("M02-1/WC cold has no way to a source: joint J1-CW2 on that way cannot be made.")


def test_a_missing_main_is_one_fault(house: Any) -> None:
    house.drop("runs", type="BG", run="M5")
    (finding,) = [f for f in house.found() if f.because is None]
    assert finding.key == "S02:BG/CWT2:M01-2/C5"
    assert finding.says.startswith("9 connections (M01-2/BA cold, M01-2/SH cold, M01-2/WC cold,")


def test_the_hot_side_needs_a_source_of_its_own(house: Any) -> None:
    house.drop("runs", type="BG", run="M3")
    found = [f for f in house.found("S02") if f.because is None]
    assert len(found) == 1
    assert "M01-1/BA hot" in found[0].says


def test_a_fixture_without_a_pipe_it_needs_is_told(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.drop("runs", type="MX", run="C5")
    (finding,) = house.found("S02")
    assert finding.key == "S02:M02-1/WC"
    assert finding.says == "M02-1/WC has no pipe for cold or non-potable."


def test_a_service_that_one_of_two_pipes_gives_is_there(house: Any) -> None:
    # A shower may have cold or hot; a bath needs both.
    house.variant("M02-1", "MX")
    house.drop("runs", type="MX", run="C8")
    assert house.found("S02") == []
    house.nodes("MX", "SH fixture 1.5 0.9 0.61 bath")
    assert [f.says for f in house.found("S02")] == ["M02-1/SH has no pipe for cold."]
