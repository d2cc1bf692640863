# SPDX-License-Identifier: Apache-2.0
"""S06 and S07: water out at the bottom, air out at the top."""

from __future__ import annotations

from typing import Any

import pytest


def test_a_riser_without_a_drain_cock_at_its_foot_is_told(house: Any) -> None:
    house.nodes("BG", "CWD1 tee 0.73 0.5 -0.2")
    house.drop("runs", type="BG", run="CW1d")
    (finding,) = house.found("S06")
    assert finding.key == "S06:BG/CWV1"
    assert finding.says == (
        "The cold riser from BG/CWT1 has no drain cock and no outlet within 0.50 m above its low "
        "point BG/CWV1 "
        "at -0.300 m."
    )
    assert finding.basis == "good practice: invented for tests"


@pytest.mark.parametrize(("level", "count"), [(0.19, 0), (0.21, 1)])
def test_a_cock_may_stand_a_little_above_the_low_point(house: Any, level: float, count: int) -> None:
    # Low point at the valve, -0.30 m; the cock hangs on a pipe of its own from the tee above it.
    house.nodes("BG", f"CWD1 drain_cock 0.9 0.5 {level}")
    assert len(house.found("S06")) == count


def test_a_cock_before_the_valve_does_not_drain_the_riser(house: Any) -> None:
    house.nodes("BG", "CWD1 drain_cock 0.9 0.5 -0.5")
    house.runs("BG", "CW1d cold CWT1.branch_2 CWD1 CU42\nCW1b cold CWV1.out CWK1.a CU42")
    assert [f.key for f in house.found("S06")] == ["S06:BG/CWV1"]


def test_a_valve_within_a_riser_makes_two_stretches_to_drain(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.nodes("MX", "XV valve 0.7 0.5 1.0")
    house.runs("MX", "C2 cold CT.b XV.in CU42\nX2 cold XV.out CW2 CU42")
    (finding,) = house.found("S06")
    assert finding.key == "S06:M02-1/XV"
    house.nodes("MX", "XT tee 0.7 0.5 1.2\nXD drain_cock 0.8 0.5 1.2")
    house.runs("MX", "X2 cold XV.out XT.a CU42\nX3 cold XT.b CW2 CU42\nX4 cold XT.branch XD CU15")
    assert house.found("S06") == []


def test_a_cock_that_water_reaches_only_over_the_top_does_not_drain(house: Any) -> None:
    # Hot flow and return meet on the roof: the cock of the return stands as low, but no water gets there.
    house.drop("runs", type="BG", run="HW1d")
    assert [f.key for f in house.found("S06")] == ["S06:BG/HWV1"]


def test_an_outlet_at_the_low_point_drains_it(house: Any) -> None:
    house.nodes("BG", "CWD1 fixture 0.73 0.9 -0.2 tap")
    house.runs("BG", "CW1d cold CWK1.branch CWD1.cold CU42")
    assert house.found("S06") == []


def test_a_riser_without_an_air_vent_at_its_top_is_told(house: Any) -> None:
    house.variant("R1", "RX")
    house.nodes("RX", "CA cap 0.7 0.5 0.3")
    (finding,) = house.found("S07")
    assert finding.key == "S07:R1/CA"
    assert finding.says == (
        "The cold riser from BG/CWT1 has no air vent and no outlet within 0.50 m below its top "
        "R1/CA at +9.450 m."
    )


def test_an_outlet_near_the_top_lets_air_out(house: Any) -> None:
    house.variant("R1", "RX")
    house.nodes("RX", "CA bend 0.7 0.5 0.3\nKS fixture 1.5 0.5 0.0 tap")
    house.runs("RX", "C1 cold CW1 CA.a CU42\nX1 cold CA.b KS.cold CU15")
    assert house.found("S07") == []
    house.nodes("RX", "KS fixture 1.5 0.5 -0.3 tap")
    assert [f.key for f in house.found("S07")] == ["S07:R1/CA"]


def test_the_vent_of_another_riser_does_not_count(house: Any) -> None:
    # Both cold risers hang on one main below; only the second keeps its vent.
    house.variant("R1", "RX")
    house.nodes("RX", "CA cap 0.7 0.5 0.3")
    assert {f.key for f in house.found("S07")} == {"S07:R1/CA"}


def test_a_top_cut_off_by_a_broken_joint_follows_from_the_joint(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.nodes("MX", "CW1 stub 0.8 0.5 0.05 down CU42 cold")
    (finding,) = house.found("S07")
    assert (finding.key, finding.because) == ("S07:M01-1/CW2", "J03:J1-CW2")


def test_a_top_that_waits_for_the_next_part_is_not_judged(house: Any) -> None:
    assert house.found("S07", standing=("BG", "M01-1", "M01-2")) == []


def test_demands_that_the_rules_do_not_make_are_not_made(house: Any, with_rules: Any) -> None:
    house.variant("R1", "RX")
    house.nodes("RX", "CA cap 0.7 0.5 0.3")
    house.drop("runs", type="BG", run="HW1d")
    names = ("drain_cock_at_low_point", "air_vent_at_high_point")
    off = with_rules(changed=tuple((name, False, "flag") for name in names))
    assert [f.code for f in house.found(rules=off) if f.code in ("S06", "S07")] == []
    silent = house.found("M03", rules=with_rules(left_out=names))
    assert {item for f in silent for item in f.items} == {*names, "code_x"}
