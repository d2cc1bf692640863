# SPDX-License-Identifier: Apache-2.0
"""S04 and S05: what can be shut."""

from __future__ import annotations

from typing import Any

import pytest


def test_a_riser_without_a_valve_at_its_foot_is_told(house: Any) -> None:
    house.nodes("BG", "CWV1 strainer 0.7 0.5 -0.3")
    (finding,) = house.found("S04")
    assert finding.key == "S04:BG/CWV1"
    assert finding.says == (
        "The cold riser from BG/CWT1 has no valve between the pipe that feeds it and its first "
        "branch at M01-1/CT."
    )
    assert finding.basis == "Code X 1, clause valve_at_riser_foot"


def test_a_valve_on_the_main_does_not_serve_a_riser(house: Any) -> None:
    # MV shuts the whole house; the riser itself is still bare.
    house.nodes("BG", "HWV2 meter 5.3 0.3 -0.3")
    assert [f.items for f in house.found("S04")] == [("BG/HWV2",)]


@pytest.mark.parametrize("kind", ["valve", "balancing_valve"])
def test_anything_that_can_be_shut_serves(house: Any, kind: str) -> None:
    house.nodes("BG", f"CWV1 {kind} 0.7 0.5 -0.3")
    assert house.found() == []


def test_a_valve_above_the_first_branch_comes_too_late(house: Any) -> None:
    house.nodes("BG", "CWV1 strainer 0.7 0.5 -0.3")
    house.variant("M01-1", "MX")
    house.nodes("MX", "XV valve 0.7 0.5 1.0")
    house.runs("MX", "C2 cold CT.b XV.in CU42\nX2 cold XV.out CW2 CU42")
    assert [f.items for f in house.found("S04")] == [("BG/CWV1",)]


def test_a_valve_that_stands_backwards_shuts_as_well(house: Any) -> None:
    house.runs("BG", "CW1a cold CWT1.branch CWV1.out CU42\nCW1b cold CWV1.in CWK1.a CU42")
    assert house.found("S04") == []


def test_a_riser_fed_from_above_is_judged_at_its_head(house: Any) -> None:
    _fed_from_the_roof(house, "strainer")
    (finding,) = [f for f in house.found("S04") if "cold" in f.says]
    assert finding.says.endswith("its first branch at M03-1/CT.")
    _fed_from_the_roof(house, "valve")
    assert house.found("S04") == []


def _fed_from_the_roof(house: Any, device: str) -> None:
    """Column 1 of cold water comes from a main on the roof; its foot in the foundation is capped."""
    if not any(row["part"] == "R1" and row["type"] == "RX" for row in house.rows["parts"]):
        house.variant("R1", "RX")
    house.nodes("RX", f"CA tee 0.7 0.5 1.0\nXV {device} 0.7 0.5 0.5\nXM mains_connection 2.0 0.5 1.0")
    house.nodes("RX", "XA air_vent 0.7 0.5 1.2")
    house.runs("RX", "C1 cold CW1 XV.out CU42\nX1 cold XV.in CA.a CU42\nX2 cold CA.branch XM CU42")
    house.runs("RX", "X3 cold CA.b XA CU42")
    house.nodes("BG", "CWV1 cap 0.7 0.5 -0.3")
    house.runs("BG", "CW1b cold CWV1 CWK1.a CU42")
    if any(row["run"] == "CW1a" for row in house.rows["runs"]):
        house.drop("runs", type="BG", run="CW1a")


