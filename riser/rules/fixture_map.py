# SPDX-License-Identifier: Apache-2.0
"""Which rows of a rule set stand for a neutral fixture kind, by use and control."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from riser.errors import NotInRules, RuleSetError
from riser.rules.cell import Row
from riser.rules.printed_units import si_value
from riser.rules.table import Key, Table

_FIXTURE_KEYS = frozenset({"kind", "use", "control", "rows"})


@dataclass(frozen=True, slots=True)
class FixtureEntry:
    """Which rows stand for a neutral fixture kind; an empty use or control fits any."""

    kind: str
    use: str
    control: str
    rows: Mapping[str, Mapping[str, Key]]


@dataclass(frozen=True, slots=True)
class FixtureRow:
    """A neutral fixture under one rule set; `row(table)` gives its row there."""

    told: str
    title: str
    rows: Mapping[str, Row]

    def row(self, table: str) -> Row:
        """The fixture's row in that table; NotInRules where the set gives none, which is never a zero."""
        if table not in self.rows:
            raise NotInRules(f"{self.told} cannot be judged under {self.title}: no row in {table}")
        return self.rows[table]

    def has(self, table: str) -> bool:
        """Whether the fixture has a row in that table."""
        return table in self.rows


def fixture_entries(
    maps: Sequence[tuple[str, tuple[Mapping[str, Any], ...]]], tables: Mapping[str, Table]
) -> tuple[FixtureEntry, ...]:
    """Entries by kind, use and control; a later map (a thin set, an amendment) replaces table by table."""
    entries: dict[tuple[str, str, str], FixtureEntry] = {}
    for file, written in maps:
        seen: set[tuple[str, str, str]] = set()
        for raw in written:
            key = (str(raw.get("kind", "")), str(raw.get("use", "")), str(raw.get("control", "")))
            told = " ".join(part for part in key if part)
            if set(raw) - _FIXTURE_KEYS or not key[0] or not isinstance(raw.get("rows"), Mapping):
                raise RuleSetError(
                    file, "fixture", told, "not a fixture entry", f"use {', '.join(sorted(_FIXTURE_KEYS))}"
                )
            if key in seen:
                raise RuleSetError(file, "fixture", told, "a second entry", "keep one of the two")
            seen.add(key)
            before = entries[key].rows if key in entries else {}
            rows = {name: _fixture_key(file, told, name, k, tables) for name, k in raw["rows"].items()}
            entries[key] = FixtureEntry(*key, {**before, **rows})
    return tuple(entries.values())


def _fixture_key(
    file: str, told: str, name: str, key: Mapping[str, Any], tables: Mapping[str, Table]
) -> dict[str, str | float]:
    try:
        table = tables[name]
        converted = {column: si_value(value, table.printed_units[column]) for column, value in key.items()}
        table.exact(**converted)
    except (KeyError, ValueError, NotInRules) as error:
        raise RuleSetError(
            file, "fixture", told, f"{name} has no single row {dict(key)} ({error})", "name a row that exists"
        ) from error
    return converted
