# SPDX-License-Identifier: Apache-2.0
"""The riser diagram, as the trade draws it: floors as lines with their levels, risers to height beside each
other in shaft order, offsets, branches with sizes, joints by how far they are, findings flagged.

Heights are to scale from floor to floor (each storey as tall as any other), widths are not. Colour helps
and is never alone: every stage of a joint has its own shape, every finding its code.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from riser.audit.finding import Finding
from riser.network.model import Model
from riser.network.placing import Floors
from riser.network.systems import System
from riser.reports.diagram_signs import SMALL, flag, joint_shape
from riser.reports.riser_columns import Branch, Column, FaultMark, JointMark, columns_of
from riser.reports.scene import Group, Item, Line, Page, Polygon, Text
from riser.reports.stage import Stage, Standing

PAGE_MM = (420.0, 297.0)  # A3, the size a riser diagram is printed in (ISO 216)
LEFT_MM, TOP_MM, BOTTOM_MM, RIGHT_MM = 34.0, 34.0, 24.0, 8.0
COLUMN_LEAST_MM, COLUMN_MOST_MM = 60.0, 110.0
STOREY_MM = 26.0
SIDEWAYS_MM_PER_M, SIDEWAYS_MOST_MM = 5.0, 12.0
LINE_MM = 0.9
BRANCH_MM = 9.0
NORMAL, LARGE = 3.4, 5.0
GREY = "#6b6b6b"


@dataclass(frozen=True)
class FloorLine:
    """One line across the diagram: its label and level."""

    label: str
    level_m: float


@dataclass(frozen=True)
class Style:
    """How a system's pipes are drawn: colour and its name, the standard it is from, and the dash."""

    colour: str
    words: str
    dash: tuple[float, ...] = ()


def floor_lines(floors: Floors) -> list[FloorLine]:
    """Floors by level; floors of several buildings on one level share a line."""
    lines: list[FloorLine] = []
    for n in np.argsort(floors.level_m, kind="stable").tolist():
        label, level = floors.label(n), float(floors.level_m[n])
        if lines and abs(lines[-1].level_m - level) < 0.3:
            lines[-1] = FloorLine(f"{lines[-1].label}, {label}", lines[-1].level_m)
        else:
            lines.append(FloorLine(label, level))
    return lines


@dataclass(frozen=True)
class _Frame:
    """What part of the building a page shows, and where it lies on the page."""

    lines: tuple[FloorLine, ...]
    left_mm: float
    width_mm: float

    def y(self, level_m: float) -> float:
        """Height on the page of a level; between two floors in proportion, beyond them in the same scale."""
        levels = np.array([line.level_m for line in self.lines])
        rows = np.arange(len(levels), dtype=float)
        if len(levels) == 1:
            row = (level_m - levels[0]) / 3.0
        elif level_m < levels[0]:
            row = (level_m - levels[0]) / (levels[1] - levels[0])
        elif level_m > levels[-1]:
            row = rows[-1] + (level_m - levels[-1]) / (levels[-1] - levels[-2])
        else:
            row = float(np.interp(level_m, levels, rows))
        base = PAGE_MM[1] - BOTTOM_MM - STOREY_MM * 0.9
        return base - STOREY_MM * float(np.clip(row, -0.7, len(levels) - 0.15))

    def x(self, sideways_m: float) -> float:
        """Place on the page of something that stands so far from the riser's foot."""
        shift = np.clip(sideways_m * SIDEWAYS_MM_PER_M, -SIDEWAYS_MOST_MM, SIDEWAYS_MOST_MM)
        return self.left_mm + 16.0 + float(shift)

    def shows(self, level_m: float) -> bool:
        """Whether a level lies on this page: from its lowest floor line to just below the next page's."""
        return self.low_m - 1e-9 <= level_m < self.high_m

    low_m: float = -np.inf
    high_m: float = np.inf


