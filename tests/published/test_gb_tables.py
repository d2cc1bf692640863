# SPDX-License-Identifier: Apache-2.0
"""Chinese figures against a copy of published values made apart from the rule set."""

from __future__ import annotations

import math

import pytest

from riser.audit import Status
from riser.rules import load_set

GB = load_set("gb_50015_2019")
LPS, MM, MPA = 1e-3, 1e-3, 1e6


def near(found: float, published: float) -> bool:
    return math.isclose(found, published, rel_tol=1e-12)


# GB 50015-2003(2009) T3.1.14, m.docduoduo.com/p-11305658.html; pressures of 2019 from memory
@pytest.mark.parametrize(
    ("fixture", "flow", "equivalents", "size", "pressure"),
    [
        ("washbasin, mixer", 0.15, 0.75, 15, 0.1),
        ("WC, cistern float valve", 0.10, 0.50, 15, 0.05),
        ("WC, time-delay flush valve", 1.20, 6.0, 25, 0.1),
        ("bath, mixer (incl. shower diverter)", 0.24, 1.20, 15, 0.1),
        ("shower, mixer", 0.15, 0.75, 15, 0.1),
        ("domestic washing machine", 0.20, 1.0, 15, 0.1),
    ],
)
def test_supply_fixtures(fixture: str, flow: float, equivalents: float, size: int, pressure: float) -> None:
    row = GB.table("supply_fixtures").exact(fixture=fixture)
    assert near(row.number("flow"), flow * LPS)
    assert row.number("equivalents") == equivalents
    assert near(row.number("size"), size * MM)
    assert near(row.number("pressure"), pressure * MPA)


def test_equivalents_are_a_fifth_of_a_litre_per_second_each() -> None:
    """The definition of Ng, 0.2 L/s each, holds for every row printed: an independent check of the table."""
    for row in GB.table("supply_fixtures").rows:
        assert row.number("flow") / LPS / 0.2 == pytest.approx(row.number("equivalents"))


def test_drainage_equivalents_are_a_third_of_a_litre_per_second_each() -> None:
    """The definition of Np, 0.33 L/s each, holds within the printed rounding."""
    for row in GB.table("drainage_fixtures").rows:
        assert row.number("flow") / LPS / 0.33 == pytest.approx(row.number("equivalents"), abs=0.1)


# https://m.examw.com/shiti/93005636 and https://www.xiaomilidoc.com/p-2733486.html
@pytest.mark.parametrize(
    ("fixture", "flow", "equivalents"),
    [
        ("WC cistern", 1.5, 4.5),
        ("hand basin", 0.1, 0.3),
        ("sink, mop sink", 0.33, 1.0),
        ("urinal flush/sensor", 0.1, 0.3),
    ],
)
def test_drainage_fixtures(fixture: str, flow: float, equivalents: float) -> None:
    row = GB.table("drainage_fixtures").exact(fixture=fixture)
    assert near(row.number("flow"), flow * LPS)
    assert row.number("equivalents") == equivalents


def test_worked_example_thirty_storey_office() -> None:
    """https://m.examw.com/shiti/93005636.

    25 floors of 7 closets and 5 urinals give 8.39 L/s of soil, 4 hand basins and 2 sinks 2.48 L/s of waste,
    with alpha 2.0.
    """
    table = GB.table("drainage_fixtures")
    alpha = GB.table("drainage_alpha").exact(use="public").number("alpha_min")
    soil = [(7, "WC cistern"), (5, "urinal flush/sensor")]
    waste = [(4, "hand basin"), (2, "sink, mop sink")]
    for fixtures, published in ((soil, 8.39), (waste, 2.48)):
        rows = [(count, table.exact(fixture=name)) for count, name in fixtures]
        equivalents = 25 * sum(count * row.number("equivalents") for count, row in rows)
        largest = max(row.number("flow") for _, row in rows) / LPS
        assert 0.12 * alpha * math.sqrt(equivalents) + largest == pytest.approx(published, abs=0.005)


def test_alpha_c_is_read_at_three_percent_and_straight_between() -> None:
    """https://xueke.org/wenku/53125_2.html: 0.01939 at 3.0 %."""
    table = GB.table("dwelling_alpha_c")
    assert table.linear("u0", 0.03, "alpha_c").figure == 0.01939
    assert table.exact(u0=0.03).cell("alpha_c").status is Status.READ
    assert table.linear("u0", 0.0325, "alpha_c").figure == pytest.approx((0.01939 + 0.02374) / 2)


