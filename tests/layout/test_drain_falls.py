# SPDX-License-Identifier: Apache-2.0
"""D01 and D02: falls in the direction of flow."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st


def test_a_drain_that_falls_too_little_is_told_with_its_figures_and_the_clause(house: Any) -> None:
    house.nodes("BG", "T1 tee 0.5 2.5 -0.71")
    (finding,) = house.found()
    assert finding.key == "D01:BG/S3"
    assert finding.says == (
        "BG/S3 falls 10.0 mm over 2.000 m towards BG/T1, 0.50%; 1.00% is needed (10 mm/m), 20 mm here."
    )
    assert finding.basis == "Code X 1, Table 1"
    assert (finding.floor, finding.building, finding.system) == ("01", "A", "soil")
    assert [item for item, _ in finding.rests_on] == ["BG/S3"]
    assert finding.because is None


def test_a_small_drain_needs_more_than_a_large_one(house: Any) -> None:
    house.nodes("MA", "WT tee 0.9 0.9 0.573")
    falls = house.found("D01")
    assert {f.items for f in falls} == {(f"M0{n}-{m}/W3",) for n in (1, 2, 3) for m in (1, 2)}
    assert all("straight 1 of 2" in f.says and "2.00% is needed" in f.says for f in falls)


def test_a_backfall_is_told_once_and_not_as_a_small_fall_as_well(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.runs("MX", "W3 waste WT.b ST2.branch DN50 via 0.5 0.9 0.60")
    (finding,) = house.found()
    assert finding.key == "D02:M02-1/W3"
    assert "in straight 1 of 2 rises 20.0 mm over 0.400 m towards M02-1/ST2" in finding.says
    assert finding.floor == "02"


def test_a_backfall_outranks_a_straight_that_is_only_too_flat(house: Any) -> None:
    house.variant("M02-1", "MX")
    # First straight rises 2 mm; the second, twelve metres to and fro, is far too flat.
    house.runs("MX", "W3 waste WT.b ST2.branch DN50 via 0.5 0.9 0.582; 0.5 6.5 0.575; 0.5 0.9 0.570")
    assert [f.key for f in house.found("D0")] == ["D02:M02-1/W3"]


def test_the_direction_in_which_a_run_is_drawn_does_not_matter(house: Any) -> None:
    house.runs("BG", "S3 soil T1.a B1.b DN100")
    assert house.found() == []
    house.nodes("BG", "T1 tee 0.5 2.5 -0.71")
    (finding,) = house.found()
    assert "falls 10.0 mm over 2.000 m towards BG/T1" in finding.says


def test_a_vertical_pipe_needs_no_fall_but_may_not_lead_water_up(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.nodes("MX", "SH fixture 1.5 0.9 0.30 shower")
    house.runs("MX", "W2 waste SH.waste WT.a DN50 via 1.45 0.9 0.60")
    (finding,) = house.found("D0")
    assert finding.key == "D02:M02-1/W2"
    assert "straight 1 of 2 rises 300.0 mm" in finding.says


def test_what_a_pump_lifts_is_no_backfall(house: Any) -> None:
    house.nodes("BG", "SU sump 0.5 8.0 -2.0\nOF outfall 0.5 12.0 -0.70\nRV bend 0.5 9.0 -0.60")
    house.runs(
        "BG",
        """
        S7 soil T1.b SU.in DN100 via 0.5 7.9 -0.79
        S8 soil SU.out RV DN50 via 0.5 8.2 -2.0; 0.5 8.2 -0.60
        S9 soil RV OF DN100
        """,
    )
    assert house.found() == []


def test_a_pipe_that_only_airs_a_drain_is_not_judged_as_a_drain(house: Any) -> None:
    house.nodes("RF", "VT vent_terminal 2.5 0.5 0.60")
    house.runs("RF", "S1 soil SP1 VT DN100 via 0.5 0.5 0.60")
    assert house.found() == []


def test_a_ring_is_not_judged_for_fall(house: Any) -> None:
    house.nodes("BG", "RT tee 0.5 4.0 -0.75\nRU tee 0.5 6.0 -0.775")
    house.runs(
        "BG",
        """
        S7 soil T1.b RT.a DN100
        S8 soil RT.b RU.a DN100
        S9 soil RU.b OF DN100
        S10 soil RT.branch RU.branch DN80 via 1.5 4.0 -0.70; 1.5 6 -0.80
        """,
    )
    assert [f.code for f in house.found()] == ["D08"]


def test_drains_behind_a_broken_joint_are_still_judged(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.nodes("MX", "SP1 stub 0.6 0.5 0.05 down DN100 soil")
    house.runs("MX", "W3 waste WT.b ST2.branch DN50 via 0.5 0.9 0.60")
    assert [f.key for f in house.found("D02")] == ["D02:M02-1/W3"]


def test_a_piece_cut_off_is_judged_as_if_its_open_end_led_on(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.nodes("MX", "SP1 stub 0.6 0.5 0.05 down DN100 soil\nFX fixture 2.0 0.5 -0.10 floor_drain")
    house.runs("MX", "X1 waste FX.waste ST1.branch_2 DN50")
    assert [f.key for f in house.found("D02")] == ["D02:M02-1/X1"]


def test_water_never_runs_out_through_a_vent(new_building: Any) -> None:
    job = new_building()
    job.floors(1)
    job.type(
        "LO",
        "FX fixture 1.0 0.0 0.10 lavatory\nTT tee 0.0 0.0 0.05\nVT vent_terminal 0.0 0.0 3.0",
        "A waste FX.waste TT.branch DN50\nB waste VT TT.a DN50",
    )
    job.part("P", "LO", "01")
    assert [f.key for f in job.found("D")] == ["D04:P/A:P/TT"]


def test_condensate_and_rainwater_fall_by_figures_of_their_own(house: Any) -> None:
    house.nodes("MA", "FC fixture 2.5 1.0 1.50 fan_coil")
    house.runs("MA", "K1 condensate FC.waste ST2.branch_2 DN32 via 0.6 1.0 1.485; 0.6 0.5 0.565")
    (finding, *more) = house.found("D01")
    assert len(more) == 5
    assert "7.9 mm/m" not in finding.says
    assert "falls 15.0 mm over 1.900 m" in finding.says
    assert finding.basis == "Code X 1, clause least_fall_condensate"


def test_a_long_joint_is_a_piece_of_drain_itself(house: Any) -> None:
    _side_by_side(house, gap_m=0.8, drop_m=0.0)
    (finding,) = house.found("D01")
    assert finding.key == "D01:JX"
    assert "Joint JX falls 0.0 mm over 0.800 m towards M01-1/XS" in finding.says
    other = house.found("D02")
    assert other == []


def test_a_short_joint_without_an_offset_is_left_to_the_check_of_joints(house: Any) -> None:
    _side_by_side(house, gap_m=0.09, drop_m=-0.02)
    assert house.found("D0") == []


def test_an_offset_that_leads_up_in_the_direction_of_flow_is_a_backfall(house: Any) -> None:
    _side_by_side(house, gap_m=0.09, drop_m=-0.02)
    house.add("closures", joint="JX", order=1, kind="offset", pipe="DN100", length_m=0.05, offset_m=0.02)
    (finding,) = house.found("D02")
    assert finding.key == "D02:JX"
    assert "Joint JX rises 20.0 mm" in finding.says


def _side_by_side(house: Any, gap_m: float, drop_m: float) -> None:
    """A gully in a part beside M01-1, drained into its stack through a horizontal joint JX."""
    house.variant("M01-1", "MX")
    house.nodes("MX", "XT tee 0.5 0.5 1.0\nXS stub 0.5 -0.5 1.03 -y DN100 soil")
    house.runs("MX", "S1 soil SP2 XT.a DN100\nXA soil XT.b ST2.a DN100\nXB soil XS XT.branch DN100")
    y, z = -0.5 - gap_m, 1.03 + drop_m
    house.type(
        "GU",
        f"GS stub 0.5 {y} {z} +y DN100 soil\nGU fixture 0.5 {y - 1} {z + 0.02} floor_drain",
        "G1 soil GU.waste GS DN100",
    )
    house.part("G1", "GU", "01", z=0.15)
    house.joint("JX", "G1/GS", "M01-1/XS")
    # The longest make-up of the job says how far stubs look for each other.
    house.add("closures", joint="J1-SP1", order=1, kind="pipe", pipe="DN100", length_m=1.0)


@settings(max_examples=10, deadline=None)
@given(
    fall=st.floats(0.0, 0.2),
    more=st.floats(0.0, 0.3),
    yaw=st.sampled_from([0.0, 37.0, 90.0]),
)
def test_a_steeper_fall_never_makes_a_finding(
    new_house: Callable[[], Any], fall: float, more: float, yaw: float
) -> None:
    flat, steep = (_lowered_outfall(new_house(), drop, yaw) for drop in (fall, fall + more))
    assert len(steep) <= len(flat)
    # 5.5 m at 10 mm/m, drawn to the millimetre.
    if abs(fall - 0.054) > 1e-6:
        assert len(flat) == (fall < 0.054)


def _lowered_outfall(house: Any, drop_m: float, yaw_deg: float) -> list[Any]:
    house.nodes("BG", f"OF outfall 0.5 8.0 {-0.73 - drop_m}")
    house.turned(yaw_deg, mirror=False)
    found: list[Any] = house.found("D01")
    return found


@pytest.mark.parametrize("size", ["least_fall", "air"])
def test_falls_that_no_table_settles_are_told_as_not_judged(
    house: Any, with_rules: Callable[..., Any], size: str
) -> None:
    if size == "least_fall":
        found = house.found(rules=with_rules(left_out=("least_fall",)))
        assert [f.key for f in found] == ["M03:code_x:least_fall"]
        assert (
            found[0].says == "The fall of drains cannot be judged: Code X, edition 1 has no table least_fall."
        )
    else:
        house.runs("BG", "S7 soil T1.b OF ODD")
        (finding,) = house.found("M")
        assert finding.key == "M03:code_x:least_fall stack pipe"


def test_a_size_without_a_row_is_not_judged_and_never_taken_as_zero(house: Any) -> None:
    house.add("pipes", pipe="DN200", nominal="DN200", od_m=0.21, bore_m=0.2)
    house.runs("BG", "S7 soil T1.b OF DN200")
    house.nodes("BG", "OF outfall 0.5 8.0 -0.73")
    (finding,) = house.found()
    assert finding.key == "M03:code_x:least_fall DN200"
    assert "no range holds it" in finding.says