def _spread(wanted: list[float], step: float) -> list[float]:
    """Places near the wanted ones, at least a step apart, in their order from the top."""
    placed: list[float] = []
    for place in wanted:
        placed.append(max(place, placed[-1] + step) if placed else place)
    return placed


def _labels(frame: _Frame, column: Column) -> list[tuple[float, JointMark | Branch | FaultMark]]:
    """Joints and branches on this page with the heights their labels get, from the top down."""
    marks: list[JointMark | Branch | FaultMark] = [*column.joints, *column.branches, *column.faults]
    shown = [mark for mark in marks if frame.shows(mark.at[1])]
    shown.sort(key=lambda mark: frame.y(mark.at[1]))
    heights = _spread([frame.y(mark.at[1]) for mark in shown], SMALL + 0.9)
    return list(zip(heights, shown, strict=True))


def _joint_items(frame: _Frame, mark: JointMark, label_y: float, link: str) -> Group:
    x, y = frame.x(mark.at[0]), frame.y(mark.at[1])
    items: list[Item] = [*joint_shape(x, y, mark.stage)]
    start = x + 4.2
    if abs(label_y - y) > 1.0:
        items.append(Line(((x + 1.6, y), (start - 0.6, label_y - 1.0)), 0.12, GREY))
    # The label lies on the floor line more often than not: paper under it keeps it legible.
    wide, white = 0.56 * SMALL * len(mark.id), "#ffffff"
    corners = (
        (start, label_y + 0.6),
        (start + wide, label_y + 0.6),
        (start + wide, label_y - 2.3),
        (start, label_y - 2.3),
    )
    items.append(Polygon(corners, white, white, 0.0))
    items.append(Text(start, label_y, mark.id, SMALL))
    if mark.findings:
        items += flag(start + 0.56 * SMALL * len(mark.id) + 1.2, label_y, mark.findings)
    return Group(mark.id, tuple(items), f"{mark.id}: {mark.stage}", link.format(mark.id))


def _branch_items(frame: _Frame, mark: Branch, label_y: float, style: Style) -> tuple[Item, ...]:
    x, y = frame.x(mark.at[0]), frame.y(mark.at[1])
    end = x + BRANCH_MM
    turn = ((end, label_y - 1.0),) if abs(label_y - 1.0 - y) > 0.8 else ()
    pipe = Line(((x, y), (end, y), *turn), LINE_MM * 0.6, style.colour, style.dash)
    room = frame.width_mm - (end - frame.left_mm) - 2.0
    words = f"{mark.size} {mark.serves}".strip()
    fits = max(int(room / (0.56 * SMALL)), 6)
    short = words if len(words) <= fits else f"{words[: fits - 1]}…"
    items: list[Item] = [pipe, Text(end + 0.8, label_y, short, SMALL)]
    if mark.findings:
        items += flag(x - 3.0 - 0.56 * SMALL * len(" ".join(mark.findings)), y, mark.findings)
    return tuple(items)


def _fault_items(frame: _Frame, mark: FaultMark, label_y: float) -> tuple[Item, ...]:
    """A finding about a piece or a node of the riser itself, with a thin line to where it is."""
    x, y = frame.x(mark.at[0]), frame.y(mark.at[1])
    pointer = Line(((x, y), (x + 3.6, label_y - 1.0)), 0.12, GREY)
    return (pointer, *flag(x + 4.2, label_y, mark.findings))


def _pieces(frame: _Frame, column: Column, style: Style) -> list[Item]:
    """The riser's line, and its size where it begins and wherever it changes."""
    items: list[Item] = []
    size = ""
    for piece in column.pieces:
        low, high = sorted((piece.start[1], piece.end[1]))
        if high < frame.low_m or low >= frame.high_m:
            continue
        ends = tuple((frame.x(s), frame.y(z)) for s, z in (piece.start, piece.end))
        items.append(Line(ends, LINE_MM, style.colour, style.dash))
        middle = (ends[0][1] + ends[1][1]) / 2
        if piece.size != size and abs(ends[0][1] - ends[1][1]) > 0.56 * SMALL * len(piece.size):
            items.append(Text(min(e[0] for e in ends) - 1.4, middle + 3.0, piece.size, SMALL, turned=True))
            size = piece.size
    return items


