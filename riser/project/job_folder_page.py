# SPDX-License-Identifier: Apache-2.0
"""docs/job_folder.md, made from the schema: one place to change a column, one page to read about it."""

from __future__ import annotations

from collections.abc import Iterable

from riser.project.columns import NOTE_MEANING, Column, Kind, Table
from riser.project.limits import LIMITS, MEBIBYTE
from riser.project.schema import TABLES
from riser.project.schema_settings import GATE_KEYS, SETTINGS, Setting
from riser.units import DIMENSIONS

_LONG_LIST = 8

_OPENING = """\
# The job folder

What an engineer writes, file by file and column by column. This page is made from the program's own list of
columns; do not edit it by hand.

## How to write it

- A job is a folder of CSV and TOML files, or one workbook (.xlsx) with a sheet for each file. Files marked
  *required* must exist; leaving out another switches off what needs it, once, with a note.
- **Header.** Row 1 names the columns, in any order. A header may carry its unit: `x [mm]` or `size (in)`.
  Without one the unit in the tables below holds. Capitals do not matter; a space is as good as an underscore.
- **Units** are spelled as in the table of units below; any other usual unit of the same kind works too. All
  heights are on one datum.
- **Figures** are figures alone, without their unit. A decimal point goes with commas between the columns; a
  decimal comma with semicolons. One file keeps to one of the two, and nothing stands between thousands.
- **Empty cells** take the default. Unknown figures are empty cells.
- **Ids** are what people say aloud: letters, digits, `-`, `_` and `.`, at most 60. Write `01` as text, or a
  spreadsheet makes it `1`. `M07-03` is a part, `M07-03/SP1` its stub.
- **Dates** are `2026-03-02`, times `2026-03-02T10:15+01:00`. **Yes and no** are `yes` and `no`.
- **Words** of a list may have capitals, spaces or hyphens: `Hot return` is `hot_return`.
- Columns called `note` (or `note_2`, `note_site` ...) are allowed in every file: {note}.
- Empty rows are passed over. Row numbers in messages are those a spreadsheet shows.
- Text is UTF-8 (in a spreadsheet: "CSV UTF-8"). A file has at most {megabytes} MB and {rows} rows, a line
  {line} kB.

Mistakes are reported all at once, with file, row, column, what was found, what was expected and what to do.

## As a workbook

Each sheet has the name of its file without `.csv`. The nodes and runs of revision A of type MA are the sheets
`nodes MA A` and `runs MA A`; or all types share the sheets `nodes` and `runs`, with the columns `type` and
`revision` in front. Sheet `project` has the columns `key` and `value` (`rules.drainage`, `ipc_2021`); sheet
`gates` a row for each gate, lists parted by semicolons; sheet `rules NAME` holds the lines of
`rules/NAME.toml` below a header. Other sheets are ignored. Cells count as they were last saved; a formula
counts as its result.
"""


def job_folder_page() -> str:
    """The whole page as Markdown."""
    page = [_opening(), *_units(), "## Files\n", *_contents(), "", *_project(), *_gates()]
    page.append("## `rules/*.toml`\n\nLocal amendments of a rule set: `extends` and the rows that differ.\n")
    for table in TABLES.values():
        page += _table(table)
    return "\n".join(page).rstrip() + "\n"


def _opening() -> str:
    return _OPENING.format(
        note=NOTE_MEANING,
        megabytes=LIMITS.file_bytes // MEBIBYTE,
        rows=f"{LIMITS.rows:,}",
        line=LIMITS.line_bytes // 1024,
    )


def _units() -> Iterable[str]:
    yield "## Units\n"
    yield "| what | spellings |"
    yield "|---|---|"
    for dimension in DIMENSIONS.values():
        spellings = ", ".join(f"`{spelling}`" for spelling in dimension.factors)
        yield f"| {dimension.name} | {spellings} |"
    yield "\n`gpm` are US gallons a minute; all pressures are gauge pressures.\n"


