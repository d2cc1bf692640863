# SPDX-License-Identifier: Apache-2.0
"""S03: supply pipe in which water stands."""

from __future__ import annotations

from typing import Any

import pytest


def test_a_capped_end_is_a_dead_leg_with_its_length_in_diameters(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.nodes("MX", "XC cap 1.2 1.9 0.30")
    house.runs("MX", "X1 cold C2.branch_2 XC CU22")
    (finding,) = house.found()
    assert finding.key == "S03:M02-1/XC"
    assert finding.says == (
        "Water stands in 0.70 m of 22x1.0 between M02-1/C2 and the blind end M02-1/XC: 35 diameters, "
        "2 are the most allowed (40 mm)."
    )
    assert (finding.floor, finding.system) == ("02", "cold")
    assert finding.because is None


@pytest.mark.parametrize(("length", "count"), [(0.039, 0), (0.041, 1)])
def test_a_leg_may_be_so_many_bores_long(house: Any, length: float, count: int) -> None:
    house.variant("M02-1", "MX")
    house.nodes("MX", f"XC cap 1.2 {1.2 + length} 0.30")
    house.runs("MX", "X1 cold C2.branch_2 XC CU22")
    assert len(house.found("S03")) == count


def test_a_closed_stub_and_a_bare_end_are_blind_too(house: Any) -> None:
    house.variant("M03-1", "MX")
    house.nodes("MX", "XS stub 1.2 2.0 0.30 +y CU22 cold\nXB bend 1.2 1.2 0.9")
    house.runs("MX", "X1 cold C2.branch_2 XS CU22\nX2 cold C1.branch_2 XB CU15")
    house.joint("JX", "M03-1/XS")
    assert {f.key for f in house.found("S03")} == {"S03:M03-1/XS", "S03:M03-1/XB"}


def test_a_stub_that_another_part_will_lead_on_is_no_dead_leg(house: Any) -> None:
    assert house.found("S03", standing=("BG", "M01-1", "M01-2", "M02-1")) == []


def test_drain_cocks_and_air_vents_are_no_dead_legs(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.nodes("MX", "XD drain_cock 1.2 1.9 0.20\nXA air_vent 1.2 0.6 1.5")
    house.runs("MX", "X1 cold C2.branch_2 XD CU22\nX2 cold C1.branch_2 XA CU15")
    assert house.found() == []


def test_a_leg_goes_on_through_a_valve_and_counts_from_moving_water(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.nodes("MX", "XV valve 1.2 1.5 0.30\nXT tee 1.2 1.8 0.30\nXC cap 1.2 2.2 0.30\nXD cap 1.3 1.8 0.30")
    house.runs(
        "MX",
        "X1 cold C2.branch_2 XV.in CU22\nX2 cold XV.out XT.a CU22\n"
        "X3 cold XT.b XC CU22\nX4 cold XT.branch XD CU15",
    )
    found = {f.key: f.says for f in house.found("S03")}
    assert "1.00 m of 22x1.0 between M02-1/C2 and the blind end M02-1/XC" in found["S03:M02-1/XC"]
    assert "0.10 m of 15x1.0 between M02-1/XT and the blind end M02-1/XD" in found["S03:M02-1/XD"]


def test_a_leg_that_no_source_reaches_is_a_missing_pipe_and_nothing_more(house: Any) -> None:
    house.drop("runs", type="BG", run="M5")
    assert house.found("S03") == []


def test_the_end_of_the_main_before_a_missing_pipe_follows_from_it(house: Any) -> None:
    house.nodes("BG", "MB bend 3.0 0.5 -0.5")
    house.runs("BG", "M5 cold CWT1.b MB CU42")
    found = house.found("S")
    (root,) = [f for f in found if f.because is None]
    assert root.code == "S02"
    assert [(f.key, f.because) for f in found if f is not root] == [("S03:BG/MB", root.key)]


def test_a_hot_tap_too_far_from_circulating_water_is_told(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.runs("MX", "H5 hot H1.branch BA.hot CU15 via 1.3 15.5 0.2")
    (finding,) = house.found("S03")
    assert finding.key == "S03:M02-1/BA:M02-1/H5"
    assert "15.00 m is the most allowed (15 m)" in finding.says
    assert finding.basis == "Code X 1, clause hot_distance_max"


def test_without_a_return_the_distance_counts_from_the_heater(house: Any) -> None:
    for number in (1, 2):
        house.drop("joints", joint=f"J{number}-HR4")
    house.drop("nodes", type="RF", node="HR1")
    house.drop("runs", type="RF", run="R1")
    house.nodes("RF", "HT bend 0.7 0.3 0.20")
    house.runs("RF", "H1 hot HW1 HT.a CU42\nH2 hot HT.b HA CU42")
    far = {f.key for f in house.found("S03") if "hot tap" in f.says}
    assert far == {"S03:M03-2/BA:M03-2/H5", "S03:M03-2/H6:M03-2/SH"}


def test_hot_distance_is_only_judged_where_the_rules_state_one(house: Any, with_rules: Any) -> None:
    house.variant("M02-1", "MX")
    house.runs("MX", "H5 hot H1.branch BA.hot CU15 via 1.3 15.5 0.2")
    assert house.found(rules=with_rules(left_out=("hot_distance_max",))) == []


def test_on_site_hot_water_is_not_judged_before_its_circulation_is_closed(house: Any) -> None:
    every = ("BG", "M01-1", "M01-2", "M02-1", "M02-2", "M03-1", "M03-2")
    assert house.found("S03", standing=every) == []
