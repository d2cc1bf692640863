# SPDX-License-Identifier: Apache-2.0
"""A rule table that is not in order does not load, and says where and what to do."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from riser.audit import Status
from riser.errors import RuleSetError
from riser.rules import Table
from riser.rules.table_reading import Edition, RawRow, RawTable, read_table

GOOD: dict[str, Any] = {
    "clause": "Table 1",
    "title": "Drains",
    "key": ["size"],
    "lookup": "first_row_not_less",
    "columns": {"size": "in", "load": "dfu"},
    "source": "invented for a test",
}
ROWS: list[dict[str, Any]] = [
    {"size": 2, "load": 21, "status": "read"},
    {"size": "2-1/2", "load": 24, "status": "memory", "source": "recalled"},
    {
        "size": 3,
        "load": 42,
        "status": "conflict",
        "alternatives": [{"load": 36, "source": "another print"}],
        "used": {"load": 42},
        "why": "the newer print",
    },
]


def read(head: dict[str, Any], rows: list[dict[str, Any]]) -> Table:
    return read_table(
        RawTable("drainage.toml", "drains", head, tuple(RawRow(r) for r in rows)),
        Edition("invented_2020", "Invented Code", "2020"),
    )


def test_a_good_table_keeps_printed_text_source_status_and_other_readings() -> None:
    table = read(GOOD, ROWS)
    first, second, third = (row.cell("load") for row in table.rows)
    assert (first.printed, first.clause.source, first.status) == (
        "21 dfu",
        "invented for a test",
        Status.READ,
    )
    assert (second.clause.source, second.status) == ("recalled", Status.MEMORY)
    assert (third.status, third.alternatives[0].printed, third.why) == (
        Status.CONFLICT,
        "36 dfu",
        "the newer print",
    )
    assert table.rows[1].number("size") == 2.5 * 0.0254


def test_a_single_cell_may_be_less_sure_than_its_row() -> None:
    rows = copy.deepcopy(ROWS)
    rows[0] |= {"cell_status": {"load": "memory"}, "cell_source": {"load": "page cut off"}}
    cells = read(GOOD, rows).rows[0].cells
    assert (cells["size"].status, cells["load"].status) == (Status.READ, Status.MEMORY)
    assert cells["load"].clause.source == "page cut off"


def test_a_row_may_stand_in_another_document_than_its_set() -> None:
    rows = copy.deepcopy(ROWS)
    rows[0] |= {"document": "Building Code", "edition": "2018", "clause": "3311"}
    assert read(GOOD, rows).rows[0].cell("load").clause.text == "Building Code 2018, 3311"


HEAD_FAULTS: dict[str, tuple[dict[str, Any], str]] = {
    "unknown key": ({"colums": {}}, "unknown key 'colums'"),
    "unknown look-up": ({"lookup": "nearest"}, "look-up 'nearest' does not exist"),
    "no columns": ({"columns": {}}, "no columns"),
    "unknown unit": ({"columns": {"size": "inch", "load": "dfu"}}, "unknown unit 'inch'"),
    "reserved column": ({"columns": {"size": "in", "status": "text"}}, "may not be called 'status'"),
    "key without column": ({"key": ["bore"]}, "does not name columns"),
    "no key": ({"key": []}, "does not name columns"),
    "bracket without bounds": ({"lookup": "bracket"}, "without columns from and to"),
    "no source": ({"source": ""}, "no source"),
}
ROW_FAULTS: dict[str, tuple[int, dict[str, Any], list[str], str]] = {
    "unknown key": (0, {"laod": 3}, [], "unknown key 'laod'"),
    "no status": (0, {}, ["status"], "no status"),
    "wrong status": (0, {"status": "sure"}, [], "the status 'sure'"),
    "wrong cell status": (0, {"cell_status": {"load": "sure"}}, [], "the status 'sure'"),
    "no number": (0, {"load": "many"}, [], "column load: 'many' is no number"),
    "unit in the cell": (0, {"size": "2 in"}, [], "column size: '2 in' is no number"),
    "empty key": (0, {}, ["size"], "key column size is empty"),
    "no figure": (0, {}, ["load"], "carries no figure"),
    "second row with the same key": (1, {"size": 2}, [], "a second row with the same key"),
    "sizes out of order": (1, {"size": "1-1/2"}, [], "size out of order"),
    "figures out of order": (1, {"load": 20}, [], "load falls from one row to the next"),
    "conflict without other readings": (2, {}, ["alternatives"], "without its other readings"),
    "other reading without source": (2, {"alternatives": [{"load": 36}]}, [], "without its other readings"),
    "other reading of an unknown column": (
        2,
        {"alternatives": [{"lode": 36, "source": "x"}]},
        [],
        "name no column",
    ),
    "conflict without used": (2, {}, ["used"], "which figure is used"),
    "used is not the figure": (2, {"used": {"load": 36}}, [], "which figure is used"),
    "conflict without why": (2, {}, ["why"], "which figure is used"),
    "other readings without conflict": (2, {"status": "memory"}, [], "but no status conflict"),
    "other reading is no number": (
        2,
        {"alternatives": [{"load": "x", "source": "y"}]},
        [],
        "'x' is no number",
    ),
}


@pytest.mark.parametrize("fault", HEAD_FAULTS)
def test_a_faulty_head_is_refused(fault: str) -> None:
    change, sentence = HEAD_FAULTS[fault]
    with pytest.raises(RuleSetError) as caught:
        read({**GOOD, **change}, ROWS)
    assert sentence in str(caught.value)
    assert (caught.value.file, caught.value.table) == ("drainage.toml", "drains")
    assert caught.value.remedy


@pytest.mark.parametrize("fault", ROW_FAULTS)
def test_a_faulty_row_is_refused_by_name(fault: str) -> None:
    number, change, remove, sentence = ROW_FAULTS[fault]
    rows = copy.deepcopy(ROWS)
    rows[number] = {k: v for k, v in {**rows[number], **change}.items() if k not in remove}
    with pytest.raises(RuleSetError) as caught:
        read(GOOD, rows)
    assert sentence in str(caught.value)
    assert caught.value.row
    assert caught.value.remedy


def test_a_table_without_rows_is_refused() -> None:
    with pytest.raises(RuleSetError, match="no rows"):
        read(GOOD, [])


def test_a_leading_key_must_rise_too() -> None:
    head = GOOD | {"key": ["fall", "size"], "columns": {"fall": "in/ft", "size": "in", "load": "dfu"}}
    rows = [
        {"fall": "1/4", "size": 2, "load": 21, "status": "read"},
        {"fall": "1/8", "size": 2, "load": 18, "status": "read"},
    ]
    with pytest.raises(RuleSetError, match="fall falls from one row to the next"):
        read(head, rows)


def test_in_a_conflict_row_an_uncontested_figure_needs_its_own_status() -> None:
    head = GOOD | {"columns": {"size": "in", "load": "dfu", "other": "dfu"}}
    rows = [{**ROWS[2], "other": 5}]
    with pytest.raises(RuleSetError, match="other has no other reading"):
        read(head, rows)
    table = read(head, [{**rows[0], "cell_status": {"other": "read"}}])
    assert table.rows[0].cell("other").status is Status.READ
    assert table.rows[0].cell("other").alternatives == ()


def test_a_figure_whose_unit_stands_in_the_row_needs_a_known_one() -> None:
    head = GOOD | {"key": ["limit"], "lookup": "exact", "columns": {"limit": "text", "value": "by row"}}
    good = {"limit": "static", "value": 80, "unit": "psi", "status": "read"}
    assert read(head, [good]).rows[0].cell("value").unit == "Pa"
    for unit in ({"unit": "PSI"}, {"unit": "by row"}, {"unit": ""}):
        with pytest.raises(RuleSetError, match="unknown unit"):
            read(head, [good | unit])


def test_figures_that_stand_beside_need_not_rise_but_are_not_searched() -> None:
    rows = [
        {"size": 2, "load": 21, "status": "read"},
        {"size": 3, "load": 12, "status": "read"},
    ]
    table = read(GOOD | {"beside": ["load"]}, rows)
    with pytest.raises(ValueError, match="not searched by load"):
        table.first_not_less("load", 5.0)