def _between(frame: _Frame, column: Column, style: Style) -> list[Item]:
    """Joints drawn as the gap they bridge: a thin line from the run below to the run above."""
    pieces = [p for p in column.pieces if frame.shows(min(p.start[1], p.end[1]))]
    items: list[Item] = []
    for lower, upper in zip(column.pieces, column.pieces[1:], strict=False):
        if lower in pieces or upper in pieces:
            ends = tuple((frame.x(s), frame.y(z)) for s, z in (lower.end, upper.start))
            items.append(Line(ends, LINE_MM * 0.4, style.colour, style.dash))
    return items


def _ends(frame: _Frame, column: Column, lowest_label: float) -> list[Item]:
    """What the riser comes from and ends in, in words; below every other label of the column."""
    items: list[Item] = []
    if column.pieces and frame.shows(column.pieces[0].start[1]):
        x, y = frame.x(column.pieces[0].start[0]), frame.y(column.pieces[0].start[1])
        y = max(y, lowest_label + SMALL - 1.5)
        items.append(Text(x + 2.2, y + 2.4, f"from {column.foot}", SMALL, colour=GREY))
    if column.pieces and frame.shows(column.pieces[-1].end[1]):
        x, y = frame.x(column.pieces[-1].end[0]), frame.y(column.pieces[-1].end[1])
        items.append(Text(x + 2.2, y - 4.2, column.top, SMALL, colour=GREY))
    return items


def _column_items(frame: _Frame, column: Column, style: Style, link: str) -> list[Item]:
    place = f"{column.building} {column.shaft}".strip()
    head = [
        Text(frame.left_mm + 3.0, TOP_MM - 6.5, column.name, NORMAL, bold=True),
        Text(frame.left_mm + 3.0, TOP_MM - 2.2, place, SMALL, colour=GREY),
    ]
    items: list[Item] = [
        *head,
        *_between(frame, column, style),
        *_pieces(frame, column, style),
    ]
    labels = _labels(frame, column)
    items += _ends(frame, column, max((y for y, _ in labels), default=0.0))
    for label_y, mark in labels:
        if isinstance(mark, JointMark):
            items.append(_joint_items(frame, mark, label_y, link))
        elif isinstance(mark, FaultMark):
            items += _fault_items(frame, mark, label_y)
        else:
            items += _branch_items(frame, mark, label_y, style)
    return items


def _floor_items(frame: _Frame, right_mm: float) -> list[Item]:
    items: list[Item] = []
    for line in frame.lines:
        y = frame.y(line.level_m)
        items.append(Line(((LEFT_MM - 26.0, y), (right_mm, y)), 0.18, "#9a9a9a", (3.0, 1.2)))
        items.append(Text(LEFT_MM - 26.0, y - 1.0, line.label[:16], NORMAL, bold=True))
        items.append(Text(LEFT_MM - 26.0, y + 3.2, f"{line.level_m:+.3f}", SMALL, colour=GREY))
    return items


def _legend(style: Style, stages: Iterable[Stage]) -> list[Item]:
    y = PAGE_MM[1] - 8.0
    items: list[Item] = [
        Line(((LEFT_MM - 26.0, y - 1.0), (LEFT_MM - 14.0, y - 1.0)), LINE_MM, style.colour, style.dash),
        Text(LEFT_MM - 12.0, y, style.words, SMALL),
    ]
    x = LEFT_MM + 78.0
    for stage in stages:
        items += [*joint_shape(x, y - 1.0, stage), Text(x + 3.2, y, str(stage), SMALL)]
        x += 8.0 + 0.56 * SMALL * len(str(stage))
    items += [*flag(x, y, ("J12",)), Text(x + 8.5, y, "a finding, by its code", SMALL)]
    return items


