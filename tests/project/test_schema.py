# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

from dataclasses import fields

import pytest

from riser.network.tables import JobTables
from riser.project.columns import Kind, Refers
from riser.project.references import _RULES, _SIMPLE
from riser.project.schema import TABLES, amendment_name, is_job_file
from riser.project.typed import _READERS
from riser.units import DIMENSIONS, column_factor

COLUMNS = [(table, column) for table in TABLES.values() for column in table.columns]


def test_the_tables_are_those_the_network_is_built_from() -> None:
    others = {"settings", "gates", "amendments", "absent"}
    assert set(TABLES) == {field.name for field in fields(JobTables)} - others


@pytest.mark.parametrize(("table", "column"), COLUMNS, ids=lambda x: getattr(x, "name", ""))
def test_every_column_is_declared_in_full(table: object, column: object) -> None:
    from riser.project.columns import Column

    assert isinstance(column, Column)
    assert column.meaning
    assert column.kind in _READERS or column.kind is Kind.TIME
    assert (column.kind is Kind.CHOICE) == bool(column.choices)
    assert (column.kind in (Kind.REFERENCE, Kind.REFERENCES)) == (column.refers is not None)
    assert not (column.required and (column.default or column.default_says))
    if column.dimension:
        assert column.dimension in DIMENSIONS
        column_factor(column.unit, column.dimension)
    if column.kind is Kind.YES_NO:
        assert column.required or column.default in ("yes", "no")


def test_every_kind_of_reference_is_followed() -> None:
    assert set(Refers) == {*_SIMPLE, *_RULES}


@pytest.mark.parametrize("table", TABLES.values(), ids=lambda table: table.name)
def test_rules_of_a_table_name_its_own_columns(table: object) -> None:
    from riser.project.columns import Table

    assert isinstance(table, Table)
    names = {column.name for column in table.columns} | ({"type", "revision"} if table.per_type else set())
    used = {*table.key, *table.alike}
    for demand in table.demands:
        used |= {demand.column, *demand.needs}
        assert demand.value in table.column(demand.column).choices
    for pair in table.ordered:
        used |= {pair.smaller, pair.larger}
    assert used <= names
    assert table.required or table.without_it
    assert len(set(table.inner_columns)) == len(table.inner_columns)


@pytest.mark.parametrize(
    ("name", "known"),
    [
        ("joints.csv", True),
        ("project.toml", True),
        ("types/A/1/nodes.csv", True),
        ("rules/yard.toml", True),
        ("nodes.csv", False),
        ("types/A/nodes.csv", False),
        ("types/A/1/2/nodes.csv", False),
        ("records.sqlite", False),
        ("rules/a/b.toml", False),
    ],
)
def test_which_files_belong_to_a_job(name: str, known: bool) -> None:
    assert is_job_file(name) is known


def test_an_amendment_is_called_by_its_file() -> None:
    assert amendment_name("rules/yard.toml") == "yard"
    assert amendment_name("gates.toml") is None
