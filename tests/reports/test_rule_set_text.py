# SPDX-License-Identifier: Apache-2.0
"""Rule sets in words: nothing wider than a terminal, nothing left out."""

from __future__ import annotations

import pytest

from riser.reports.rule_set_text import (
    certainty_words,
    differences_text,
    row_json,
    set_list_text,
    set_text,
    table_text,
)
from riser.rules import RuleSet, load_set, rule_differences, set_names

SETS = {name: load_set(name) for name in set_names()}
every = pytest.mark.parametrize("rule_set", SETS.values(), ids=SETS)


def narrow(text: str) -> bool:
    return all(len(line) <= 100 for line in text.splitlines())


def together(text: str) -> str:
    return "".join(text.split())


@every
def test_the_text_of_a_set_names_all_tables_and_all_that_is_left_out(rule_set: RuleSet) -> None:
    text = set_text(rule_set)
    assert narrow(text)
    assert all(f"{name} " in text for name in rule_set.tables)
    assert all(together(item) in together(text) for item in rule_set.left_out)


@every
def test_the_text_of_a_table_has_every_row_figure_note_and_other_reading(rule_set: RuleSet) -> None:
    for table in rule_set.tables.values():
        text = table_text(table)
        assert narrow(text)
        packed = together(text)
        for row in table.rows:
            assert together(row.label) in packed
            assert together(row.note) in packed
            for column, cell in row.cells.items():
                assert column in table.key or together(f"{column} {cell.printed}") in packed
                assert all(together(other.source) in packed for other in cell.alternatives)


@every
def test_a_row_as_json_holds_every_cell(rule_set: RuleSet) -> None:
    table = next(iter(rule_set.tables.values()))
    data = row_json(table, table.rows[0])
    assert set(data["cells"]) == set(table.rows[0].cells)
    assert all(cell["source"] and cell["clause"] for cell in data["cells"].values())


def test_the_list_tells_certainty_country_and_subjects() -> None:
    text = set_list_text(SETS.values())
    assert narrow(text)
    assert "BS 1710, identification of pipelines and services, 2014 (UK)" in text
    assert "what other sets leave open" in text


def test_certainty_in_words_leaves_out_what_there_is_none_of() -> None:
    assert certainty_words(SETS["bs_1710"].certainty()) == "12 read, 33 unverified"
    assert certainty_words(SETS["upc_2021"].certainty()).endswith(" unverified, 1 conflict")


def test_differences_of_very_different_sets_stay_narrow() -> None:
    a, b = SETS["ipc_2021"], SETS["uk_adh_bs_9990"]
    text = differences_text(a, b, rule_differences(a, b))
    assert narrow(text)
    assert "building_drain\n    a 36 rows; b nothing" in text
