# SPDX-License-Identifier: Apache-2.0
"""The status of the job on a terminal: figures in columns, a dot for none, readable at 80 columns."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

from riser.reports.plain_text import plain_text
from riser.reports.stage import Stage
from riser.reports.status_table import StatusRow, StatusTable

if TYPE_CHECKING:
    from rich.console import RenderableType
    from rich.table import Table

HEADINGS: dict[Stage, str] = {
    Stage.NOT_YET_SEEN: "not\nyet\nseen",
    Stage.NOT_IN_ORDER: "not\nin\norder",
    Stage.MADE: "made",
    Stage.INSPECTED: "in-\nspec-\nted",
    Stage.STALE: "proof\nstale",
    Stage.PROVEN: "pro-\nven",
    Stage.RELEASED: "re-\nleased",
    Stage.COVERED: "co-\nvered",
}


def status_terminal(status: StatusTable) -> RenderableType:
    """The status as something rich prints: a table a building."""
    from rich.console import Group
    from rich.text import Text

    blocks: list[RenderableType] = []
    for building, rows in groupby(status.rows, key=lambda row: row.building):
        blocks += [Text(plain_text(f"Building {building}"), style="bold"), _table(list(rows))]
    total = status.total
    seen = total.joints - total.count(Stage.NOT_YET_SEEN)
    blocks.append(
        Text(f"{total.joints} joints, {seen} seen, {total.count(Stage.NOT_YET_SEEN)} not yet seen.")
    )
    if total.cannot_be_made:
        blocks.append(Text(f"{total.cannot_be_made} cannot be made as drawn: see riser check."))
    if total.covered_without_release:
        blocks.append(Text(f"{total.covered_without_release} covered without a release: see riser check."))
    return Group(*blocks)


def _table(rows: list[StatusRow]) -> Table:
    from rich.table import Table
    from rich.text import Text

    table = Table(box=None, padding=(0, 1, 0, 0), header_style="bold")
    for heading in ("floor", "shaft", "system"):
        table.add_column(heading, overflow="fold", vertical="top")
    for heading in ("all", *HEADINGS.values()):
        table.add_column(heading, justify="right", no_wrap=True, vertical="top")
    last: tuple[str, str] = ("", "")
    for row in rows:
        place = (row.floor, row.shaft or "none")
        shown = [place[0] if place[0] != last[0] else "", place[1] if place != last else ""]
        counts = [_figure(row.joints), *(_figure(row.count(stage)) for stage in HEADINGS)]
        table.add_row(*(Text(plain_text(word)) for word in (*shown, row.system_word)), *counts)
        last = place
    return table


def _figure(count: int) -> str:
    return str(count) if count else "."
