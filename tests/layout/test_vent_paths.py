# SPDX-License-Identifier: Apache-2.0
"""D05 and D11: vents for fixtures, and near enough."""

from __future__ import annotations

from typing import Any

import pytest


def test_fixtures_on_a_stack_without_an_open_vent_follow_from_the_stack(house: Any) -> None:
    house.nodes("RF", "VT cap 0.5 0.5 0.60")
    stacks = {f.key for f in house.found("D06")}
    assert stacks == {"D06:R1/VT", "D06:R2/VT"}
    found = house.found("D05")
    assert len(found) == 18
    assert {(f.items[0][4], f.because) for f in found} == {("1", "D06:R1/VT"), ("2", "D06:R2/VT")}
    assert found[0].says == "M01-1/WC drains into the stack up to R1/VT, which has no open vent."


def test_drains_without_any_vent_are_one_fault_for_each_piece(new_building: Any) -> None:
    job = new_building()
    job.floors(1)
    job.type(
        "LO",
        """
        F1 fixture 1.0 0.0 0.10 lavatory
        F2 fixture 2.0 0.0 0.10 floor_drain
        T tee 1.0 1.0 0.05
        OF outfall 0.0 1.0 0.02
        """,
        "A waste F1.waste T.branch DN50\nB waste F2.waste T.a DN50\nC waste T.b OF DN50",
    )
    job.part("P", "LO", "01")
    (finding,) = job.found("D05")
    assert finding.key == "D05:P/F1"
    assert finding.says == ("2 fixtures (P/F1, P/F2) on drains from which no way leads up to an open vent.")
    assert finding.because is None
    job.nodes("LO", "V vent_terminal 1.0 1.0 3.0")
    job.runs("LO", "D vent V T.branch_2 DN50")
    assert job.found("D05") == []


def test_a_trap_lets_no_air_through(new_building: Any) -> None:
    job = new_building()
    job.floors(1)
    job.type(
        "TR",
        """
        FX fixture 2.0 0.0 0.30 lavatory
        TT tee 1.6 0.0 0.25
        TV vent_terminal 1.6 0.0 3.0
        TR trap 1.2 0.0 0.20
        OF outfall 0.0 0.0 0.10
        """,
        "A waste FX.waste TT.a DN50\nB waste TT.b TR.in DN50\n"
        "C waste TR.out OF DN50\nD vent TV TT.branch DN50",
    )
    job.part("P", "TR", "01")
    # The vent stands before a running trap: the fixture's own trap breathes, so nothing is told.
    assert job.found("D05") == []
    job.runs("TR", "A waste FX.waste TR.in DN50\nB waste TR.out TT.a DN50\nC waste TT.b OF DN50")
    assert job.found("D05") == []
    job.nodes("TR", "TV cap 1.6 0.0 3.0")
    assert [f.key for f in job.found("D05")] == ["D05:P/FX"]


def test_no_vent_is_reached_through_a_running_trap(new_building: Any) -> None:
    job = new_building()
    job.floors(1)
    job.type(
        "RT",
        """
        F1 fixture 3.0 0.0 0.30 lavatory
        F2 fixture 2.0 1.0 0.30 lavatory
        TT tee 2.0 0.0 0.25
        TR trap 1.2 0.0 0.20
        TV tee 0.8 0.0 0.18
        VT vent_terminal 0.8 0.0 3.0
        OF outfall 0.0 0.0 0.10
        """,
        """
        A waste F1.waste TT.a DN50
        B waste F2.waste TT.branch DN50
        C waste TT.b TR.in DN50
        D waste TR.out TV.a DN50
        E waste TV.b OF DN50
        V vent VT TV.branch DN50
        """,
    )
    job.part("P", "RT", "01")
    (finding,) = job.found("D05")
    assert finding.says == "2 fixtures (P/F1, P/F2) on drains from which no way leads up to an open vent."
    job.nodes("RT", "TR bend 1.2 0.0 0.20")
    job.runs("RT", "C waste TT.b TR.a DN50\nD waste TR.b TV.a DN50")
    assert job.found("D05") == []


def test_a_fixture_on_the_drain_beyond_the_stacks_breathes_through_it(house: Any) -> None:
    house.nodes("BG", "DT tee 0.5 4.0 -0.75\nFX fixture 1.5 4.0 0.0 floor_drain")
    house.runs("BG", "S7 soil T1.b DT.a DN100\nS8 soil DT.b OF DN100\nS9 soil FX.waste DT.branch DN100")
    assert house.found("D05") == []


def test_a_cut_off_fixture_is_told_as_cut_off_and_not_as_unvented_as_well(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.runs("MX", "W2 waste SH.waste X1 DN50")
    house.nodes("MX", "X1 cap 1.6 1.0 0.60")
    found = house.found("D")
    assert [(f.code, f.items) for f in found] == [("D04", ("M02-1/W2", "M02-1/X1"))]


def test_a_trap_too_far_from_the_stack_is_told_with_both_lengths(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.nodes("MX", "BA fixture 0.9 3.2 0.64 lavatory")
    (finding,) = house.found()
    assert finding.key == "D11:M02-1/BA"
    assert finding.says == (
        "M02-1/BA is 3.10 m along the drain from its vent at M02-1/ST2; 1.50 m is the most for its "
        "size (1.5 m)."
    )
    assert finding.basis == "Code X 1, Table 2"


def test_a_vent_pipe_on_the_way_brings_the_vent_nearer(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.nodes("MX", "BA fixture 0.9 3.2 0.64 lavatory\nVE bend 0.9 0.9 2.0")
    house.runs("MX", "V1 vent WT.branch_2 VE DN40\nV2 vent VE ST2.branch_2 DN40 via 0.6 0.9 2.0")
    (finding,) = house.found("D11")
    assert "2.30 m along the drain from its vent at M02-1/WT" in finding.says
    house.nodes("MX", "BA fixture 0.9 2.2 0.63 lavatory")
    assert house.found("D11") == []


@pytest.mark.parametrize(("distance", "count"), [(1.38, 0), (1.42, 1)])
def test_the_distance_is_the_length_of_pipe_from_trap_to_vent(
    house: Any, distance: float, count: int
) -> None:
    # 0.82 m of pipe follow from the tee to the stack, whatever its fall.
    house.variant("M02-1", "MX")
    house.nodes("MX", f"BA fixture 0.9 {0.9 + distance - 0.7} 0.66 lavatory")
    assert len(house.found("D11")) == count


def test_closets_are_exempt_where_the_rules_exempt_them(house: Any, with_rules: Any) -> None:
    house.variant("M02-1", "MX")
    house.nodes("MX", "WC fixture 5.2 0.5 0.47 wc_cistern")
    assert [f.key for f in house.found("D11")] == ["D11:M02-1/WC"]
    rules = with_rules(changed=(("trap_to_vent_closets_exempt", True, "flag"),))
    assert house.found("D11", rules=rules) == []


def test_a_size_beyond_the_table_is_not_judged(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.runs("MX", "S4 soil WC.waste ST1.branch DN150\nS3 soil ST1.b SP1 DN150")
    found = house.found("M03")
    assert [f.key for f in found] == ["M03:code_x:trap_to_vent DN150"]
    assert "no row is as large" in found[0].says


def test_without_a_table_of_distances_all_of_it_is_not_judged_once(house: Any, with_rules: Any) -> None:
    found = house.found(rules=with_rules(left_out=("trap_to_vent",)))
    assert [f.key for f in found] == ["M03:code_x:trap_to_vent"]
