# SPDX-License-Identifier: Apache-2.0
"""What all identification sets have in common."""

from __future__ import annotations

import re

import pytest

from riser.audit import Status
from riser.network.systems import SYSTEMS
from riser.rules import RuleSet, load_set, set_names

SETS = [s for s in map(load_set, set_names()) if "identification" in s.subjects]
every = pytest.mark.parametrize("rule_set", SETS, ids=lambda s: s.id)


@every
def test_every_row_is_a_system_of_riser_with_content_colour_and_screen_colour(rule_set: RuleSet) -> None:
    rows = rule_set.table("identification").rows
    systems = [str(row.cell("system").value) for row in rows]
    assert set(systems) <= set(SYSTEMS)
    for row in rows:
        assert row.cell("content").value
        assert row.cell("colour").value
        assert re.fullmatch(r"#[0-9A-F]{6}", str(row.cell("screen").value))


@every
def test_no_screen_colour_claims_to_be_read_in_the_standard(rule_set: RuleSet) -> None:
    cells = [row.cell("screen") for row in rule_set.table("identification").rows]
    assert {cell.status for cell in cells} == {Status.MEMORY}
    told = "approximate|equivalent|riser's choice|the colour is black"
    assert all(re.search(told, cell.clause.source) for cell in cells)


@every
def test_vents_have_no_colour_because_no_standard_names_them(rule_set: RuleSet) -> None:
    named = {row.cell("system").value for row in rule_set.table("identification").rows}
    assert "vent" not in named
    assert any("vent" in item for item in rule_set.left_out)


@every
def test_systems_with_one_content_have_one_colour(rule_set: RuleSet) -> None:
    rows = rule_set.table("identification").rows
    colours = {
        (row.cell("content").value, row.cell("colour").value, row.cell("screen").value) for row in rows
    }
    assert len({content for content, _, _ in colours}) == len(colours)


@every
def test_the_set_says_which_countries_it_serves_and_covers_nothing_else(rule_set: RuleSet) -> None:
    assert rule_set.serves
    assert rule_set.subjects == ("identification",)


def test_sets_of_other_subjects_serve_no_country() -> None:
    others = [load_set(name) for name in set_names() if name not in {s.id for s in SETS}]
    assert all(rule_set.serves == () for rule_set in others)