@pytest.mark.parametrize(("device", "count"), [("valve", 0), ("strainer", 2)])
def test_risers_that_hang_from_a_main_above_are_shut_below_it(house: Any, device: str, count: int) -> None:
    house.type(
        "RM",
        f"""
        XM mains_connection -1.0 0.5 1.0
        T1 tee 0.7 0.5 1.0
        T2 tee 5.3 0.5 1.0
        V1 {device} 0.7 0.5 0.5
        V2 {device} 5.3 0.5 0.5
        A air_vent 5.3 0.5 1.2
        C1 stub 0.7 0.5 0.05 down CU42 cold
        C2 stub 5.3 0.5 0.05 down CU42 cold
        """,
        """
        M1 cold XM T1.a CU42
        M2 cold T1.b T2.a CU42
        M3 cold T2.b A CU42
        R1 cold T1.branch V1.in CU42
        R2 cold V1.out C1 CU42
        R3 cold T2.branch V2.in CU42
        R4 cold V2.out C2 CU42
        """,
        "site_work",
    )
    house.part("RM", "RM", "RF", z=9.15)
    house.nodes("RF", "CA bend 0.9 0.5 0.30")
    house.drop("runs", type="RF", run="C1")
    house.drop("nodes", type="RF", node="CW1")
    for number in (1, 2):
        house.change("joints", {"joint": f"J{number}-CW4"}, stub_b=f"RM/C{number}")
        house.nodes("BG", f"CWV{number} cap {0.7 if number == 1 else 5.3} 0.5 -0.3")
        house.drop("runs", type="BG", run=f"CW{number}a")
        house.runs("BG", f"CW{number}b cold CWV{number} CWK{number}.a CU42")
    found = house.found("S04")
    assert len(found) == count
    assert {f.says.rpartition(" ")[2] for f in found} <= {"M03-1/CT.", "M03-2/CT."}
    assert house.found("S02") == []


def test_a_valve_in_a_ring_main_does_not_serve_a_riser(house: Any) -> None:
    house.nodes("BG", "RV valve -1.0 0.5 -0.5\nRB bend 5.3 -1.0 -0.5")
    house.runs(
        "BG",
        """
        M4 cold MT.b RV.in CU42
        N4 cold RV.out CWT1.a CU42
        M5 cold CWT1.b CWT2.a CU42 via 0.7 3.5 -0.5; 5.3 3.5 -0.5
        N5 cold CWT2.b RB.a CU42
        N6 cold RB.b MT.branch_2 CU42
        """,
    )
    assert house.found("S04") == []
    house.nodes("BG", "CWV1 strainer 0.7 0.5 -0.3")
    assert [f.items for f in house.found("S04")] == [("BG/CWV1",)]


def test_a_riser_fed_from_another_riser_needs_a_valve_of_its_own(house: Any) -> None:
    house.drop("runs", type="BG", run="M5")
    for part, name in (("M01-1", "MX"), ("M01-2", "MY")):
        house.variant(part, name)
        house.nodes(name, "XV valve 1.5 0.4 1.00\nXT tee 0.7 0.5 1.00\nXS stub 3.0 0.4 1.00 +x CU42 cold")
        house.runs(name, "C2 cold CT.b XT.a CU42\nC9 cold XT.b CW2 CU42")
        house.runs(name, "X1 cold XT.branch XV.in CU42\nX2 cold XV.out XS CU42")
    house.joint("JX", "M01-1/XS", "M01-2/XS")
    assert house.found("S02") == []
    assert house.found("S04") == []
    for name in ("MX", "MY"):
        house.nodes(name, "XV meter 1.5 0.4 1.00")
    (finding,) = house.found("S04")
    assert finding.says.startswith("The cold riser from BG/CWT2 has no valve")
    assert finding.says.endswith("its first branch at M01-2/XT.")


def test_the_only_riser_of_a_house_may_be_shut_at_the_main(house: Any) -> None:
    for part in ("M01-2", "M02-2", "M03-2", "R2"):
        house.drop("parts", part=part)
    house.rows["joints"] = [row for row in house.rows["joints"] if row["joint"].startswith("J1")]
    house.drop("runs", type="BG", run="M5")
    house.drop("runs", type="BG", run="M7")
    house.nodes("BG", "HWV1 strainer 0.7 0.3 -0.3")
    (finding,) = house.found("S04")
    assert "hot riser" in finding.says
    house.nodes("BG", "MB valve -1.0 0.3 -0.5")
    house.runs("BG", "M6 hot HX.out MB.in CU42\nM0 hot MB.out HWT1.a CU42")
    assert house.found("S04") == []


