# SPDX-License-Identifier: Apache-2.0
"""D09 and D10: stacks at their feet."""

from __future__ import annotations

from typing import Any

import pytest


def test_a_branch_that_joins_too_near_the_foot_is_told_with_its_distance(house: Any) -> None:
    house.nodes("BG", "T1 tee 0.5 1.2 -0.71")
    (finding,) = house.found()
    assert finding.key == "D09:BG/S6"
    assert finding.says == (
        "BG/S6 joins the drain 0.70 m beyond BG/B1, the foot of the stack up to R1/VT; 1.03 m must "
        "be free of "
        "branches (10 × 103 mm)."
    )
    assert finding.basis == "Code X 1, clause base_of_stack_diameters"


def test_a_branch_at_the_very_end_of_the_zone_is_in_order(house: Any) -> None:
    house.nodes("BG", "B1 bend 0.5 0.5 -0.71\nT1 tee 0.5 1.53 -0.71")
    assert [f.code for f in house.found("D09")] == []
    house.nodes("BG", "T1 tee 0.5 1.52 -0.71")
    assert [f.code for f in house.found("D09")] == ["D09"]


def test_a_branch_into_the_foot_itself_is_told(house: Any) -> None:
    house.nodes("BG", "B1 tee 0.5 0.5 -0.70\nFX fixture 1.0 0.5 -0.60 floor_drain")
    house.runs("BG", "S9 soil FX.waste B1.branch DN100")
    (finding,) = house.found("D09")
    assert finding.key == "D09:BG/S9"
    assert "0.00 m beyond BG/B1" in finding.says


def test_below_an_offset_within_a_stack_the_same_zone_is_closed(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.nodes("MX", "OA bend 0.5 0.5 2.00\nOT tee 0.5 1.0 1.98\nOB bend 0.5 2.0 1.95\nOC bend 0.5 2.0 1.2")
    house.nodes("MX", "OD bend 0.5 0.5 1.15\nFX fixture 1.0 1.0 2.10 floor_drain")
    house.runs(
        "MX",
        """
        S1 soil SP2 OA.a DN100
        O1 soil OA.b OT.a DN100
        O2 soil OT.b OB.a DN100
        O3 soil OB.b OC.a DN100
        O4 soil OC.b OD.a DN100
        O5 soil OD.b ST2.a DN100
        O6 soil FX.waste OT.branch DN100
        """,
    )
    (finding,) = house.found("D09")
    assert finding.key == "D09:M02-1/O6"
    assert "0.50 m beyond M02-1/OA" in finding.says


def test_a_pipe_that_brings_no_water_may_join_near_the_foot(house: Any) -> None:
    house.nodes("BG", "VT tee 0.5 1.0 -0.708\nVX cap 0.9 1.0 -0.70")
    house.runs("BG", "S3 soil B1.b VT.a DN100\nS8 soil VT.b T1.a DN100\nS9 soil VX VT.branch DN100")
    assert house.found("D09") == []


def test_a_vent_may_join_near_the_foot(house: Any) -> None:
    house.nodes("BG", "VT tee 0.5 1.0 -0.708\nVX vent_terminal 1.5 1.0 0.5")
    house.runs("BG", "S3 soil B1.b VT.a DN100\nS8 soil VT.b T1.a DN100\nV1 vent VT.branch VX DN50")
    assert house.found("D09") == []


def test_a_stack_without_a_cleanout_near_its_foot_is_told(house: Any) -> None:
    house.nodes("BG", "CO1 bend 0.5 0.5 -0.20")
    (finding,) = house.found()
    assert finding.key == "D10:BG/B1"
    assert finding.says == (
        "No cleanout within 2.00 m along the pipe of BG/B1, the foot of the stack up to R1/VT."
    )
    assert finding.basis == "Code X 1, clause cleanout_at_stack_foot"


@pytest.mark.parametrize("opening", ["cleanout", "test_tee"])
def test_an_opening_on_a_branch_near_the_foot_serves_it(house: Any, opening: str) -> None:
    house.nodes("BG", f"CO1 bend 0.5 0.5 -0.20\nCT tee 0.5 1.0 -0.708\nCX {opening} 1.0 1.0 -0.60")
    house.runs("BG", "S3 soil B1.b CT.a DN100\nS8 soil CT.b T1.a DN100\nS9 soil CX CT.branch DN100")
    assert house.found("D10") == []


def test_no_cleanout_is_asked_where_the_rules_ask_none(house: Any, with_rules: Any) -> None:
    house.nodes("BG", "CO1 bend 0.5 0.5 -0.20")
    assert house.found(rules=with_rules(changed=(("cleanout_at_stack_foot", False, "flag"),))) == []
    unjudged = house.found(rules=with_rules(left_out=("cleanout_stack_foot_distance",)))
    assert [f.key for f in unjudged] == ["M03:cleanout_stack_foot_distance:code_x"]
