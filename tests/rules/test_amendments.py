# SPDX-License-Identifier: Apache-2.0
"""Local amendments: what they change, how it shows, and what is refused."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest

from riser.audit import InRules, Severity, Status
from riser.errors import RuleSetError
from riser.rules import choose_rules, load_set

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


def test_an_amended_figure_shows_as_local_with_its_file_and_what_it_was() -> None:
    table = load_set("ipc_2021", local()).table("building_drain")
    cell = table.exact(fall=1 / 96, size=4 * INCH).cell("fixture_units")
    assert (cell.value, cell.status, cell.printed) == (150.0, Status.LOCAL, "150 dfu")
    assert cell.clause.source == (
        "local amendment rules/city.toml: city ordinance 12, in force 2024-03-01 (was 180 dfu)"
    )
    origin = cell.given().origin
    assert isinstance(origin, InRules)
    assert origin.clause.status is Status.LOCAL


def test_rows_not_amended_stay_as_they_were() -> None:
    before, after = load_set("ipc_2021"), load_set("ipc_2021", local())
    key = {"fall": 1 / 96, "size": 3 * INCH}
    assert after.table("building_drain").exact(**key) == before.table("building_drain").exact(**key)
    assert after.tables["vent_length"] == before.tables["vent_length"]


def test_an_added_row_is_put_in_its_place_by_size() -> None:
    table = load_set("ipc_2021", local()).table("building_drain")
    sizes = [round(row.number("size") / INCH, 3) for row in table.select(fall=1 / 192)]
    assert sizes == [6, 8, 10, 12, 15]
    assert table.first_not_less("fixture_units", 500.0, fall=1 / 192).row.label == "1/16 in/ft, 6 in"


def test_an_added_group_of_rows_is_put_in_its_place_too() -> None:
    text = """extends = "ipc_2021"
[building_drain]
source = "city ordinance 12"
rows = [{ fall = "3/16", size = 4, fixture_units = 198 }, { fall = "3/16", size = 3, fixture_units = 39 }]"""
    table = load_set("ipc_2021", local(text)).table("building_drain")
    assert [round(float(fall) * 192) for fall in table.distinct("fall")] == [1, 2, 3, 4, 8]
    assert [row.number("fixture_units") for row in table.select(fall=3 / 192)] == [39.0, 198.0]


def test_limits_severities_and_fixture_rows_can_be_amended() -> None:
    rule_set = load_set("ipc_2021", local())
    limit = rule_set.limit("static_pressure_max")
    assert (limit.printed, limit.status) == ("100 psi", Status.LOCAL)
    assert "(was 80 psi)" in limit.clause.source
    assert rule_set.severity("D10", Severity.NOTE) is Severity.ERROR
    assert rule_set.fixture_row("floor_drain").row("drainage_fixture_units").number("fixture_units") == 0.0
    assert rule_set.amended_by == ("rules/city.toml",)


def test_an_amendment_that_is_itself_unsure_stays_unsure() -> None:
    text = LOCAL.replace("fixture_units = 150 }", 'fixture_units = 150, status = "memory" }')
    cell = load_set("ipc_2021", local(text)).table("building_drain").exact(fall=1 / 96, size=4 * INCH)
    assert cell.cell("fixture_units").status is Status.MEMORY
    assert cell.cell("fixture_units").clause.source.startswith("local amendment rules/city.toml")


def test_amending_a_conflict_settles_it() -> None:
    text = """extends = "ipc_2021"
[limits]
rows = [{ limit = "fixture_units_per_flow", value = 1, source = "s" }]"""
    cell = load_set("ipc_2021", local(text)).limit("fixture_units_per_flow")
    assert (cell.value, cell.status, cell.alternatives) == (1.0, Status.LOCAL, ())


def test_amending_one_figure_of_a_conflict_row_leaves_the_other_in_conflict() -> None:
    text = """extends = "ipc_2021"
