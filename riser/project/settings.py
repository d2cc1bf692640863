# SPDX-License-Identifier: Apache-2.0
"""project.toml, gates.toml and local rules: read, checked against the schema, quantities in SI."""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

from riser.project.csv_text import text_of
from riser.project.faults import Faults, did_you_mean, shown
from riser.project.figures import quantity_in_si
from riser.project.schema_settings import (
    ACCEPTED_NEEDS,
    GATE_KEYS,
    OPEN_TABLES,
    SETTINGS,
    GateKey,
    Setting,
)

_LINE = re.compile(r"\(at line (\d+), column \d+\)")
_DEEPEST = 20
_DEEPEST_LINE = 100
_UTC = ZoneInfo("UTC")


def toml_table(data: bytes, file: str, faults: Faults) -> dict[str, Any] | None:
    """A TOML file as a table, None with a fault where it is none."""
    text = text_of(data, file, faults)
    return None if text is None else toml_text(text, file, faults)


def toml_text(text: str, file: str, faults: Faults) -> dict[str, Any] | None:
    """TOML text as a table, None with a fault where it is none."""
    # The parser takes time with the square of a key's depth: such keys are refused unread.
    deep = next((n for n, line in enumerate(text.split("\n"), 1) if _depth(line) > _DEEPEST_LINE), None)
    if deep is not None:
        faults.add(file, deep, None, "a key nested too deep", f"{_DEEPEST} levels", "Mend that key.")
        return None
    try:
        table = tomllib.loads(text)
        values = list(flat(table))
    except (ValueError, RecursionError) as error:
        deep = isinstance(error, RecursionError)
        where = _LINE.search(str(error))
        row = int(where[1]) if where else None
        found = "values nested too deep" if deep else shown(_LINE.sub("", str(error)).strip())
        faults.add(file, row, None, found, "TOML: key = value, texts in quotation marks", "Mend that line.")
        return None
    for key, value in values:
        if isinstance(value, float) and not math.isfinite(value):
            faults.add(file, None, key, shown(value), "a finite number", "Write the figure, or leave it out.")
        if key.count(".") > _DEEPEST:
            faults.add(
                file, None, shown(key), "values nested too deep", f"{_DEEPEST} levels", "Mend that key."
            )
    return table


def _depth(line: str) -> int:
    return line.partition("=")[0].count(".")


def flat(table: Mapping[str, Any], before: str = "") -> Iterator[tuple[str, Any]]:
    """Every value of nested tables under its key with dots."""
    for key, value in table.items():
        name = f"{before}.{key}" if before else key
        if isinstance(value, Mapping):
            yield from flat(value, name)
        else:
            yield name, value


def job_settings(table: Mapping[str, Any], file: str, faults: Faults) -> dict[str, Any]:
    """The settings of a job, defaults filled in, quantities in SI under a name with a suffix."""
    given = dict(flat(table))
    _refuse_unknown(given, table, file, faults)
    result: dict[str, Any] = {
        name: table[name] for name in OPEN_TABLES if isinstance(table.get(name), Mapping)
    }
    for setting in SETTINGS:
        value = given.get(setting.key, setting.default)
        if value == "" and not setting.required:
            continue
        read = _setting(setting, value, file, faults)
        if read is not None:
            _put(result, setting.inner, read)
    _check_inside_parts(result, file, faults)
    _time_zone(result, file, faults)
    return result


def zone_of(settings: Mapping[str, Any]) -> ZoneInfo:
    """The time zone of the site."""
    return ZoneInfo(settings["time_zone"]) if "time_zone" in settings else _UTC


def _put(result: dict[str, Any], key: str, value: Any) -> None:
    *tables, last = key.split(".")
    for name in tables:
        result = result.setdefault(name, {})
    result[last] = value


def _refuse_unknown(given: Mapping[str, Any], table: Mapping[str, Any], file: str, faults: Faults) -> None:
    known = [setting.key for setting in SETTINGS]
    for name in OPEN_TABLES:
        if name in table and not isinstance(table[name], Mapping):
            faults.add(file, None, name, shown(table[name]), f"a table [{name}]", "Write it as a table.")
    for key in given:
        if key not in known and key.split(".")[0] not in OPEN_TABLES:
            remedy = did_you_mean(key, known, "Remove it; docs/job_folder.md lists the keys.")
            faults.add(file, None, key, shown(key), "a key riser knows", remedy)


def _setting(setting: Setting, value: Any, file: str, faults: Faults) -> Any:
    """One value as the schema asks for it, None with a fault where it is not."""
    read, expected, remedy = _read_setting(setting, value)
    if read is None:
        found = "nothing" if value == "" else shown(value)
        faults.add(file, None, setting.key, found, expected, remedy)
    return read


