# SPDX-License-Identifier: Apache-2.0
"""D06: stacks at their tops."""

from __future__ import annotations

from typing import Any

import pytest


def close_tops(house: Any) -> None:
    """Takes away the roof over column 1 and closes what stood open there."""
    house.drop("parts", part="R1")
    for riser in ("SP", "CW", "HW", "HR", "FR"):
        house.change("joints", {"joint": f"J1-{riser}4"}, stub_a=f"M03-1/{riser}2", stub_b="")


def test_a_stack_closed_at_its_top_has_no_open_vent(house: Any) -> None:
    close_tops(house)
    (finding,) = house.found("D06")
    assert finding.key == "D06:M03-1/SP2"
    assert finding.says == (
        "The stack up to M03-1/SP2 has no open vent: its top, M03-1/SP2 at +9.130 m, is closed; "
        "9 fixtures drain into it."
    )
    assert finding.basis == "Code X 1, clause open_vent_required"
    assert (finding.floor, finding.system) == ("03", "soil")
    # A closed top stands upright: it is no dead end as well.
    assert house.found("D07") == []


def test_a_stack_has_its_name_from_the_table_of_risers(house: Any) -> None:
    close_tops(house)
    house.add("risers", riser="SS-1", system="soil", through="M02-1/SP1")
    (finding,) = house.found("D06")
    assert finding.says.startswith("The stack SS-1 has no open vent")


def test_a_neighbours_vent_does_not_count_through_the_drain_below(house: Any) -> None:
    close_tops(house)
    # Both stacks stand on one drain, and the other is open.
    assert {f.items for f in house.found("D06")} == {("M03-1/SP2",)}


def test_a_header_that_ties_two_tops_vents_both(house: Any) -> None:
    _header(house, "VT vent_terminal 0.5 0.5 0.60")
    assert house.found("D06") == []


def test_stacks_tied_by_a_header_that_ends_nowhere_are_one_fault(house: Any) -> None:
    _header(house, "VT cap 0.5 0.5 0.60")
    house.nodes("RF", "VT cap 0.5 0.5 0.60")
    (finding,) = house.found("D06")
    assert finding.key == "D06:RX/T1:RX/T2"


def _header(house: Any, top: str) -> None:
    """One roof part over both columns, whose stacks meet in a vent header."""
    for number in (1, 2):
        house.drop("parts", part=f"R{number}")
        for riser in ("CW", "HW", "HR", "FR"):
            house.change(
                "joints", {"joint": f"J{number}-{riser}4"}, stub_a=f"M03-{number}/{riser}2", stub_b=""
            )
        house.change("joints", {"joint": f"J{number}-SP4"}, stub_b=f"RX/S{number}")
    house.type(
        "RX",
        f"""
        S1 stub 0.5 0.5 0.05 down DN100 soil
        S2 stub 5.5 0.5 0.05 down DN100 soil
        T1 tee 0.5 0.5 0.30
        T2 bend 5.5 0.5 0.35
        {top}
        """,
        "A soil S1 T1.a DN100\nB vent T1.b VT DN100\nC soil S2 T2 DN100\nD vent T2 T1.branch DN100",
    )
    house.part("RX", "RX", "RF", z=9.15)