def _contents() -> Iterable[str]:
    yield "| file | required | without it |"
    yield "|---|---|---|"
    yield "| `project.toml` | yes | |"
    for table in TABLES.values():
        yield f"| `{table.file}` | {'yes' if table.required else ''} | {table.without_it} |"
    yield "| `gates.toml` | | Joints have no gates to pass. |"
    yield "| `rules/*.toml` | | The rule sets hold as published. |"


def _table(table: Table) -> Iterable[str]:
    yield f"## `{table.file}`\n"
    yield table.purpose + "\n"
    key = ", ".join(f"`{name}`" for name in table.key)
    yield f"Each {key} stands once.\n" if len(table.key) == 1 else f"Each combination of {key} stands once.\n"
    yield "| column | kind | unit | empty means | meaning | needed by |"
    yield "|---|---|---|---|---|---|"
    for column in table.columns:
        cells = (f"`{column.name}`", _kind(column), _unit(column), _empty(column), _meaning(column))
        yield "| " + " | ".join((*cells, ", ".join(column.needed_by))) + " |"
    yield ""
    if table.demands:
        yield from _demands(table)


def _kind(column: Column) -> str:
    if column.refers is not None:
        return f"{column.kind}: {column.refers}"
    return str(column.kind)


def _unit(column: Column) -> str:
    return column.unit if column.has_unit else ""


def _empty(column: Column) -> str:
    if column.required:
        return "**must be filled**"
    return column.default or column.default_says or "not known"


def _meaning(column: Column) -> str:
    bounds = []
    if column.least is not None:
        bounds.append(f"{'more than' if column.above else 'at least'} {column.least:g}")
    if column.most is not None:
        bounds.append(f"at most {column.most:g}")
    meaning = column.meaning + (f" ({', '.join(bounds)})" if bounds else "")
    if column.kind is Kind.CHOICE:
        words = ", ".join(f"`{word}`" for word in column.choices)
        return f"{meaning}: {words}"
    return meaning


def _demands(table: Table) -> Iterable[str]:
    for demand in table.demands:
        needs = ", ".join(f"`{name}`" for name in demand.needs)
        yield f"- A row whose `{demand.column}` is `{demand.value}` needs {needs}."
    yield ""


def _project() -> Iterable[str]:
    yield "## `project.toml`\n"
    yield "Settings of the job. A quantity is a text with its unit, as in the defaults. What a rule set asks"
    yield "for stands under `[design.NAME_OF_THE_SET]` and is handed to it as it is.\n"
    yield "| key | kind | empty means | meaning |"
    yield "|---|---|---|---|"
    for setting in SETTINGS:
        empty = "**must be filled**" if setting.required else setting.default or "not said"
        yield f"| `{setting.key}` | {_setting_kind(setting)} | {empty} | {_setting_meaning(setting)} |"
    yield ""


def _setting_kind(setting: Setting) -> str:
    if setting.dimension:
        return f"{setting.dimension} with its unit"
    if setting.is_list:
        return "list of texts"
    if setting.is_date:
        return "date"
    return "choice" if setting.choices else "text"


def _setting_meaning(setting: Setting) -> str:
    words = ", ".join(f"`{word}`" for word in setting.choices)
    example = f", for instance `{setting.example}`" if setting.example else ""
    return setting.meaning + (f": {words}" if words else "") + example


def _gates() -> Iterable[str]:
    yield "## `gates.toml`\n"
    yield "The points at which work waits for somebody's word, each a table `[[gate]]`, in order.\n"
    yield "| key | kind | meaning |"
    yield "|---|---|---|"
    for key in GATE_KEYS:
        kind = "list of texts" if key.is_list else "choice" if key.choices else "text"
        must = " (must be filled)" if key.required else ""
        yield f"| `{key.key}` | {kind}{must} | {key.meaning} |"
    yield ""