def _read_setting(setting: Setting, value: Any) -> tuple[Any, str, str]:
    """The value, or None and what was expected and what to do."""
    is_text = isinstance(value, str) and bool(value.strip())
    if setting.is_list:
        is_list = isinstance(value, list) and all(isinstance(item, str) for item in value)
        return value if is_list else None, "a list of texts", 'Write ["...", "..."].'
    if setting.is_date:
        return _date(value), "a date", f"Write {setting.example}."
    if setting.dimension:
        quantity = quantity_in_si(value, (setting.dimension,)) if is_text else None
        read = quantity[1] if quantity and quantity[1] >= 0 else None
        return read, f"a {setting.dimension} with its unit", f'Write for instance "{setting.default}".'
    if setting.choices:
        remedy = did_you_mean(str(value), setting.choices, "Choose one of these words.")
        return value if value in setting.choices else None, ", ".join(setting.choices), remedy
    remedy = f'Write {setting.key.split(".")[-1]} = "..." with quotation marks.'
    return value.strip() if is_text else None, "a text", remedy


def _date(value: Any) -> str | None:
    try:
        return value.isoformat() if isinstance(value, date) else date.fromisoformat(value).isoformat()
    except (TypeError, ValueError):
        return None


def _check_inside_parts(settings: Mapping[str, Any], file: str, faults: Faults) -> None:
    inside = settings.get("inside_parts", {})
    if inside.get("rule") == "accepted":
        for key in ACCEPTED_NEEDS:
            if key not in inside:
                remedy = "Say who accepted the connections, when and on which document."
                faults.add(
                    file, None, f"inside_parts.{key}", "nothing", f"{key}, as rule is accepted", remedy
                )


def _time_zone(settings: dict[str, Any], file: str, faults: Faults) -> None:
    try:
        ZoneInfo(settings.get("time_zone", "UTC"))
    except (KeyError, ValueError, OSError):
        found = shown(settings.pop("time_zone"))
        remedy = "Write it as region and city: Europe/Berlin."
        faults.add(file, None, "time_zone", found, "a time zone of the IANA list", remedy)


def job_gates(table: Mapping[str, Any], file: str, faults: Faults) -> tuple[dict[str, Any], ...]:
    """The gates in their order; every key of the schema is there, empty where nothing was said."""
    gates = table.get("gate", [])
    if set(table) - {"gate"} or not isinstance(gates, list) or not all(isinstance(g, dict) for g in gates):
        faults.add_file(
            file, f"the keys {', '.join(map(str, table))}", "[[gate]] tables only", "Write [[gate]]."
        )
        return ()
    read = tuple(_gate(gate, number, file, faults) for number, gate in enumerate(gates, start=1))
    names = [gate["id"] for gate in read]
    for number, gate in enumerate(read, start=1):
        if gate["id"] and gate["id"] in names[: number - 1]:
            faults.add(
                file,
                None,
                f"gate {number}, id",
                shown(gate["id"]),
                "each gate once",
                "Rename one of the two.",
            )
        for after in gate["after"]:
            if after not in names:
                remedy = did_you_mean(after, names, "Name a gate of this file.")
                faults.add(file, None, f"gate {number}, after", shown(after), "a gate of this file", remedy)
    return read


def _gate(gate: Mapping[str, Any], number: int, file: str, faults: Faults) -> dict[str, Any]:
    known = {key.key: key for key in GATE_KEYS}
    for name in gate:
        if name not in known:
            remedy = did_you_mean(name, known, "Remove it; docs/job_folder.md lists the keys.")
            faults.add(file, None, f"gate {number}, {name}", shown(name), "a key riser knows", remedy)
    return {name: _gate_value(key, gate.get(name), number, file, faults) for name, key in known.items()}


def _gate_value(key: GateKey, value: Any, number: int, file: str, faults: Faults) -> Any:
    column = f"gate {number}, {key.key}"
    if key.is_list:
        if value is None:
            return []
        if isinstance(value, list) and all(isinstance(item, str) and ";" not in item for item in value):
            return value
        expected = "a list of texts without semicolons"
        faults.add(file, None, column, shown(value), expected, 'Write ["...", "..."].')
        return []
    if value is None and not key.required:
        return ""
    wrong = not isinstance(value, str) or not value or (key.choices and value not in key.choices)
    if wrong:
        found = "nothing" if value is None else shown(value)
        expected = ", ".join(key.choices) if key.choices else "a text"
        remedy = did_you_mean(str(value), key.choices, "Fill it in.")
        faults.add(file, None, column, found, expected, remedy)
    return "" if wrong else value
