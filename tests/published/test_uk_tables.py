# SPDX-License-Identifier: Apache-2.0
"""British figures against a copy of published values made apart from the rule set."""

from __future__ import annotations

import math

import pytest

from riser.audit import Status
from riser.errors import NotInRules
from riser.rules import load_set

UK, EN = load_set("uk_adh_bs_9990"), load_set("en_12056_2")
MM, BAR, MINUTE = 1e-3, 1e5, 60.0
MM_WC = 9.80665


# soilanddrain.co.uk and marleyplumbinganddrainage.com
@pytest.mark.parametrize(("storeys", "height"), [(1, 450), (3, 450), (5, 750)])
def test_lowest_branch_above_the_foot(storeys: int, height: int) -> None:
    cell = UK.table("lowest_branch_uk").bracket(float(storeys)).row.cell("height")
    assert math.isclose(cell.number, height * MM)
    assert cell.clause.document == "Approved Document H"


def test_above_five_storeys_the_lowest_floor_is_connected_by_itself() -> None:
    with pytest.raises(NotInRules, match="connected by itself"):
        UK.table("lowest_branch_uk").bracket(6.0)


# Table 9.1 of a plumbing course book, online.anyflip.com/tigdz/keyz, page 563
@pytest.mark.parametrize(
    ("branch", "length", "fall", "seal"),
    [
        ("water closet, 75 to 100 mm", 6, 18, 50),
        ("washbasin or bidet, 32 mm", 1.7, 18, 75),
        ("bath, 40 mm", 3, 18, 50),
        ("waste, 50 mm", 4, 18, 75),
    ],
)
def test_branches_without_a_vent(branch: str, length: float, fall: float, seal: float) -> None:
    row = UK.table("branch_runs").exact(branch=branch)
    assert row.number("length") == length
    assert math.isclose(row.number("fall"), fall * MM)
    assert math.isclose(row.number("seal"), seal * MM)


# diybanter.com/5856-post10.html: 18 mm/m; 9 on long runs with more than one closet
def test_least_falls_take_the_place_of_the_german_ones() -> None:
    small, large = (UK.table("least_fall").bracket(size).row for size in (0.040, 0.100))
    assert math.isclose(small.number("fall"), 18 * MM)
    assert math.isclose(large.number("fall"), 9 * MM)
    assert {row.cell("fall").clause.document for row in (small, large)} == {"Approved Document H"}
    assert EN.table("least_fall").rows[0].cell("fall").clause.document == "DIN 1986-100"


# Approved Document H Table 3, from memory; EN 12056-2 Table 11 with swept entries: 5.2 L/s at DN 100
def test_stack_capacities_of_guidance_and_standard_stand_side_by_side() -> None:
    guidance = UK.table("stack_capacity").exact(size=0.1).cell("flow")
    standard = UK.table("stacks").exact(size=0.1).cell("primary_swept")
    assert (guidance.printed, guidance.status) == ("7.2 L/s", Status.MEMORY)
    assert (standard.printed, standard.status) == ("5.2 L/s", Status.READ)


@pytest.mark.parametrize(
    ("limit", "used", "other"),
    [("stub_stack_closet_drop_max", 1.3, "1.5 m"), ("stub_stack_waste_drop_max", 2.0, "2.5 m")],
)
def test_stub_stacks_use_the_stricter_reading(limit: str, used: float, other: str) -> None:
    """upperplumbers.co.uk for the guidance, marleyplumbinganddrainage.com for the British annex."""
    cell = UK.limit(limit)
    assert cell.number == used
    assert [a.printed for a in cell.alternatives] == [other]


# knowledge.recoup.co.uk: 38 mm of water for 3 minutes, no drop
def test_drain_air_test_comes_from_the_guidance() -> None:
    row = UK.table("tests").exact(test="drain_air", stage=1.0)
    assert math.isclose(row.number("pressure"), 38 * MM_WC)
    assert (row.number("hold"), row.number("drop_max")) == (180.0, 0.0)


def test_buried_drain_air_test_keeps_both_durations() -> None:
    """From memory 7 min with a loss of 25 mm from 100 mm; happydrains.co.uk says 5 min."""
    row = UK.table("tests").exact(test="buried_drain_air", stage=2.0)
    assert row.number("hold") == 7 * MINUTE
    assert math.isclose(row.number("drop_max"), 25 * MM_WC)
    assert [a.printed for a in row.cell("hold").alternatives] == ["5 min"]


# defra.gov.uk, section 4 of the guidance: 1.5 times, one hour, rigid pipe
def test_supply_test_of_rigid_pipe() -> None:
    row = UK.table("tests").exact(test="supply_water_rigid", stage=1.0)
    assert (row.number("factor"), row.number("hold")) == (1.5, 3600.0)
    assert row.cell("factor_of").value == "maximum operating pressure"
    assert not row.cell("on_plastic").required


# upperplumbers.co.uk, commissioning: a 30 + 90 min at a third; b 30, 30 with 0.6 bar, 120 with 0.2 bar
def test_supply_tests_of_plastics() -> None:
    a, b = (UK.table("tests").select(test=f"supply_water_plastic_{letter}") for letter in "ab")
    assert [row.number("hold") / MINUTE for row in a] == [30, 90]
    assert math.isclose(a[1].number("factor") / a[0].number("factor"), 1 / 3)
    assert [row.number("hold") / MINUTE for row in b] == [30, 30, 120]
    assert math.isclose(b[1].number("drop_max") + b[2].number("drop_max"), 0.8 * BAR)


# hydrotest-scotland.com, eversafefire.com: 12 bar at the inlet, 15 min, 2015; 10 bar in 2006; one page 14
def test_dry_fire_main_test() -> None:
    row = UK.table("tests").exact(test="fire_dry_main", stage=1.0)
    assert math.isclose(row.number("pressure"), 12 * BAR)
    assert row.number("hold") == 15 * MINUTE
    assert [a.printed for a in row.cell("pressure").alternatives] == ["10 bar", "14 bar"]


# fireandsafety.co.uk FSSH 26, ukdryrisers.co.uk, fire-service notes BIF 21
@pytest.mark.parametrize(
    ("limit", "printed"),
    [
        ("fire_main_from_height", "18 m"),
        ("wet_main_from_height", "50 m"),
        ("dry_main_size_one_outlet", "100 mm"),
        ("dry_main_size_two_outlets", "150 mm"),
        ("fire_main_floor_area_max", "900 m2"),
        ("outlet_reach_max", "60 m"),
        ("wet_main_flow", "1500 L/min"),
        ("wet_main_duration", "45 min"),
        ("wet_main_outlet_pressure", "8 bar"),
        ("outlet_height", "750 mm"),
    ],
)
def test_fire_mains(limit: str, printed: str) -> None:
    cell = UK.limit(limit)
    assert cell.printed == printed
    assert cell.clause.document == "BS 9990"


def test_no_figure_of_bs_9990_claims_to_have_been_read() -> None:
    cells = [c for t in UK.tables.values() for r in t.rows for c in r.cells.values()]
    fire = [c for c in cells if c.clause.document == "BS 9990"]
    assert fire
    assert Status.READ not in {c.status for c in fire}
