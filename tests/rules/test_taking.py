# SPDX-License-Identifier: Apache-2.0
"""Tables that a set takes from another, and editions that lie over a later one."""

from __future__ import annotations

from dataclasses import replace

import pytest

from riser.audit import Status
from riser.errors import RuleSetError
from riser.rules import Cell, RuleSet, load_set, loader, set_names
from riser.rules.amendments import amended_tables
from riser.rules.loader import _hash, _lent_tables, _line_of, _RawSet, _with_own

SETS = [load_set(name) for name in set_names()]


def raw(takes: dict[str, list[str]], **tables: object) -> _RawSet:
    return _RawSet("mine", {"takes": takes}, {"mine/a.toml": tables} if tables else {}, ())


def test_a_table_that_is_taken_goes_on_citing_the_document_it_comes_from() -> None:
    cell = load_set("nfpa_14").table("equivalent_length").rows[0].cell("length")
    assert cell.clause.text == "NFPA 13 2016, Table 23.4.3.1.1"
    assert cell.status is Status.READ
    assert cell.rule_set == "nfpa_14"
    assert load_set("nfpa_14").takes["nfpa_13"][0] == "equivalent_length"


def test_rows_may_be_changed_in_a_table_that_is_taken_and_cite_their_own_document() -> None:
    british, european = load_set("uk_adh_bs_9990"), load_set("en_12056_2")
    assert british.limit("closet_drain_size_min").clause.text == "Approved Document H 2015, 1.24"
    assert british.limit("fill_branch_1").clause == european.limit("fill_branch_1").clause
    assert british.table("stacks").rows[0].cells["primary_square"].value == 0.0005


def test_fixtures_of_the_lender_come_with_the_tables_that_are_taken() -> None:
    found = load_set("uk_adh_bs_9990").fixture_row("lavatory").row("discharge_units")
    assert found.label == load_set("en_12056_2").fixture_row("lavatory").row("discharge_units").label


def test_taking_what_is_not_there_or_twice_is_refused() -> None:
    with pytest.raises(RuleSetError, match="nfpa_13 has no such table"):
        _lent_tables(raw({"nfpa_13": ["densities"]}))
    with pytest.raises(RuleSetError, match="takes it twice"):
        _lent_tables(raw({"nfpa_13": ["tests"], "nfpa_14": ["tests"]}))
    with pytest.raises(RuleSetError, match="no such rule set"):
        _lent_tables(raw({"nfpa_1066": ["tests"]}))


def test_the_head_of_a_table_that_is_taken_may_not_be_changed() -> None:
    mine = raw({"nfpa_13": ["tests"]}, tests={"title": "other", "rows": []})
    with pytest.raises(RuleSetError, match="may not change title"):
        _with_own(_lent_tables(mine), mine)


def test_the_hash_follows_the_figures_that_are_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    line = _line_of("nfpa_14")
    before = _hash(line, {})
    assert before == load_set("nfpa_14").hash
    lent = _lent_tables(line[0])
    table = lent["darcy_roughness"]
    changed = replace(
        table, rows=(replace(table.rows[0], values={**table.rows[0].values, "roughness": 0.1}),)
    )
    monkeypatch.setattr(loader, "_lent_tables", lambda _: {**lent, "darcy_roughness": changed})
    assert _hash(line, {}) != before


def test_an_older_edition_cites_the_later_one_where_it_was_not_read() -> None:
    older = load_set("gb_50015_2009")
    velocity = older.table("velocity").rows[0].cell("velocity").clause
    assert velocity.text == "GB 50015 2019, Table 3.7.13"
    assert velocity.status is Status.MEMORY
    assert velocity.source.startswith("read in GB 50015 2019, not compared with this edition: ")


def test_what_another_document_says_stays_read_under_a_thin_set() -> None:
    clause = load_set("gb_50015_2009").table("tests").rows[0].cell("pressure").clause
    assert (clause.text, clause.status) == ("GB 50242 2002, 4.2.1", Status.READ)


def test_a_thin_set_of_the_package_may_give_a_table_as_a_whole() -> None:
    older, later = load_set("gb_50015_2009").table("stacks"), load_set("gb_50015_2019").table("stacks")
    assert older.clause == "Table 4.4.11"
    assert "stack vent, kitchen" in later.distinct("venting")
    assert "stack vent, kitchen" not in older.distinct("venting")


def test_a_local_amendment_may_not_give_a_table_as_a_whole() -> None:
    amendment = {"extends": "gb_50015_2019", "stacks": {"whole": True, "rows": []}}
    with pytest.raises(RuleSetError, match="may not change whole"):
        amended_tables(
            _lent_tables(raw({"gb_50015_2019": ["stacks"]})), "rules/a.toml", amendment, local=True
        )


def _figures(rule_set: RuleSet) -> dict[tuple[str, ...], Cell]:
    return {
        (cell.clause.document, cell.clause.edition, name, row.label, column): cell
        for name, table in rule_set.tables.items()
        for row in table.rows
        for column, cell in row.cells.items()
    }


def test_one_clause_says_the_same_in_every_set_that_carries_it() -> None:
    """Some facts stand in two files; this keeps the copies together."""
    known: dict[tuple[str, ...], Cell] = {}
    shared = 0
    for rule_set in SETS:
        for place, cell in _figures(rule_set).items():
            before = known.setdefault(place, cell)
            shared += before is not cell
            assert before.printed == cell.printed, f"{place}: {before.rule_set} and {rule_set.id}"
    assert shared > 300
