# SPDX-License-Identifier: Apache-2.0
"""The foreman's sheet on a terminal: one block a joint, in words, readable without colour."""

from __future__ import annotations

from typing import TYPE_CHECKING

from riser.reports.floor_sheet import FloorSheet
from riser.reports.joint_line import JointLine
from riser.reports.pipe_words import level_text
from riser.reports.plain_text import plain_text
from riser.reports.symbols import sign_of

if TYPE_CHECKING:
    from rich.console import RenderableType
    from rich.table import Table


def floor_sheet_terminal(sheet: FloorSheet) -> RenderableType:
    """The sheet as something rich prints. What people wrote is shown as text, never read as markup."""
    from rich.console import Group
    from rich.text import Text

    counts = f"{_counted(len(sheet.joints), 'joint')}, {_counted(len(sheet.open_ends), 'open end')}"
    head = f"Building {sheet.building}, floor {sheet.floor}, level {level_text(sheet.level_m)} m"
    blocks: list[RenderableType] = [
        Text(plain_text(f"{sheet.job}: {head}" if sheet.job else head), style="bold"),
        Text(f"{counts}, {sheet.uncapped} to cap"),
        *(Text(plain_text(note)) for note in sheet.notes),
    ]
    before = "; ".join(item.short for item in sheet.before)
    blocks += [_titled("First, elsewhere (not recorded)", [f"{before}."])] if before else []
    for line in sheet.joints:
        blocks += [Text(), _joint(line)]
    if not sheet.joints:
        blocks.append(Text("No joint is made from this floor."))
    ends = [f"{e.stub} {e.size}{', capped' if e.is_capped else ''}: {e.why}" for e in sheet.open_ends]
    blocks += [Text(), _titled("Open ends", ends)] if ends else []
    others = [f"{f.code} {f.severity}: {f.says} {f.accepted or f.remedy}" for f in sheet.others]
    blocks += [Text(), _titled("Also found on this floor", others)] if others else []
    return Group(*blocks)


def _counted(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def _grid(first: int) -> Table:
    from rich.table import Table

    grid = Table.grid(padding=(0, 1), expand=False)
    grid.add_column(width=first, no_wrap=True)
    grid.add_column(overflow="fold")
    return grid


def _titled(title: str, items: list[str]) -> RenderableType:
    from rich.console import Group
    from rich.text import Text

    grid = _grid(3)
    for item in items:
        grid.add_row(Text("  -"), Text(plain_text(item)))
    return Group(Text(title, style="bold"), grid)


def _joint(line: JointLine) -> RenderableType:
    """One joint: a head line, then what to do with it, one question a row."""
    from rich.console import Group
    from rich.text import Text

    about = [f"{line.system_word} ({sign_of(line.system).letters})", str(line.stage)]
    about += [f"riser {line.riser}"] if line.riser else []
    about += [line.shaft_words] if line.shaft else []
    head = Text(f"{line.number:>3}  ")
    head.append(plain_text(line.id), style="bold").append("  ").append(plain_text(", ".join(about)))
    grid = _grid(12)
    for title, words in _rows(line):
        grid.add_row(Text(f"     {title}"), Text(plain_text(words)))
    return Group(head, grid)


def _rows(line: JointLine) -> list[tuple[str, str]]:
    ends = " to ".join(stub for stub in line.stubs if stub)
    sizes = "" if line.size_words in line.make_up else f", {line.size_words}"
    levels = "; ".join(f"{c.id} at {c.level_words} m" for c in line.connections)
    rows = [
        ("put in", f"{line.make_up}{sizes}; {ends}"),
        ("where", f"x {line.x_m:.3f} y {line.y_m:.3f} m; {levels}"),
        ("fit", _fit(line)),
        ("next", line.next_words + (f"; waits for {', '.join(line.waits_for)}" if line.waits_for else "")),
        ("cover", line.covering_words),
    ]
    return rows + [(f.code, f"{f.severity}: {f.says} {f.accepted or f.remedy}") for f in line.findings]


def _fit(line: JointLine) -> str:
    if line.barred:
        return f"cannot be made: {line.barred}"
    if line.fit.fits is None:
        return line.fit.verdict
    faults = f" ({', '.join(line.fit.faults)})" if line.fit.faults else ""
    return f"{line.fit.verdict}{faults}; {line.fit.offset_words}; {line.fit.gap_words}"