def test_a_stack_cut_in_two_has_its_lower_half_unvented_because_of_the_joint(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.nodes("MX", "SP1 stub 0.6 0.5 0.05 down DN100 soil")
    (finding,) = house.found("D06")
    assert finding.key == "D06:M01-1/SP2"
    assert "ends at joint J1-SP2, which cannot be made; 3 fixtures drain into it" in finding.says
    assert finding.because == "J03:J1-SP2"


@pytest.mark.parametrize(("allowed", "codes"), [(True, set()), (False, {"D05", "D06"}), (None, {"M03"})])
def test_the_rule_set_decides_whether_an_air_admittance_valve_counts(
    house: Any, with_rules: Any, allowed: bool | None, codes: set[str]
) -> None:
    house.nodes("RF", "VT air_admittance_valve 0.5 0.5 0.60")
    if allowed is None:
        rules = with_rules(left_out=("air_admittance_valve_allowed",))
    else:
        rules = with_rules(changed=(("air_admittance_valve_allowed", allowed, "flag"),))
    assert {f.code for f in house.found(rules=rules)} == codes
    assert len(house.found("M03", rules=rules)) == (allowed is None)


def test_no_open_vent_is_demanded_where_the_rules_demand_none(house: Any, with_rules: Any) -> None:
    close_tops(house)
    rules = with_rules(changed=(("open_vent_required", False, "flag"),))
    assert house.found("D", rules=rules) == []


def test_a_stack_whose_next_part_is_to_come_is_not_judged_at_its_top(house: Any) -> None:
    standing = ("BG", "M01-1", "M01-2", "M02-1")
    assert house.found(standing=standing) == []


def lead_column_2_into_column_1(house: Any) -> None:
    """On floor 2 the stack of column 2 is led over into that of column 1; what stands below is closed."""
    for part, name in (("M02-1", "MX"), ("M02-2", "MY")):
        house.variant(part, name)
    house.nodes("MX", "XT tee 0.5 0.5 0.25\nXS stub 3.0 0.5 0.28 +x DN100 soil")
    house.runs("MX", "S3 soil ST1.b XT.a DN100\nXA soil XT.b SP1 DN100\nXB soil XS XT.branch DN100")
    house.nodes("MY", "XS stub 3.0 0.5 0.28 +x DN100 soil\nXC bend 0.5 0.5 0.31")
    house.runs("MY", "S3 soil ST1.b XC.a DN100\nXB soil XC.b XS DN100")
    house.drop("nodes", type="MY", node="SP1")
    house.change("joints", {"joint": "J2-SP2"}, stub_a="M01-2/SP2", stub_b="")
    house.joint("JX", "M02-1/XS", "M02-2/XS")


def test_a_stack_led_into_another_breathes_through_its_own_top(house: Any) -> None:
    lead_column_2_into_column_1(house)
    assert {f.key for f in house.found("D06")} == {"D06:M01-2/SP2"}
    # Closed at its top, it does not breathe through the stack it is led into.
    house.variant("R2", "RY")
    house.nodes("RY", "VT cap 0.5 0.5 0.60")
    assert {f.key for f in house.found("D06")} == {"D06:M01-2/SP2", "D06:R2/VT"}


def test_a_stack_that_goes_on_in_another_system_has_one_top(new_building: Any) -> None:
    job = new_building()
    job.floors(3)
    job.type(
        "TW",
        """
        OF outfall 0.0 3.0 0.00
        BB bend 0.0 0.0 0.10
        CO cleanout 0.0 0.0 0.50
        F1 fixture 1.0 0.0 3.10 floor_drain
        T1 tee 0.0 0.0 3.00
        F2 fixture 1.0 0.0 6.10 lavatory
        T2 tee 0.0 0.0 6.00
        TC cap 0.0 0.0 9.00
        """,
        """
        A soil BB.a OF DN100
        B soil CO.a BB.b DN100
        C soil T1.b CO.b DN100
        D soil F1.waste T1.branch DN100
        E waste T2.b T1.a DN100
        F waste F2.waste T2.branch DN50
        G waste TC T2.a DN100
        """,
    )
    job.part("P", "TW", "01", to_floor="03")
    assert [f.key for f in job.found("D06")] == ["D06:P/TC"]
    assert {f.because for f in job.found("D05")} == {"D06:P/TC"}


def test_a_stack_below_the_entry_of_another_belongs_to_its_own_top(house: Any) -> None:
    lead_column_2_into_column_1(house)
    house.variant("R1", "RX")
    house.nodes("RX", "VT cap 0.5 0.5 0.60")
    unvented = {f.items[0] for f in house.found("D05") if f.because == "D06:R1/VT"}
    assert unvented == {f"M0{n}-1/{name}" for n in (1, 2, 3) for name in ("WC", "BA", "SH")}


def test_a_stack_that_drops_straight_into_another_does_not_breathe_through_it(new_building: Any) -> None:
    job = new_building()
    job.floors(3)
    job.type(
        "ST",
        """
        OF outfall 0.0 3.0 0.00
        BB bend 0.0 0.0 0.10
        CO cleanout 0.0 0.0 0.50
        TT tee 0.0 0.0 2.20
        VT vent_terminal 0.0 0.0 9.50
        XB bend 0.5 0.0 3.00
        XT tee 0.5 0.0 5.00
        XF fixture 1.2 0.0 5.05 floor_drain
        XC cap 0.5 0.0 8.50
        """,
        """
        A soil BB.a OF DN100
        B soil CO.a BB.b DN100
        C soil TT.b CO.b DN100
        D soil VT TT.a DN100
        E soil XB.a TT.branch DN100
        F soil XT.b XB.b DN100
        G soil XC XT.a DN100
        H soil XF.waste XT.branch DN100
        """,
    )
    job.part("P", "ST", "01", to_floor="03")
    assert {f.key for f in job.found("D0")} == {"D06:P/XC", "D05:P/XF"}
    job.nodes("ST", "XC vent_terminal 0.5 0.0 9.50")
    assert job.found("D") == []


def test_a_long_drop_inside_one_part_is_no_stack(house: Any) -> None:
    house.variant("M03-1", "MX")
    house.nodes("MX", "FX fixture 2.0 0.5 2.80 floor_drain")
    house.runs("MX", "X1 waste FX.waste ST2.branch_2 DN50 via 2.0 0.5 0.60")
    assert house.found("D06") == []
    assert house.found("D10") == []
