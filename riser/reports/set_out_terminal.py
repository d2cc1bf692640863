# SPDX-License-Identifier: Apache-2.0
"""The setting-out list on a terminal: one block a stub, readable without colour."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from riser.reports.pipe_words import bare_millimetres, level_text, millimetres
from riser.reports.plain_text import plain_text
from riser.reports.set_out import SetOut
from riser.reports.set_out_line import Place, SetOutLine, Verdict

if TYPE_CHECKING:
    from rich.console import RenderableType


def set_out_terminal(found: SetOut) -> RenderableType:
    """The list of one building as something rich prints."""
    from rich.console import Group
    from rich.text import Text

    head = f"Setting out, building {found.building}: {len(found.lines)} stubs"
    return Group(
        Text(plain_text(f"{found.job}: {head}" if found.job else head), style="bold"),
        Text(tolerance_words(found)),
        *(item for line in found.lines for item in (Text(), _stub(line))),
    )


def tolerance_words(found: SetOut) -> str:
    """What is allowed, and on which grid the figures are."""
    plan, level = millimetres(found.plan_tolerance_m), millimetres(found.level_tolerance_m)
    words = f"Allowed: {plan} along x and along y, {level} in level."
    if found.grid_m != (0.0, 0.0):
        words += f" Project grid: x {found.grid_m[0]:+.3f} m, y {found.grid_m[1]:+.3f} m added."
    return words


def _stub(line: SetOutLine) -> RenderableType:
    from rich.console import Group
    from rich.table import Table
    from rich.text import Text

    about = [line.system_word, line.size, f"facing {line.facing}"]
    about += [f"joint {line.joint}"] if line.joint else []
    about += [f"shaft {line.shaft}"] if line.shaft else []
    head = Text(plain_text(line.stub), style="bold").append("  ").append(plain_text(", ".join(about)), "none")
    grid = Table.grid(padding=(0, 1))
    grid.add_column(width=12, no_wrap=True)
    grid.add_column(overflow="fold")
    for title, words in _rows(line):
        grid.add_row(Text(f"  {title}"), Text(plain_text(words)))
    return Group(head, grid)


def _rows(line: SetOutLine) -> list[tuple[str, str]]:
    rows = [
        ("set out", f"{place_words(line.target_m)}{_range_words(line)}"),
        ("drawing", drawing_words(line)),
    ]
    if line.checks:
        rows.append(("tape", "; ".join(f"{c.to} {c.distance_m:.3f} m" for c in line.checks)))
    return [*rows, ("measured", measured_words(line))]


def place_words(place: Place) -> str:
    """`x 0.500 y 0.500 level +0.100 m`."""
    x, y, level = place
    return f"x {x:.3f} y {y:.3f} level {level_text(level)} m"


def _range_words(line: SetOutLine) -> str:
    low, high = line.level_range_m
    if math.isnan(low):
        return ""
    lower, higher = millimetres(-low), millimetres(high)
    return f" (the make-up takes {lower} lower and {higher} higher)"


def drawing_words(line: SetOutLine) -> str:
    """Whether the drawing agrees, with the differences where it does not."""
    if not line.is_drawn or not line.above or line.drawing_words == "drawn as needed":
        return line.drawing_words
    return f"{line.drawing_words}; drawn less needed: {off_words(line.drawn_off_m)}"


def off_words(off: Place) -> str:
    """`x +4 y -2.5 level 0 mm`."""
    return "x {} y {} level {} mm".format(*(bare_millimetres(v, sign=True) for v in off))


def measured_words(line: SetOutLine) -> str:
    """The differences measured and the verdict."""
    if line.verdict == Verdict.NOT_MEASURED:
        return str(line.verdict)
    sure = f", uncertainty {millimetres(line.uncertainty_m)}" if line.uncertainty_m > 0 else ""
    return f"off by {off_words(line.measured_off_m)}{sure}: {line.verdict}"