def test_a_floor_branch_without_a_valve_is_told_with_what_it_feeds(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.nodes("MX", "CV strainer 0.8 0.6 0.3")
    (finding,) = house.found()
    assert finding.key == "S05:M02-1/C3:M02-1/CT"
    assert finding.says == (
        "The branch M02-1/C3 leaves the riser at M02-1/CT and has no valve before M02-1/BA, "
        "M02-1/SH, M02-1/WC."
    )
    assert finding.floor == "02"


def test_valves_at_some_fixtures_do_not_make_up_for_one_at_the_branch(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.nodes("MX", "CV strainer 0.8 0.6 0.3\nXV valve 1.2 0.55 0.35")
    house.runs("MX", "C5 cold C1.branch XV.in CU15\nX1 cold XV.out WC.cold CU15")
    (finding,) = house.found("S05")
    assert "has no valve before all of M02-1/BA, M02-1/SH, M02-1/WC" in finding.says


def test_a_branch_with_one_fixture_may_have_its_valve_at_the_fixture(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.nodes("MX", "KS fixture 2.0 0.5 0.8 tap\nXV valve 1.9 0.5 0.8")
    house.runs("MX", "X1 cold CT.branch_2 XV.in CU15\nX2 cold XV.out KS.cold CU15")
    assert house.found("S05") == []
    house.nodes("MX", "XV meter 1.9 0.5 0.8")
    assert [f.key for f in house.found("S05")] == ["S05:M02-1/CT:M02-1/X1"]


@pytest.mark.parametrize(("dwellings", "count"), [(("2.1", "2.2"), 0), (("2.1", "2.1"), 1), (("", ""), 0)])
def test_a_branch_to_several_dwellings_may_have_a_valve_for_each(
    house: Any, dwellings: tuple[str, str], count: int
) -> None:
    # On floor 2 the riser of column 1 feeds both modules through a bare pipe; each has its own valve.
    for part, name in (("M02-1", "MX"), ("M02-2", "MY")):
        house.variant(part, name)
        house.nodes(name, "XS stub 3.0 0.6 0.30 +x CU22 cold\nXV valve 1.0 0.6 0.30")
    house.nodes("MX", "CV tee 0.8 0.6 0.30")
    house.runs("MX", "C3 cold CT.branch CV.a CU22\nC4 cold CV.b XV.in CU22\nX1 cold XV.out C1.a CU22")
    house.runs("MX", "X2 cold CV.branch XS CU22 via 0.8 2.0 0.30; 2.9 2.0 0.30; 2.9 0.6 0.30")
    house.nodes("MY", "CT bend 0.7 0.5 0.30")
    house.drop("runs", type="MY", run="C3")
    house.runs("MY", "C1 cold CW1 CT.a CU42\nC4 cold XV.out C1.a CU22\nX1 cold XS XV.in CU22")
    house.drop("nodes", type="MY", node="CV")
    house.joint("JX", "M02-1/XS", "M02-2/XS")
    for part, dwelling in zip(("M02-1", "M02-2"), dwellings, strict=True):
        house.change("parts", {"part": part}, dwelling=dwelling)
    assert len(house.found("S05")) == count
    assert house.found("S02") == []


def test_demands_that_the_rules_do_not_make_are_not_made(house: Any, with_rules: Any) -> None:
    house.nodes("BG", "CWV1 strainer 0.7 0.5 -0.3")
    house.nodes("MA", "CV strainer 0.8 0.6 0.3")
    rules = with_rules(
        changed=(("valve_at_riser_foot", False, "flag"), ("valve_at_floor_branch", False, "flag"))
    )
    assert house.found("S04", rules=rules) == []
    assert house.found("S05", rules=rules) == []
    silent = with_rules(left_out=("valve_at_riser_foot", "valve_at_floor_branch"))
    assert {f.key for f in house.found("M03", rules=silent)} == {
        "M03:code_x:valve_at_floor_branch",
        "M03:code_x:valve_at_riser_foot",
    }
