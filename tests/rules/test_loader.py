# SPDX-License-Identifier: Apache-2.0
"""Rule sets from the package, the choice per subject and the pinned hash."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest

from riser.audit import Severity, Status
from riser.errors import NotInRules, RuleSetError
from riser.rules import GOOD_PRACTICE, RuleSet, choose_rules, load_set, set_names
from riser.rules.loader import _parsed, _raw_set

INCH = 0.0254
LOCAL = """
extends = "ipc_2021"
source = "city ordinance 12, in force 2024-03-01"

[building_drain]
rows = [
  { fall = "1/8", size = 4, fixture_units = 150 },
  { fall = "1/16", size = 6, fixture_units = 600 },
]

[limits]
rows = [{ limit = "static_pressure_max", value = 100, unit = "psi" }]

[severities]
rows = [{ code = "D10", severity = "error", clause = "local 7" }]

[[fixture]]
kind = "floor_drain"
rows.drainage_fixture_units = { fixture = "emergency floor drain" }
"""


def local(text: str = LOCAL, file: str = "rules/city.toml") -> dict[str, dict[str, Any]]:
    return {file: tomllib.loads(text)}


@pytest.mark.parametrize("name", set_names())
def test_every_set_loads_and_every_figure_has_a_source(name: str) -> None:
    rule_set = load_set(name)
    cells = [cell for table in rule_set.tables.values() for row in table.rows for cell in row.cells.values()]
    assert cells
    assert all(cell.clause.source.strip() and cell.clause.document for cell in cells)
    assert rule_set.title
    assert rule_set.left_out


@pytest.mark.parametrize("name", set_names())
def test_every_conflict_names_its_other_readings_and_why(name: str) -> None:
    for table in load_set(name).tables.values():
        for row in table.rows:
            contested = [c for c in row.cells.values() if c.alternatives]
            for cell in contested:
                assert cell.why
                assert cell.status is Status.CONFLICT
            if any(c.status is Status.CONFLICT for c in row.cells.values()):
                assert contested


def test_an_unknown_set_is_refused_with_those_there_are() -> None:
    with pytest.raises(RuleSetError, match=r"no such rule set. choose one of .*ipc_2021"):
        load_set("ipc_1066")


def test_what_is_not_toml_is_refused_by_file() -> None:
    with pytest.raises(RuleSetError, match=r"ipc_2021/x.toml: not a TOML file"):
        _parsed("ipc_2021/x.toml", "[drains\n")


def test_a_set_extending_another_edition_does_not_call_its_figures_read() -> None:
    old, new = load_set("ipc_2018"), load_set("ipc_2021")
    drains = {s.id: s.table("building_drain").exact(fall=1 / 96, size=4 * INCH) for s in (old, new)}
    assert drains["ipc_2018"].cell("fixture_units").status is Status.READ
    inherited = drains["ipc_2021"].cell("fixture_units").clause
    assert inherited.status is Status.MEMORY
    assert inherited.source.startswith("read in IPC 2018, not compared with this edition: ")
    assert inherited.text == "IPC 2021, Table 710.1(1)"
    assert drains["ipc_2021"].number("fixture_units") == drains["ipc_2018"].number("fixture_units")


def test_a_row_read_in_the_newer_edition_counts_as_read_there() -> None:
    key = {"fixture": "water closet", "use": "public", "control": "flushometer valve"}
    cell = load_set("ipc_2021").table("supply_fixture_units").exact(**key).cell("cold")
    assert (cell.value, cell.status) == (10.0, Status.READ)


def test_the_hash_follows_every_figure_and_every_amendment() -> None:
    plain = load_set("ipc_2021").hash
    assert plain == load_set("ipc_2021").hash
    assert len({plain, load_set("ipc_2018").hash, load_set("ipc_2021", local()).hash}) == 3
    again = load_set("ipc_2021", local(LOCAL.replace("150", "151"))).hash
    assert again != load_set("ipc_2021", local()).hash


def test_reordering_keys_in_an_amendment_does_not_change_the_hash() -> None:
    content = local()["rules/city.toml"]
    turned = dict(reversed(list(content.items())))
    assert load_set("ipc_2021", {"a": content}).hash == load_set("ipc_2021", {"a": turned}).hash


def test_a_project_chooses_a_set_per_subject() -> None:
    rules = choose_rules({"rules": {"drainage": "ipc_2021", "supply": "ipc_2018", "fire": "nfpa_14"}})
    assert [s.id for s in rules.sets] == ["ipc_2018", "ipc_2021", "nfpa_14"]
    assert rules.subject("supply").edition == "2018"
    with pytest.raises(NotInRules, match="no rule set for tests"):
        rules.subject("tests")
    assert choose_rules({}).sets == ()


CHOICE_FAULTS: dict[str, tuple[dict[str, Any], str]] = {
    "unknown subject": ({"rules": {"drains": "ipc_2021"}}, "no such subject"),
    "unknown set": ({"rules": {"drainage": "ipc_1066"}}, "no rule set 'ipc_1066'"),
    "set of another subject": (
        {"rules": {"fire": "ipc_2021"}},
        "ipc_2021 covers drainage, supply, tests, not fire",
    ),
    "not a table": ({"rules": "ipc_2021"}, "not a table"),
    "hash not a table": ({"rules_hash": "abc"}, "not a table"),
    "hash of a set not chosen": (
        {"rules_hash": {"ipc_2021": "a" * 64}},
        "a hash for a set that is not chosen",
    ),
    "another hash": (
        {"rules": {"drainage": "ipc_2021"}, "rules_hash": {"ipc_2021": "0" * 64}},
        "the project pins",
    ),
    "hash too short": (
        {"rules": {"drainage": "ipc_2021"}, "rules_hash": {"ipc_2021": ""}},
        "the project pins",
    ),
}


@pytest.mark.parametrize("fault", CHOICE_FAULTS)
def test_a_choice_that_cannot_be_meant_is_refused(fault: str) -> None:
    settings, sentence = CHOICE_FAULTS[fault]
    with pytest.raises(RuleSetError) as caught:
        choose_rules(settings)
    assert sentence in str(caught.value)
    assert caught.value.file == "project.toml"


def test_the_pinned_hash_is_accepted_in_full_or_by_twelve_digits() -> None:
    settings: dict[str, Any] = {"rules": {"drainage": "ipc_2021"}}
    pinned = choose_rules(settings).hashes["ipc_2021"]
    for text in (pinned, pinned[:12], pinned.upper()):
        assert choose_rules(settings | {"rules_hash": {"ipc_2021": text}}).hashes == {"ipc_2021": pinned}
    with pytest.raises(RuleSetError, match="rules diff"):
        choose_rules(settings | {"rules_hash": {"ipc_2021": pinned}}, local())


def test_a_limit_the_code_is_silent_on_comes_from_good_practice() -> None:
    rules = choose_rules({"rules": {"supply": "ipc_2021"}})
    with pytest.raises(
        NotInRules, match="International Plumbing Code 2021 states no limit dead_leg_diameters"
    ):
        rules.subject("supply").limit("dead_leg_diameters")
    cell = rules.limit("supply", "dead_leg_diameters")
    assert (cell.rule_set, cell.value, cell.status) == (GOOD_PRACTICE, 2.0, Status.CONFLICT)
    assert rules.limit("supply", "valve_at_riser_foot").rule_set == "ipc_2021"
    assert rules.limit("fire", "fire_riser_lag_floors").rule_set == GOOD_PRACTICE
    with pytest.raises(NotInRules, match="good practice states no limit nonsense"):
        rules.limit("supply", "nonsense")


def test_severity_comes_from_the_code_then_good_practice_then_the_default() -> None:
    rules = choose_rules({"rules": {"supply": "ipc_2021"}})
    assert rules.severity("supply", "S04", Severity.NOTE) is Severity.ERROR
    assert rules.severity("fire", "S04", Severity.NOTE) is Severity.WARNING
    assert rules.severity("supply", "J99", Severity.NOTE) is Severity.NOTE


def test_a_clause_not_listed_comes_back_as_not_read() -> None:
    rule_set = load_set("ipc_2021")
    assert rule_set.clause("704.2").text == "IPC 2021, 704.2"
    assert rule_set.clause("999.9").status is Status.MEMORY
    assert "not listed" in rule_set.clause("999.9").source


def test_the_packaged_text_is_read_once_and_never_handed_out_changed() -> None:
    first = load_set("ipc_2021").hash
    assert _raw_set("ipc_2021") is _raw_set("ipc_2021")
    load_set("ipc_2021", local())
    assert load_set("ipc_2021").hash == first


def test_certainty_counts_add_up_to_the_figures_of_the_set() -> None:
    rule_set: RuleSet = load_set("ipc_2018")
    figures = sum(
        len([c for c in row.cells if c not in table.key])
        for table in rule_set.tables.values()
        for row in table.rows
    )
    assert sum(rule_set.certainty().values()) == figures


def test_a_contested_key_counts_as_a_conflict() -> None:
    """The steel pipe of DN 25 is printed for 40 loading units here and 48 there."""
    assert load_set("en_806").certainty()[Status.CONFLICT] == 1
