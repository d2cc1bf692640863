# SPDX-License-Identifier: Apache-2.0
"""Rule sets from the package with local amendments; the only place in the lower layers that reads files."""

from __future__ import annotations

import hashlib
import json
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib import resources
from itertools import pairwise
from typing import Any

from riser.audit import Severity
from riser.errors import RuleSetError
from riser.rules.amendments import amended_tables, inherited_tables
from riser.rules.fixture_map import fixture_entries
from riser.rules.rule_set import SUBJECTS, RuleSet
from riser.rules.table import Table
from riser.rules.table_reading import Edition, RawRow, RawTable, read_table

_SET_KEYS = frozenset(
    {"id", "title", "document", "edition", "country", "subjects", "left_out", "source"}
    | {"extends", "renumbered", "takes", "serves"}
)


@dataclass(frozen=True, slots=True)
class _RawSet:
    """A set as written in the package, by file."""

    id: str
    head: Mapping[str, Any]
    files: Mapping[str, Mapping[str, Any]]
    fixtures: tuple[Mapping[str, Any], ...]


def set_names() -> tuple[str, ...]:
    """The rule sets that come with riser."""
    folder = resources.files(__package__) / "sets"
    return tuple(sorted(entry.name for entry in folder.iterdir() if (entry / "set.toml").is_file()))


def load_set(name: str, amendments: Mapping[str, Mapping[str, Any]] | None = None) -> RuleSet:
    """A rule set with the local amendments that extend it.

    `amendments` maps file names to their parsed content; those that extend another set are left alone. Raises
    RuleSetError where the set, a table or an amendment is not in order.
    """
    used = {f: c for f, c in sorted((amendments or {}).items()) if extended_set(f, c) == name}
    return _built(name, used)


@lru_cache(maxsize=64)
def set_head(name: str) -> Mapping[str, Any]:
    """What `set.toml` of a set says, without reading its tables; RuleSetError for an unknown set."""
    file = resources.files(__package__) / "sets" / name / "set.toml"
    if not file.is_file():
        raise RuleSetError(name, "", "", "no such rule set", f"choose one of {', '.join(set_names())}")
    return _parsed(f"{name}/set.toml", file.read_text(encoding="utf-8"))


def check_exists(name: Any, file: str, table: str, row: str) -> None:
    """RuleSetError, at that place of that file, where no set has this name."""
    if name not in set_names():
        raise RuleSetError(
            file, table, row, f"no rule set {name!r}", f"choose one of {', '.join(set_names())}"
        )


def extended_set(file: str, content: Mapping[str, Any]) -> str:
    """The set that a local amendment says it changes; RuleSetError where it says none."""
    name = content.get("extends")
    if not isinstance(name, str):
        raise RuleSetError(file, "", "", "does not say which set it amends", 'write extends = "<set>" on top')
    return name


@lru_cache(maxsize=64)
def _raw_set(name: str) -> _RawSet:
    head, folder = set_head(name), resources.files(__package__) / "sets" / name
    files: dict[str, Mapping[str, Any]] = {}
    for entry in sorted(folder.iterdir(), key=lambda e: e.name):
        if entry.name.endswith(".toml") and entry.name != "set.toml":
            files[f"{name}/{entry.name}"] = _parsed(f"{name}/{entry.name}", entry.read_text(encoding="utf-8"))
    fixtures = files.pop(f"{name}/fixture_map.toml", {}).get("fixture", [])
    return _RawSet(name, head, files, tuple(fixtures))


