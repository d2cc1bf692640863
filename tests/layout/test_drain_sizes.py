# SPDX-License-Identifier: Apache-2.0
"""D03: drains keep their size in the direction of flow."""

from __future__ import annotations

from typing import Any

from riser.audit import Severity


def test_a_smaller_pipe_downstream_is_told_with_both_sizes(house: Any) -> None:
    house.runs("BG", "S7 soil T1.b OF DN80")
    (finding,) = house.found()
    assert finding.key == "D03:BG/S3:BG/S7"
    assert finding.says == (
        "BG/S3 in DN100 runs on into BG/S7 in DN80 at BG/T1: the drain narrows downstream."
    )
    assert [item for item, _ in finding.rests_on] == ["BG/S3", "BG/S7"]


def test_the_rule_set_decides_how_much_it_weighs_and_names_the_clause(house: Any) -> None:
    house.runs("BG", "S7 soil T1.b OF DN80")
    (finding,) = house.found()
    assert finding.severity is Severity.NOTE
    assert finding.basis == "Code X 1, 3.3"


def test_a_larger_pipe_downstream_is_in_order(house: Any) -> None:
    house.runs("BG", "S7 soil T1.b OF DN150")
    assert house.found() == []


def test_a_vent_above_the_drain_may_be_of_any_size(house: Any) -> None:
    house.nodes("RF", "SP1 stub 0.5 0.5 0.05 down DN150 soil")
    house.runs("RF", "S1 soil SP1 VT DN150")
    assert house.found() == []


def test_inch_and_dn_names_of_one_size_are_the_same_size(house: Any) -> None:
    house.runs("BG", "S7 soil T1.b OF IN4")
    assert house.found() == []


def test_a_joint_that_narrows_is_told_at_the_joint(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.nodes("MX", "SP1 stub 0.5 0.5 0.05 down DN150 soil")
    house.runs("MX", "S3 soil ST1.b SP1 DN150")
    (finding,) = house.found()
    assert finding.key == "D03:J1-SP2"
    assert finding.says == (
        "Joint J1-SP2 leads from DN150 to DN100 in the direction of flow: the drain narrows downstream."
    )


def test_a_reducer_in_a_make_up_counts_in_the_direction_of_flow(house: Any) -> None:
    piece = {"joint": "J1-SP2", "kind": "reducer", "length_m": 0.03}
    house.add("closures", order=1, pipe="DN80", to_pipe="DN100", **piece)
    # From stub a, below, to stub b, above: water comes down through the DN80.
    assert [f.key for f in house.found()] == ["D03:J1-SP2"]
    house.change("closures", {"joint": "J1-SP2"}, pipe="DN100", to_pipe="DN100")
    assert house.found() == []


def test_a_trap_is_looked_through(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.nodes("MX", "TR trap 1.45 0.9 0.606")
    house.runs("MX", "W2 waste SH.waste TR.in DN50\nW9 waste TR.out WT.a DN40")
    (finding,) = house.found()
    assert finding.key == "D03:M02-1/W2:M02-1/W9"


def test_behind_a_pump_a_smaller_pipe_is_in_order(house: Any) -> None:
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


def test_several_larger_inflows_make_one_finding_beside_the_largest(house: Any) -> None:
    house.runs("BG", "S6 soil B2.b T1.branch DN150 via 5.5 2.5 -0.62\nS7 soil T1.b OF DN80")
    assert [f.key for f in house.found()] == ["D03:BG/S6:BG/S7"]
