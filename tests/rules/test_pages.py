# SPDX-License-Identifier: Apache-2.0
"""The page of a rule set lists all that is in it."""

from __future__ import annotations

import pytest

from riser.rules import load_set, rule_page, set_names


@pytest.mark.parametrize("name", set_names())
def test_every_table_limit_fixture_and_omission_stands_on_the_page(name: str) -> None:
    rule_set = load_set(name)
    page = rule_page(rule_set)
    tables = [t for t in rule_set.tables.values() if t.name not in ("limits", "clauses", "severities")]
    assert all(f"| `{table.name}` |" in page for table in tables)
    for entry in rule_set.fixtures:
        assert f"| {entry.kind} | {entry.use or 'any'} | {entry.control or 'any'} |" in page
    assert all(f"- {item}" in page for item in rule_set.left_out)
    if rule_set.has("limits"):
        assert all(f"`{row.cell('limit').value}`" in page for row in rule_set.table("limits").rows)


def test_the_page_counts_certainty_and_names_both_readings_of_a_conflict() -> None:
    page = rule_page(load_set("ipc_2021"))
    assert "It extends `ipc_2018`; what was read only there counts here as unverified." in page
    assert "| Table 710.1(1) | `building_drain` |" in page
    assert "first row not less | 36 | 0 | 36 | 0 | 0 |" in page
    assert "| 49 ft | 63 ft (2015 Plumbing Code of Utah" in page


def test_clauses_stand_in_the_order_of_the_code() -> None:
    page = rule_page(load_set("ipc_2021"))
    places = [page.index(f"| Table {clause} |") for clause in ("604.3", "709.1", "906.1", "1106.2")]
    assert places == sorted(places)


def test_an_amended_set_says_so() -> None:
    amendment = {
        "extends": "ipc_2021",
        "limits": {"rows": [{"limit": "static_pressure_max", "value": 100, "unit": "psi", "source": "city"}]},
    }
    page = rule_page(load_set("ipc_2021", {"rules/city.toml": amendment}))
    assert "Amended by rules/city.toml." in page
    assert "100 psi | local: local amendment rules/city.toml: city (was 80 psi) |" in page
    assert ", 1 local." in page


@pytest.mark.parametrize("name", set_names())
def test_every_line_of_a_table_has_as_many_cells_as_its_head(name: str) -> None:
    block: list[str] = []
    for line in [*rule_page(load_set(name)).splitlines(), ""]:
        if line.startswith("|"):
            block.append(line)
        elif block:
            cells = [row.replace("\\|", "").count("|") for row in block]
            assert len(set(cells)) == 1
            block = []
