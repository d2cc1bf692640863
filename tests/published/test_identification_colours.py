# SPDX-License-Identifier: Apache-2.0
"""Colours of pipes against a copy of published values made apart from the rule sets."""

from __future__ import annotations

import math

import pytest

from riser.audit import Status
from riser.errors import NotInRules
from riser.rules import Row, load_set

BS, ASME, GB = (load_set(name) for name in ("bs_1710", "asme_a13_1", "gb_7231"))
FOOT = 0.3048


def row(rule_set: str, system: str) -> Row:
    return load_set(rule_set).table("identification").exact(system=system)


# rmlabels.com, 2017-01-05, on BS 1710:2014: water is 12 D 45 with a centre band that says where it comes from
@pytest.mark.parametrize(
    ("system", "band"),
    [("cold", "blue 18 E 53"), ("non_potable", "black 00 E 53"), ("fire", "red 04 E 53")],
)
def test_british_water_bands_of_2014(system: str, band: str) -> None:
    found = row("bs_1710", system)
    assert found.cell("code").value == "BS 4800 12 D 45"
    assert found.cell("bands").value == band
    assert found.cell("bands").status is Status.READ


# graphicproducts.com and labelsource.co.uk: drainage black; codes 00 E 53 and 06 E 51 from memory
def test_british_drains_and_cables() -> None:
    assert {row("bs_1710", s).cell("colour").value for s in ("soil", "waste", "rainwater")} == {"black"}
    assert row("bs_1710", "soil").cell("code").value == "BS 4800 00 E 53"
    assert row("bs_1710", "power").cell("code").value == "BS 4800 06 E 51"
    assert row("bs_1710", "power").cell("code").status is Status.MEMORY


# BS 1710 Annex D, from memory: hot water supply white, crimson 04 D 45, white
def test_british_hot_water_bands_are_unverified() -> None:
    cell = row("bs_1710", "hot").cell("bands")
    assert (cell.value, cell.status) == ("white/crimson 04 D 45/white", Status.MEMORY)


# www.w3schools.com/colors/colors_british.asp: approximate sRGB of BS 4800
@pytest.mark.parametrize(("system", "screen"), [("cold", "#626E19"), ("power", "#FF9B61")])
def test_british_screen_colours(system: str, screen: str) -> None:
    assert row("bs_1710", system).cell("screen").value == screen


# scribd.com/document/392874521, a sheet on ASME A13.1-2015: fire red, water green, both with white letters
@pytest.mark.parametrize(
    ("system", "colour"),
    [("fire", "red"), ("cold", "green"), ("hot", "green"), ("non_potable", "green"), ("rainwater", "green")],
)
def test_american_labels(system: str, colour: str) -> None:
    found = row("asme_a13_1", system)
    assert (found.cell("colour").value, found.cell("lettering").value) == (colour, "white")
    assert found.cell("colour").status is Status.READ


@pytest.mark.parametrize("system", ["soil", "waste", "vent", "power", "data"])
def test_what_american_labels_do_not_name_is_no_row(system: str) -> None:
    with pytest.raises(NotInRules):
        row("asme_a13_1", system)


# pipelabels.com/asme-a13-1-2007.php
@pytest.mark.parametrize(
    ("outside_mm", "length_mm", "letters_mm"),
    [(22, 200, 13), (51, 200, 19), (114, 300, 32), (219, 600, 64), (324, 800, 89)],
)
def test_american_label_sizes(outside_mm: int, length_mm: int, letters_mm: int) -> None:
    found = ASME.table("label_sizes").bracket(outside_mm / 1000).row
    assert math.isclose(found.number("length"), length_mm / 1000)
    assert math.isclose(found.number("letters"), letters_mm / 1000)


def test_american_pipes_too_small_for_a_label_are_said_to_carry_a_tag() -> None:
    with pytest.raises(NotInRules, match="carry a tag"):
        ASME.table("label_sizes").bracket(0.015)


def test_american_labels_stand_at_most_fifty_feet_apart() -> None:
    """A label maker's notes of 2010."""
    assert math.isclose(ASME.limit("label_spacing_max").number, 50 * FOOT)


# http://www.sdwfeia.com/jianli/1412.html, a company rule that repeats GB 7231-2003 chapter 4
def test_chinese_water_is_bright_green_g03() -> None:
    for system in ("cold", "hot", "hot_return", "non_potable", "rainwater"):
        cell = row("gb_7231", system).cell("code")
        assert (cell.value, cell.status) == ("GB/T 3181 G03", Status.READ)


def test_chinese_drains_are_another_liquid_whose_colour_is_from_memory() -> None:
    cell = row("gb_7231", "soil").cell("colour")
    assert (cell.value, cell.status) == ("black", Status.MEMORY)
    assert not row("gb_7231", "soil").has("code")


def test_chinese_fire_pipes_in_buildings_follow_the_fire_water_code() -> None:
    """GB 50974-2014 12.3.24, from memory: red, or red rings of 20 mm at most 4 m apart."""
    cell = row("gb_7231", "fire").cell("colour")
    assert (cell.value, cell.clause.text) == ("red", "GB 50974 2014, 12.3.24")
    assert math.isclose(GB.limit("fire_ring_width_min").number, 0.020)
    assert GB.limit("fire_ring_spacing_max").number == 4.0


# http://www.3dportal.cn/discuz/forum.php?mod=viewthread&page=1&tid=338776
def test_chinese_marks() -> None:
    assert math.isclose(GB.limit("mark_ring_width").number, 0.150)
    assert GB.limit("mark_spacing_printed").number == 10.0