@dataclass(frozen=True)
class DiagramHead:
    """What stands on top of every page."""

    job: str
    day: str
    revision: str
    mark: str


def _page(
    head: DiagramHead, system: System, columns: list[Column], lines: list[FloorLine], style: Style, link: str,
    number: int, of: int, bounds: tuple[float, float],
) -> Page:  # fmt: skip
    words = system.label.replace("_", " ")
    title = f"{head.job}: {words} risers"
    free = PAGE_MM[0] - LEFT_MM - RIGHT_MM
    width = min(free / max(len(columns), 1), COLUMN_MOST_MM)
    right = LEFT_MM + width * max(len(columns), 1)
    items: list[Item] = [
        Text(8.0, 11.0, title, LARGE, bold=True),
        Text(
            8.0,
            16.5,
            f"Heights to scale between floors, widths not. {head.revision} {head.day}".strip(),
            SMALL,
        ),
        Text(PAGE_MM[0] - 8.0, 11.0, f"page {number} of {of}", NORMAL, "end"),
        Text(PAGE_MM[0] - 8.0, 16.5, head.mark, SMALL, "end"),
    ]
    for n, column in enumerate(columns):
        frame = _Frame(tuple(lines), LEFT_MM + n * width, width, *bounds)
        if n == 0:
            items += _floor_items(frame, right)
        items += _column_items(frame, column, style, link)
    return Page(*PAGE_MM, title, tuple(items + _legend(style, list(Stage))))


def _chunks(count: int, most: int) -> list[slice]:
    """Equal slices of at most `most`."""
    pages = max(-(-count // most), 1)
    size = -(-count // pages)
    return [slice(n * size, (n + 1) * size) for n in range(pages)]


def riser_diagram(
    model: Model,
    system: System,
    standing: Standing,
    findings: Iterable[Finding],
    styles: Mapping[System, Style],
    head: DiagramHead,
    link: str = "#{}",
) -> list[Page]:
    """The pages of a system's riser diagram; as many as stay readable. `link` is where a joint id leads."""
    columns = columns_of(model, system, standing, findings)
    lines = floor_lines(model.placed.floors)
    across = _chunks(len(columns), int((PAGE_MM[0] - LEFT_MM - RIGHT_MM) // COLUMN_LEAST_MM))
    # Below the lowest line and above the highest most of a storey is drawn as well.
    storeys = int((PAGE_MM[1] - TOP_MM - BOTTOM_MM) / STOREY_MM - 0.75)
    style = styles.get(system, Style("#000000", "not in the identification standard"))
    jobs = []
    for wide in across:
        shown = columns[wide]
        used = _used_lines(lines, shown)
        tall = _chunks(len(used), storeys)
        for part in tall:
            low = -np.inf if part.start == 0 else used[part.start].level_m
            high = np.inf if part.stop >= len(used) else used[part.stop].level_m
            jobs.append(([c for c in shown if _reaches(c, low, high)], used[part], (low, high)))
    return [
        _page(head, system, shown, rows, style, link, n, len(jobs), bounds)
        for n, (shown, rows, bounds) in enumerate(jobs, start=1)
    ]


def _reaches(column: Column, low_m: float, high_m: float) -> bool:
    """Whether any pipe of a column lies between two levels."""
    return any(
        max(p.start[1], p.end[1]) >= low_m and min(p.start[1], p.end[1]) < high_m for p in column.pieces
    )


def _used_lines(lines: list[FloorLine], columns: list[Column]) -> list[FloorLine]:
    """The floors from just below the lowest to just above the highest pipe of these columns."""
    levels = [z for c in columns for p in c.pieces for z in (p.start[1], p.end[1])]
    if not levels:
        return lines
    kept = [line for line in lines if min(levels) - 4.0 <= line.level_m <= max(levels) + 0.5]
    return kept or lines[:1]
