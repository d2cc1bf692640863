# SPDX-License-Identifier: Apache-2.0
"""Standpipe figures against a copy of published values made apart from the rule set."""

from __future__ import annotations

import math

import pytest

from riser.rules import load_set

INCH, FOOT = 0.0254, 0.3048
GPM = 231 * INCH**3 / 60
PSI = 6894.757293168361  # NIST SP 811
NFPA = load_set("nfpa_14")


@pytest.mark.parametrize(
    ("limit", "value"),
    [
        # https://www.scribd.com/document/650289641/Standpipe-Calc
        ("flow_most_remote_standpipe", 500 * GPM),
        ("flow_further_standpipe", 250 * GPM),
        ("flow_cap_sprinklered", 1000 * GPM),
        ("flow_cap_not_sprinklered", 1250 * GPM),
        ("flow_horizontal_standpipe", 750 * GPM),
        # https://www.scribd.com/document/309093880/Fire-Hose-Cabinit
        ("residual_2_1_2_min", 100 * PSI),
        ("residual_1_1_2_min", 65 * PSI),
        ("standpipe_size_min", 4 * INCH),
        ("combined_size_min", 6 * INCH),
        # https://pt.scribd.com/document/365861310/12-location-of-hose-pdf
        ("static_2_1_2_max", 175 * PSI),
        # https://ibc-wiki.com/section-3311
        ("fire_riser_lag_floors", 1.0),
        ("fire_riser_from_height", 40 * FOOT),
    ],
)
def test_standpipe_limits(limit: str, value: float) -> None:
    assert math.isclose(NFPA.limit(limit).number, value, rel_tol=1e-12)


def test_the_lag_of_the_fire_riser_is_a_clause_of_the_building_code() -> None:
    assert NFPA.limit("fire_riser_lag_floors").clause.text == "IBC, 3311"


def test_acceptance_test_200_psi_two_hours_or_50_over() -> None:
    """https://ufgscriteriadocreport.tpub.com/13945A/13945A0035.htm."""
    row = NFPA.table("tests").exact(test="fire_water", stage=1.0)
    assert math.isclose(row.number("pressure"), 200 * PSI, rel_tol=1e-12)
    assert math.isclose(row.number("over"), 50 * PSI, rel_tol=1e-12)
    assert row.number("hold") == 7200.0
    assert row.number("drop_max") == 0.0
    assert row.cell("reference_point").value == "low point"


# NFPA 13 2016 Table 23.4.3.1.1: https://scribd.com/document/603305688/Fitting
@pytest.mark.parametrize(
    ("fitting", "size", "length"),
    [
        ("90 standard elbow", 4, 10),
        ("90 standard elbow", 6, 14),
        ("tee or cross, flow turned 90", 2.5, 12),
        ("45 elbow", 0.75, 1),
        ("90 long-turn elbow", 0.5, 0.5),
        ("butterfly valve", 4, 12),
        ("gate valve", 12, 6),
        ("swing check", 6, 32),
    ],
)
def test_equivalent_lengths(fitting: str, size: float, length: float) -> None:
    cell = NFPA.table("equivalent_length").exact(fitting=fitting, size=size * INCH).cell("length")
    assert math.isclose(cell.number, length * FOOT, rel_tol=1e-12)
    assert cell.clause.text == "NFPA 13 2016, Table 23.4.3.1.1"


@pytest.mark.parametrize(
    ("pipe", "c"),
    [
        # NFPA 13 (2010) annex: https://www.scribd.com/document/345693169/He-So-Reynolds-Number
        ("black steel, wet or deluge", 120),
        ("black steel, dry or preaction", 100),
        ("copper tube", 150),
        # https://de.scribd.com/document/247893381/The-Hazren-Williams-Formula
        ("unlined cast or ductile iron", 100),
        ("galvanized steel, wet or deluge", 120),
    ],
)
def test_hazen_williams_c(pipe: str, c: float) -> None:
    assert NFPA.table("hazen_williams_c").exact(pipe=pipe).number("c") == c


def test_contested_c_values_take_the_one_with_more_friction() -> None:
    for pipe in ("galvanized steel, dry or preaction", "cement-lined cast or ductile iron"):
        cell = NFPA.table("hazen_williams_c").exact(pipe=pipe).cell("c")
        assert all(cell.number < float(other.printed) for other in cell.alternatives)