[demand]
rows = [{ load = 4000, flush_tank = 535, source = "s" }]"""
    row = load_set("ipc_2021", local(text)).table("demand").exact(load=4000.0)
    tank, valve = row.cell("flush_tank"), row.cell("flush_valve")
    assert (tank.printed, tank.status, tank.alternatives) == ("535 gpm", Status.LOCAL, ())
    assert (valve.printed, valve.status) == ("525 gpm", Status.CONFLICT)
    assert [a.printed for a in valve.alternatives] == ["535 gpm"]


AMENDMENT_FAULTS = {
    "no source": (
        'extends = "ipc_2021"\n[limits]\nrows = [{ limit = "x", value = 1, unit = "m" }]',
        "no source",
    ),
    "unknown column": (
        'extends = "ipc_2021"\n[limits]\nrows = [{ limit = "x", valeu = 1, source = "s" }]',
        "unknown key 'valeu'",
    ),
    "changes the head": (
        'extends = "ipc_2021"\n[building_drain]\nlookup = "exact"\nrows = []',
        "may not change lookup",
    ),
    "not a table": ('extends = "ipc_2021"\ndead_legs = 3', "not a table"),
    "order lost": (
        'extends = "ipc_2021"\n[building_drain]\n'
        'rows = [{ fall = "1/8", size = 4, fixture_units = 20, source = "s" }]',
        "fixture_units falls",
    ),
    "new table without head": (
        'extends = "ipc_2021"\n[mine]\nrows = [{ a = 1, source = "s" }]',
        "no columns",
    ),
    "unknown severity": (
        'extends = "ipc_2021"\n[severities]\nrows = [{ code = "D10", severity = "fatal", source = "s" }]',
        "unknown severity 'fatal'",
    ),
    "fixture without rows": ('extends = "ipc_2021"\n[[fixture]]\nkind = "bath"', "not a fixture entry"),
    "fixture to a row that is not there": (
        'extends = "ipc_2021"\n[[fixture]]\nkind = "bath"\n'
        'rows.drainage_fixture_units = { fixture = "barrel" }',
        "has no single row",
    ),
    "fixture to a table that is not there": (
        'extends = "ipc_2021"\n[[fixture]]\nkind = "bath"\nrows.drains = { fixture = "barrel" }',
        "has no single row",
    ),
    "fixture twice": (
        'extends = "ipc_2021"\n' + '[[fixture]]\nkind = "bath"\nrows = {}\n' * 2,
        "a second entry",
    ),
}


@pytest.mark.parametrize("fault", AMENDMENT_FAULTS)
def test_a_faulty_amendment_is_refused_by_its_file(fault: str) -> None:
    text, sentence = AMENDMENT_FAULTS[fault]
    with pytest.raises(RuleSetError) as caught:
        load_set("ipc_2021", local(text))
    assert sentence in str(caught.value)
    assert caught.value.file == "rules/city.toml"
    assert caught.value.remedy


def test_a_new_table_may_come_from_an_amendment() -> None:
    text = """extends = "ipc_2021"
[storeys]
clause = "local 9"
key = "storeys"
columns = { storeys = "count", zones = "count" }
source = "city ordinance 12"
rows = [{ storeys = 20, zones = 2 }]"""
    cell = load_set("ipc_2021", local(text)).table("storeys").exact(storeys=20.0).cell("zones")
    assert (cell.status, cell.value) == (Status.LOCAL, 2.0)


def test_two_amendments_of_one_figure_are_refused() -> None:
    both = local() | local(LOCAL.replace("150", "160"), "rules/county.toml")
    with pytest.raises(RuleSetError, match=r"rules/county.toml.* already set by rules/city.toml"):
        load_set("ipc_2021", both)


def test_an_amendment_of_another_set_is_left_alone_and_named() -> None:
    other = local(LOCAL.replace("ipc_2021", "ipc_2018"))
    assert load_set("ipc_2021", other).hash == load_set("ipc_2021").hash
    rules = choose_rules({"rules": {"drainage": "ipc_2021"}}, other)
    assert rules.unused_amendments == ("rules/city.toml",)


def test_an_amendment_must_say_which_set_it_amends() -> None:
    with pytest.raises(RuleSetError, match="does not say which set it amends"):
        load_set("ipc_2021", {"rules/city.toml": {}})
    with pytest.raises(RuleSetError, match="no rule set 'ipc_1066'"):
        choose_rules({}, {"rules/city.toml": {"extends": "ipc_1066"}})
