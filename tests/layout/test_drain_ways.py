# SPDX-License-Identifier: Apache-2.0
"""D04, D07 and D08: whether drains lead anywhere."""

from __future__ import annotations

from typing import Any


def test_fixtures_behind_a_joint_that_cannot_be_made_follow_from_it(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.nodes("MX", "SP1 stub 0.6 0.5 0.05 down DN100 soil")
    found = house.found("D04")
    cut = {f"M0{n}-1/{name}" for n in (2, 3) for name in ("WC", "BA", "SH")}
    assert {item for f in found for item in f.items if not item.endswith(("S4", "W1", "W2"))} == cut
    assert all(f.because == "J03:J1-SP2" for f in found)
    first = next(f for f in found if "M02-1/WC" in f.items)
    assert first.says == "M02-1/WC has no way to an outfall: joint J1-SP2 on that way cannot be made."
    assert [item for item, _ in first.rests_on] == ["J1-SP2", "M02-1/S4", "M02-1/WC"]


def test_a_stub_that_its_part_lacks_cuts_off_what_stands_above(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.drop("nodes", type="MX", node="SP1")
    house.runs("MX", "S3 soil ST1.b SX DN100")
    house.nodes("MX", "SX bend 0.5 0.5 0.05")
    found = house.found("D04")
    assert len(found) == 6
    assert {f.because for f in found} == {"J02:J1-SP2"}


def test_a_missing_pipe_is_one_fault_however_many_fixtures_it_cuts_off(house: Any) -> None:
    house.drop("runs", type="BG", run="S5")
    found = house.found()
    roots = [f for f in found if f.because is None]
    (finding,) = roots
    assert finding.key == "D04:BG/CO2:M01-2/S4"
    assert finding.says == (
        "9 outlets (M01-2/BA, M01-2/SH, M01-2/WC, M02-2/BA and 5 more) on a piece of pipework without a way "
        "to an outfall; its lowest point is BG/CO2."
    )
    assert len(finding.rests_on) == 10
    # The end of the drain at which the missing pipe should begin is no fault of its own.
    assert [(f.key, f.because) for f in found if f is not finding] == [("D07:BG/B2", finding.key)]


def test_each_piece_without_a_way_home_is_a_fault_of_its_own(house: Any) -> None:
    house.drop("runs", type="BG", run="S5")
    house.drop("runs", type="BG", run="S2")
    assert len([f for f in house.found("D04") if f.because is None]) == 2


def test_a_fixture_without_any_drain_is_told(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.drop("runs", type="MX", run="S4")
    (finding,) = house.found()
    assert finding.key == "D04:M02-1/WC"
    assert finding.says == "M02-1/WC has no pipe for waste."


def test_a_fixture_that_needs_no_drain_may_have_none(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.drop("runs", type="MX", run="S4")
    house.add("fixtures", fixture="M02-1/WC", kind="tap")
    assert house.found() == []


def test_roof_outlets_and_gullies_must_drain_too(house: Any) -> None:
    house.nodes("RF", "RO roof_outlet 2.0 2.0 0.3\nGU gully 2.5 2.0 0.3")
    house.nodes("RF", "RX stub 2.0 2.0 0.05 down DN100 rainwater")
    house.runs("RF", "R9 rainwater RO.out RX DN100")
    found = house.found("D04")
    assert {f.key for f in found if "GU" in f.key} == {"D04:R1/GU", "D04:R2/GU"}
    assert {f.says for f in found if "RO" in f.says} == {
        f"1 outlet (R{n}/RO) on a piece of pipework without a way to an outfall; its lowest point is R{n}/RX."
        for n in (1, 2)
    }


def test_a_part_that_waits_for_its_neighbour_on_site_is_not_cut_off(house: Any) -> None:
    house.nodes("MA", "XS stub 3.0 0.9 0.60 +x DN50 waste\nXF fixture 1.8 2.2 0.63 lavatory")
    house.runs("MA", "X1 waste XF.waste XS DN50\nX2 cold C2.branch_2 XF.cold CU15")
    house.joint("JX", "M01-1/XS", "M01-2/XS")
    design = {f.key for f in house.found("D04")}
    assert "D04:M01-1/X1:M01-1/XS" in design
    site = {f.key for f in house.found("D04", standing=("BG", "M01-1"))}
    assert site == set()


def test_two_parallel_drains_make_one_ring(house: Any) -> None:
    _ring(house)
    (finding,) = house.found()
    assert finding.key == "D08:BG/S10:BG/S8"
    assert finding.says == "2 drain pipes and joints lead round in a ring of 6.00 m: BG/S10, BG/S8."
    assert finding.because is None


def test_taking_out_one_pipe_opens_the_ring(house: Any) -> None:
    _ring(house)
    house.drop("runs", type="BG", run="S10")
    assert house.found() == []


def test_every_ring_is_told_once(house: Any) -> None:
    _ring(house)
    house.nodes("BG", "RV tee 0.5 3.2 -0.74\nRW tee 0.5 3.6 -0.745")
    house.runs(
        "BG",
        """
        S7 soil T1.b RV.a DN100
        S11 soil RV.b RW.a DN100
        S12 soil RW.b RT.a DN100
        S13 soil RV.branch RW.branch DN100 via 1.0 3.2 -0.742; 1.0 3.6 -0.743
        """,
    )
    assert {f.key for f in house.found()} == {"D08:BG/S10:BG/S8", "D08:BG/S11:BG/S13"}


def test_a_vent_that_leads_back_into_its_drain_is_no_ring(house: Any) -> None:
    _ring(house)
    house.change("runs", {"type": "BG", "run": "S10"}, system="vent")
    assert house.found("D08") == []


def test_a_ring_through_joints_and_parts_is_found(house: Any) -> None:
    house.nodes("MA", "XT tee 0.5 0.5 1.5\nXS stub 3.0 0.5 1.5 +x DN100 soil")
    house.runs("MA", "S1 soil SP2 XT.a DN100\nXA soil XT.b ST2.a DN100\nXB soil XT.branch XS DN100")
    house.joint("JX", "M01-1/XS", "M01-2/XS")
    rings = house.found("D08")
    # Scheduled on floor 1 and found by geometry on floors 2 and 3: three ways across between two stacks and
    # the drain below.
    assert len(rings) == 3
    assert any({"JX", "M01-1/XB", "M01-2/XB"} <= set(ring.items) for ring in rings)


def test_a_blind_horizontal_drain_longer_than_allowed_is_a_dead_end(house: Any) -> None:
    _dead_end(house, "DC cap 2.5 4.0 -0.70")
    (finding,) = house.found()
    assert finding.key == "D07:BG/DC"
    assert finding.says == (
        "BG/DC is a blind end 2.00 m along horizontal drain from BG/DT; 0.60 m is the most allowed."
    )
    assert finding.basis == "Code X 1, clause dead_end_length"


def test_a_short_blind_end_and_one_with_a_cleanout_are_in_order(house: Any) -> None:
    _dead_end(house, "DC cap 1.0 4.0 -0.74")
    assert house.found() == []
    house.nodes("BG", "DC cleanout 2.5 4.0 -0.70")
    assert house.found() == []


def test_a_blind_end_that_stands_upright_is_no_dead_end(house: Any) -> None:
    _dead_end(house, "DC cap 0.5 4.0 1.50")
    assert house.found() == []


def test_a_fixture_on_the_way_shortens_a_dead_end(house: Any) -> None:
    _dead_end(house, "DC cap 2.5 4.0 -0.70")
    house.nodes("BG", "DF tee 2.1 4.0 -0.71\nFX fixture 2.1 4.0 -0.2 floor_drain")
    house.runs(
        "BG", "S9 soil DC DF.a DN100\nS11 soil DF.b DT.branch DN100\nS12 soil FX.waste DF.branch DN100"
    )
    assert house.found("D07") == []


def test_dead_ends_are_not_judged_where_no_rule_names_a_length(house: Any, with_rules: Any) -> None:
    _dead_end(house, "DC cap 2.5 4.0 -0.70")
    found = house.found(rules=with_rules(left_out=("dead_end_length",)))
    assert [f.key for f in found] == ["M03:code_x:dead_end_length"]


def _ring(house: Any) -> None:
    house.nodes("BG", "RT tee 0.5 4.0 -0.75\nRU tee 0.5 6.0 -0.775")
    house.runs(
        "BG",
        """
        S7 soil T1.b RT.a DN100
        S8 soil RT.b RU.a DN100
        S9 soil RU.b OF DN100
        S10 soil RT.branch RU.branch DN100 via 1.5 4.0 -0.76; 1.5 6 -0.77
        """,
    )


def _dead_end(house: Any, end: str) -> None:
    house.nodes("BG", f"DT tee 0.5 4.0 -0.75\n{end}")
    house.runs("BG", "S7 soil T1.b DT.a DN100\nS8 soil DT.b OF DN100\nS9 soil DC DT.branch DN100")