def _parsed(file: str, text: str) -> Mapping[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise RuleSetError(file, "", "", f"not a TOML file: {error}", "correct the line named") from error


def _built(name: str, amendments: Mapping[str, Mapping[str, Any]]) -> RuleSet:
    line = _line_of(name)
    head = line[-1].head
    _check_head(f"{name}/set.toml", head)
    tables = _raw_tables(line, amendments)
    edition = Edition(name, str(head["document"]), str(head["edition"]))
    read = {table: read_table(raw, edition) for table, raw in tables.items()}
    _check_severities(tables, read)
    maps = [each for raw in line for each in (*_lent_fixtures(raw), (_map_file(raw), raw.fixtures))]
    maps += [(file, tuple(content.get("fixture", ()))) for file, content in amendments.items()]
    return RuleSet(
        id=name,
        title=str(head["title"]),
        document=str(head["document"]),
        edition=str(head["edition"]),
        country=str(head.get("country", "")),
        subjects=tuple(head["subjects"]),
        hash=_hash(line, amendments),
        tables=read,
        fixtures=fixture_entries(maps, read),
        left_out=tuple(head.get("left_out", ())),
        amended_by=tuple(amendments),
        extends=str(head.get("extends", "")),
        takes={lender: tuple(names) for lender, names in head.get("takes", {}).items()},
        serves=tuple(head.get("serves", ())),
    )


def _line_of(name: str) -> list[_RawSet]:
    """The set and those it extends, the oldest first."""
    line = [_raw_set(name)]
    while below := line[-1].head.get("extends"):
        if below in [raw.id for raw in line]:
            raise RuleSetError(f"{name}/set.toml", "extends", below, "extends itself", "break the circle")
        line.append(_raw_set(below))
    return line[::-1]


def _raw_tables(line: list[_RawSet], amendments: Mapping[str, Mapping[str, Any]]) -> dict[str, RawTable]:
    tables = _with_own(_lent_tables(line[0]), line[0])
    for base, thin in pairwise(line):
        edition = str(base.head["document"]), str(base.head["edition"])
        tables = inherited_tables(tables, *edition, renumbered=bool(thin.head.get("renumbered")))
        tables |= _lent_tables(thin)
        for file, content in thin.files.items():
            tables = amended_tables(tables, file, content, local=False)
    for file, content in amendments.items():
        tables = amended_tables(tables, file, content, local=True)
    return tables


def _lent_tables(raw: _RawSet) -> dict[str, RawTable]:
    """The tables that a set takes from others; they go on citing the document they come from."""
    lent: dict[str, RawTable] = {}
    for lender, names in raw.head.get("takes", {}).items():
        line = _line_of(lender)
        cited = {"document": line[-1].head["document"], "edition": line[-1].head["edition"]}
        tables = _raw_tables(line, {})
        for name in names:
            if name not in tables or name in lent:
                what = "takes it twice" if name in lent else f"{lender} has no such table"
                raise RuleSetError(f"{raw.id}/set.toml", "takes", name, what, "name each table of it once")
            lent[name] = replace(tables[name], head=cited | dict(tables[name].head))
    return lent


def _lent_fixtures(raw: _RawSet) -> list[tuple[str, tuple[Mapping[str, Any], ...]]]:
    """The fixture maps of the lenders, for the tables that are taken from them."""
    maps: list[tuple[str, tuple[Mapping[str, Any], ...]]] = []
    for lender, names in raw.head.get("takes", {}).items():
        for base in _line_of(lender):
            kept = [(f, {t: k for t, k in f["rows"].items() if t in names}) for f in base.fixtures]
            maps.append((_map_file(base), tuple({**f, "rows": rows} for f, rows in kept if rows)))
    return maps


def _map_file(raw: _RawSet) -> str:
    return f"{raw.id}/fixture_map.toml"


def _with_own(lent: dict[str, RawTable], raw: _RawSet) -> dict[str, RawTable]:
    """The set's own tables beside those it takes; a table of the same name changes rows of the one taken."""
    tables = dict(lent)
    for name, own in _own_tables(raw).items():
        if name in lent:
            change = {**own.head, "rows": [dict(row.values) for row in own.rows]}
            tables |= amended_tables({name: lent[name]}, own.file, {name: change}, local=False)
        else:
            tables[name] = own
    return tables


def _own_tables(raw: _RawSet) -> dict[str, RawTable]:
    tables: dict[str, RawTable] = {}
    for file, content in raw.files.items():
        for name, head in content.items():
            if not isinstance(head, Mapping):
                raise RuleSetError(file, name, "", "not a table", f"write [{name}]")
            if name in tables:
                raise RuleSetError(
                    file, name, "", f"also stands in {tables[name].file}", "keep one of the two"
                )
            rows = tuple(RawRow(row) for row in head.get("rows", ()))
            shared = {"source": raw.head["source"]} if "source" in raw.head else {}
            tables[name] = RawTable(file, name, shared | {k: v for k, v in head.items() if k != "rows"}, rows)
    return tables


def _check_head(file: str, head: Mapping[str, Any]) -> None:
    for key in head:
        if key not in _SET_KEYS:
            raise RuleSetError(file, "", "", f"unknown key {key!r}", f"use {', '.join(sorted(_SET_KEYS))}")
    for key in ("id", "title", "document", "edition", "subjects"):
        if key not in head:
            raise RuleSetError(file, "", "", f"no {key}", f"give {key}")
    if f"{head['id']}/set.toml" != file:
        raise RuleSetError(
            file, "", "", f"id {head['id']!r} is not the name of the folder", "make them equal"
        )
    for subject in head["subjects"]:
        if subject not in SUBJECTS:
            raise RuleSetError(file, "", "", f"unknown subject {subject!r}", f"use {', '.join(SUBJECTS)}")


def _check_severities(raw: Mapping[str, RawTable], tables: Mapping[str, Table]) -> None:
    if "severities" not in tables:
        return
    for row in tables["severities"].rows:
        if row.cell("severity").value not in [str(s) for s in Severity]:
            raise RuleSetError(
                raw["severities"].file,
                "severities",
                row.label,
                f"unknown severity {row.cell('severity').value!r}",
                f"use {', '.join(Severity)}",
            )


def _hash(line: list[_RawSet], amendments: Mapping[str, Mapping[str, Any]]) -> str:
    """A hash over all that can change a figure; comments and the order of keys do not."""
    lent = [table for raw in line for table in _lent_tables(raw).values()]
    content = [
        *({"head": dict(r.head), "files": dict(r.files), "fixtures": list(r.fixtures)} for r in line),
        *([table.name, dict(table.head), [dict(row.values) for row in table.rows]] for table in lent),
        *([file, list(fixtures)] for r in line for file, fixtures in _lent_fixtures(r)),
        dict(amendments),
    ]
    text = json.dumps(content, sort_keys=True, ensure_ascii=False, default=str, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()
