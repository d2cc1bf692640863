# SPDX-License-Identifier: Apache-2.0
"""Settings, gates and local rules as sheets: what stands in TOML files beside a folder's tables."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Mapping
from datetime import date, datetime, time
from typing import Any

from riser.project.faults import Faults, shown
from riser.project.headings import split_header
from riser.project.schema_settings import GATE_KEYS
from riser.project.settings import toml_text
from riser.project.sheet import Sheet

_KEY = re.compile(r"""(?:[A-Za-z0-9_-]+|"[^"\\\n]+")(?:\.(?:[A-Za-z0-9_-]+|"[^"\\\n]+"))*""")
_BARE = re.compile(r"[A-Za-z0-9_-]+")


def project_table(sheet: Sheet, faults: Faults) -> dict[str, Any] | None:
    """A sheet with the columns key and value as the table that project.toml would be."""
    place = {split_header(printed)[0]: n for n, printed in enumerate(sheet.header)}
    if not {"key", "value"} <= set(place):
        faults.add(
            sheet.file, 1, None, shown(", ".join(sheet.header)), "the columns key and value", "Name them so."
        )
        return None
    lines = [""] * int(sheet.row.max(initial=1))
    cells = zip(sheet.row.tolist(), sheet.body[place["key"]], sheet.body[place["value"]], strict=True)
    for row, key, value in cells:
        if _KEY.fullmatch(key):
            lines[row - 1] = f"{key} = {_literal_of_cell(value)}"
        else:
            faults.add(sheet.file, row, "key", shown(key), "a key such as rules.drainage", "Correct the key.")
    return toml_text("\n".join(lines), sheet.file, faults)


def _literal_of_cell(cell: str) -> str:
    """The cell itself where it is a TOML value (12, true, ["a"]), otherwise the cell as a TOML text."""
    return cell if _toml_value(cell) is not None else _quoted_text(cell)


def _toml_value(text: str) -> Any:
    """The value a one-line TOML literal stands for, None if the text is no literal.

    Read inside brackets, so that a comment behind the value cannot be mistaken for nothing.
    """
    if "\n" in text or "\r" in text:
        return None
    try:
        read = tomllib.loads(f"value = [{text}]")
    except (ValueError, RecursionError):
        return None
    return read["value"][0] if set(read) == {"value"} and len(read["value"]) == 1 else None


def project_rows(table: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Keys and cells from which `project_table` makes the same table again."""
    return [(".".join(_quoted(name) for name in names), _cell_of(value)) for names, value in _paths(table)]


def _paths(table: Mapping[str, Any], before: tuple[str, ...] = ()) -> list[tuple[tuple[str, ...], Any]]:
    found: list[tuple[tuple[str, ...], Any]] = []
    for key, value in table.items():
        if isinstance(value, Mapping) and value:
            found += _paths(value, (*before, key))
        else:
            found.append(((*before, key), value))
    return found


def _quoted(name: str) -> str:
    return name if _BARE.fullmatch(name) else json.dumps(name, ensure_ascii=False)


def _quoted_text(text: str) -> str:
    """A TOML basic string: JSON's escapes, and the one control character JSON lets pass."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _cell_of(value: Any) -> str:
    if isinstance(value, str) and value == value.strip() and value and _toml_value(value) is None:
        return value
    return _literal(value)


def _literal(value: Any) -> str:
    """A value as TOML writes it on one line."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _quoted_text(value)
    if isinstance(value, datetime | date | time):
        return value.isoformat()
    if isinstance(value, list):
        return "[" + ", ".join(_literal(item) for item in value) + "]"
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{_quoted(k)} = {_literal(v)}" for k, v in value.items()) + "}"
    return repr(value)


def gates_table(sheet: Sheet) -> dict[str, Any]:
    """A sheet with a row per gate as the table that gates.toml would be; lists are parted by semicolons."""
    names = [split_header(printed)[0] for printed in sheet.header]
    lists = {key.key for key in GATE_KEYS if key.is_list}
    gates = []
    for cells in sheet.body.itertuples(index=False):
        gate = {name: str(cell) for name, cell in zip(names, cells, strict=True) if name and str(cell)}
        named = {name: cell for name, cell in gate.items() if not name.startswith("note")}
        gates.append({name: _items(cell) if name in lists else cell for name, cell in named.items()})
    return {"gate": gates}


def _items(cell: str) -> list[str]:
    return [item.strip() for item in cell.split(";") if item.strip()]


def gate_rows(table: Mapping[str, Any]) -> list[list[str]]:
    """Header and rows from which `gates_table` makes the same gates again."""
    names = [key.key for key in GATE_KEYS]
    gates = table.get("gate", [])
    cells = [[gate.get(name, "") for name in names] for gate in gates]
    return [names, *[["; ".join(c) if isinstance(c, list) else str(c) for c in row] for row in cells]]


def rules_table(sheet: Sheet, faults: Faults) -> dict[str, Any] | None:
    """A sheet whose first column holds the lines of a TOML file under a header."""
    lines = [""] * int(sheet.row.max(initial=1))
    for row, line in zip(sheet.row.tolist(), sheet.body[0], strict=True):
        lines[row - 1] = str(line)
    return toml_text("\n".join(lines), sheet.file, faults)