def test_alpha_c_agrees_with_its_closed_form() -> None:
    """Where the table ends, at Ng = 200/U0, the share in use equals U0; solved for alpha c."""
    for row in GB.table("dwelling_alpha_c").rows:
        u0 = row.number("u0")
        closed = (math.sqrt(200 * u0) - 1) / (200 / u0 - 1) ** 0.49
        assert row.number("alpha_c") == pytest.approx(closed, abs=1e-5)


# https://www.chaxiaohao.com/read-1752052585l6293278.html (GB 50015-2019 T3.7.13); hot water from memory
@pytest.mark.parametrize(
    ("system", "size", "velocity"),
    [
        ("cold", 15, 1.0),
        ("cold", 20, 1.0),
        ("cold", 40, 1.2),
        ("cold", 65, 1.5),
        ("cold", 100, 1.8),
        ("hot", 25, 1.0),
    ],
)
def test_velocity_by_size(system: str, size: int, velocity: float) -> None:
    assert GB.table("velocity").bracket(size * MM, system=system).row.number("velocity") == velocity


# http://m.jianbiaoku.com/webarbs/book/130/4152923.shtml, 3.4.2 to 3.4.5
@pytest.mark.parametrize(
    ("limit", "pressure"),
    [
        ("fitting_pressure_max", 0.60),
        ("static_pressure_max", 0.45),
        ("static_pressure_hot_max", 0.55),
        ("dwelling_inlet_pressure_max", 0.35),
    ],
)
def test_pressure_limits(limit: str, pressure: float) -> None:
    cell = GB.limit(limit)
    assert near(cell.number, pressure * MPA)
    assert cell.status is Status.READ


# http://rogallohanggliders.com/news/1861.html (cast iron)
@pytest.mark.parametrize(
    ("size", "fall", "least"), [(50, 35, 25), (75, 25, 15), (100, 20, 12), (150, 10, 7), (200, 8, 5)]
)
def test_falls_of_cast_iron_drains(size: int, fall: int, least: int) -> None:
    row = GB.table("drain_falls").exact(material="cast iron", size=size * MM)
    assert near(row.number("fall"), fall * MM)
    assert near(row.number("least"), least * MM)


def test_acceptance_asks_a_steeper_least_fall_than_design_and_both_are_kept() -> None:
    """GB 50242-2002 T5.2.3 (110 mm plastic: 6 mm/m, from memory) against GB 50015-2019 T4.5.6 (4 mm/m)."""
    design = GB.table("drain_falls").exact(material="plastic", size=110 * MM)
    accepted = GB.table("acceptance_falls").exact(material="plastic", size=110 * MM)
    assert design.number("least") < accepted.number("least")
    assert accepted.cell("least").clause.text == "GB 50242 2002, Table 5.2.3"


def test_no_stack_capacity_claims_to_have_been_read() -> None:
    assert GB.table("stacks").certainty()[Status.READ] == 0


def test_supply_test_pressures() -> None:
    """GB 50242-2002 4.2.1, https://inayun.cn/biaoge/jiangsu/fangjian/jiangsu-fangjian-009/381056/document.

    1.5 times working pressure and at least 0.6 MPa; metal 10 min, drop 0.02 MPa, plastic 60 min, then 1.15.
    """
    metal = GB.table("tests").exact(test="supply_water_metal", stage=1.0)
    assert near(metal.number("pressure"), 0.6 * MPA)
    assert (metal.number("factor"), metal.number("hold")) == (1.5, 600.0)
    assert near(metal.number("drop_max"), 0.02 * MPA)
    plastic = GB.table("tests").select(test="supply_water_plastic")
    assert [row.number("hold") for row in plastic] == [3600.0, 7200.0]
    assert [row.number("factor") for row in plastic] == [1.5, 1.15]


def test_position_of_stubs_single_and_in_a_row() -> None:
    """GB 50242-2002 T7.4.3: https://www.m448.com/info/docview_1016245.html."""
    assert near(GB.limit("stub_tolerance").number, 10 * MM)
    assert "5 mm in a row" in GB.table("limits").exact(limit="stub_tolerance").note
