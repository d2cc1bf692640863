# SPDX-License-Identifier: Apache-2.0
"""A small plan: each shaft in its own frame and scale, with a numbered sign where each pipe stands.

Drawn in millimetres of paper. Where signs would lie on each other, they are set aside and a thin line leads
to the place. Text is never smaller than `LEAST_TEXT_MM`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape

import numpy as np

from riser.network.types import Floats
from riser.reports.symbols import FONT, HALF_MM, sign_body

TEXT_MM = 3.4
LEAST_TEXT_MM = 3.1
SCALES = (5, 7.5, 10, 12.5, 15, 20, 25, 30, 40, 50, 75, 100, 150, 200, 300, 400, 500, 1000, 2000)
# Letters of the sheets' font are nowhere wider than this share of their height. Measured on digits.
DIGIT_WIDTH = 0.57
TITLE_MM = 5.0
MARGIN_MM = 4.5


@dataclass(frozen=True, slots=True)
class Mark:
    """A pipe on a plan: its place [m], system code, and the number or word beside its sign."""

    x_m: float
    y_m: float
    system: int
    label: str


@dataclass(frozen=True)
class Frame:
    """One framed part of a plan: a title, an outline, shape (n, 2) [m], empty for none, and its marks.

    `numbered` counts the corners of the outline from 1.
    """

    title: str
    outline_m: Floats
    marks: tuple[Mark, ...]
    numbered: bool = False


Box = tuple[float, float, float, float]


def plan_svg(frames: Sequence[Frame], width_mm: float, height_mm: float) -> str:
    """The frames side by side in as many rows as keep them widest."""
    rows = 1 if len(frames) <= 3 else 2 if len(frames) <= 8 else 3
    columns = max(1, math.ceil(len(frames) / rows))
    cell = (width_mm / columns, height_mm / rows)
    body = "".join(
        f'<g transform="translate({(n % columns) * cell[0]:.3f} {(n // columns) * cell[1]:.3f})">'
        f"{_frame(frame, *cell)}</g>"
        for n, frame in enumerate(frames)
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width_mm} {height_mm}"'
        f' width="{width_mm}mm" height="{height_mm}mm">{body}</svg>'
    )


def _frame(frame: Frame, width_mm: float, height_mm: float) -> str:
    places = np.array([[m.x_m, m.y_m] for m in frame.marks], dtype=float).reshape(-1, 2)
    extent = np.vstack([frame.outline_m, places])
    if not len(extent):
        extent = np.zeros((1, 2))
    low, high = extent.min(axis=0), extent.max(axis=0)
    scale = _scale(high - low, width_mm, height_mm)
    middle = np.array([width_mm / 2, TITLE_MM + (height_mm - TITLE_MM) / 2])

    def paper(points: Floats) -> Floats:
        turned = (points - (low + high) / 2) * (1000.0 / scale) * np.array([1.0, -1.0])
        placed: Floats = turned + middle
        return placed

    outline = " ".join(f"{x:.2f},{y:.2f}" for x, y in paper(frame.outline_m).tolist())
    shape = f'<polygon points="{outline}" fill="none" stroke="black" stroke-width="0.5"/>' if outline else ""
    return (
        f'<rect x="0.2" y="0.2" width="{width_mm - 0.4:.2f}" height="{height_mm - 0.4:.2f}" fill="none"'
        f' stroke="black" stroke-width="0.15"/>{_title(frame, scale, width_mm)}{_axes(height_mm)}{shape}'
        f"{_corners(paper(frame.outline_m)) if frame.numbered else ''}"
        f"{_marks(frame.marks, paper(places), width_mm, height_mm)}"
    )


def _scale(extent_m: Floats, width_mm: float, height_mm: float) -> float:
    """The largest usual scale at which the frame's contents fit."""
    room = np.array([width_mm - 2 * MARGIN_MM, height_mm - TITLE_MM - 2 * MARGIN_MM])
    needed = float(np.max(extent_m * 1000.0 / np.maximum(room, 1.0)))
    return next((s for s in SCALES if s >= needed), float(math.ceil(needed)))


def _title(frame: Frame, scale: float, width_mm: float) -> str:
    bold = f'<text x="1.5" y="4" font-size="{TEXT_MM}" {FONT} font-weight="bold">{escape(frame.title)}</text>'
    ratio = f'<text x="{width_mm - 1.5:.2f}" y="4" font-size="{LEAST_TEXT_MM}" {FONT} text-anchor="end">'
    return f"{bold}{ratio}1:{scale:g}</text>"


def _axes(height_mm: float) -> str:
    """Which way x and y run."""
    y = height_mm - 2.4
    text = f'font-size="{LEAST_TEXT_MM}" {FONT}'
    lines = f"M2,{y - 6:.2f} V{y:.2f} H8 M1.3,{y - 4.8:.2f} L2,{y - 6:.2f} L2.7,{y - 4.8:.2f}"
    arrow = f"{lines} M6.8,{y - 0.7:.2f} L8,{y:.2f} L6.8,{y + 0.7:.2f}"
    return (
        f'<path d="{arrow}" fill="none" stroke="black" stroke-width="0.2"/>'
        f'<text x="9" y="{y + 0.9:.2f}" {text}>x</text><text x="3.2" y="{y - 4.2:.2f}" {text}>y</text>'
    )


def _corners(outline: Floats) -> str:
    """The number of each corner, outside it."""
    middle = outline.mean(axis=0) if len(outline) else outline
    shown = []
    for n, corner in enumerate(outline, start=1):
        out = np.sign(corner - middle) * 2.4
        x, y = (corner + out).tolist()
        shown.append(
            f'<text x="{x:.2f}" y="{y + 1.0:.2f}" font-size="{LEAST_TEXT_MM}" {FONT}'
            f' text-anchor="middle">{n}</text>'
        )
    return "".join(shown)


def _marks(marks: Sequence[Mark], places: Floats, width_mm: float, height_mm: float) -> str:
    """All marks: each sign with its label as near to its point as there is room for both."""
    room: Box = (0.5, TITLE_MM, width_mm - 0.5, height_mm - 0.5)
    taken: list[Box] = [(0.0, height_mm - 10.0, 12.0, height_mm)]
    points = places.tolist()
    dots = [(x - 0.6, y - 0.6, x + 0.6, y + 0.6) for x, y in points]
    drawn = [f'<circle cx="{x:.2f}" cy="{y:.2f}" r="0.6"/>' for x, y in points]
    signs = []
    for n, (mark, (x, y)) in enumerate(zip(marks, points, strict=True)):
        sign, label = _sign_and_label_boxes(x, y, mark.label, taken, dots[:n] + dots[n + 1 :], room)
        taken += [sign, label]
        centre = ((sign[0] + sign[2]) / 2, (sign[1] + sign[3]) / 2)
        drawn.append(_leader((x, y), centre))
        signs.append(_sign_and_label(mark, centre, label))
    return "".join(drawn + signs)


def _sign_and_label_boxes(
    x: float, y: float, label: str, taken: Sequence[Box], dots: Sequence[Box], room: Box
) -> tuple[Box, Box]:
    """The nearest place free for a sign and, beside it, for its label; the first of all where none is."""
    width = len(label) * DIGIT_WIDTH * TEXT_MM
    filled = [*taken, *dots]
    own = (x - 0.6, y - 0.6, x + 0.6, y + 0.6)
    first: tuple[Box, Box] | None = None
    for sign in _sign_boxes(x, y):
        centre = ((sign[0] + sign[2]) / 2, (sign[1] + sign[3]) / 2)
        labels = list(_label_boxes(*centre, width))
        first = first or (sign, labels[0])
        if not _is_free(sign, filled, room):
            continue
        found = next((box for box in labels if _is_free(box, [*filled, own], room)), None)
        if found is not None:
            return sign, found
    return first or (room, room)


def _spiral() -> Iterator[tuple[float, float]]:
    """Steps away from a point, nearest first."""
    yield 0.0, 0.0
    for ring in range(1, 26):
        for turn in range(16):
            angle = turn * math.pi / 8
            yield ring * 1.6 * math.cos(angle), ring * 1.6 * math.sin(angle)


def _sign_boxes(x: float, y: float) -> Iterator[Box]:
    for dx, dy in _spiral():
        yield x + dx - HALF_MM, y + dy - HALF_MM, x + dx + HALF_MM, y + dy + HALF_MM


def _label_boxes(x: float, y: float, width: float) -> Iterator[Box]:
    """Right, left, above and below a sign, then a little farther away."""
    tall = TEXT_MM * 0.85
    for away in range(3):
        side, end = HALF_MM + 0.3 + away * 1.2, HALF_MM + away * 1.2
        yield x + side, y - tall / 2, x + side + width, y + tall / 2
        yield x - side - width, y - tall / 2, x - side, y + tall / 2
        yield x - width / 2, y - end - tall, x + width / 2, y - end
        yield x - width / 2, y + end, x + width / 2, y + end + tall


def _is_free(box: Box, taken: Sequence[Box], room: Box) -> bool:
    inside = box[0] >= room[0] and box[1] >= room[1] and box[2] <= room[2] and box[3] <= room[3]
    return inside and not any(_overlap(box, other) for other in taken)


def _overlap(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _leader(point: Sequence[float], centre: tuple[float, float]) -> str:
    """The line from a point to its sign, where the sign is set aside."""
    (x, y), (cx, cy) = point, centre
    if math.hypot(cx - x, cy - y) < 0.05:
        return ""
    return f'<path d="M{x:.2f},{y:.2f} L{cx:.2f},{cy:.2f}" stroke="black" stroke-width="0.15"/>'


def _sign_and_label(mark: Mark, centre: tuple[float, float], box: Box) -> str:
    x, y = (box[0] + box[2]) / 2, box[3] - 0.2
    width, height = box[2] - box[0], box[3] - box[1]
    label = (
        f'<rect x="{box[0]:.2f}" y="{box[1]:.2f}" width="{width:.2f}" height="{height:.2f}" fill="white"/>'
        f'<text x="{x:.2f}" y="{y:.2f}" font-size="{TEXT_MM}" {FONT} font-weight="bold"'
        f' text-anchor="middle">{escape(mark.label)}</text>'
    )
    return f'<g transform="translate({centre[0]:.2f} {centre[1]:.2f})">{sign_body(mark.system)}</g>{label}'


def merged(marks: Sequence[Mark], apart_m: float = 0.002) -> tuple[Mark, ...]:
    """Marks of one system at one place as one, their labels joined."""
    found: dict[tuple[int, int, int], Mark] = {}
    for mark in marks:
        key = (round(mark.x_m / apart_m), round(mark.y_m / apart_m), mark.system)
        held = found.get(key)
        label = mark.label if held is None else f"{held.label},{mark.label}"
        found[key] = Mark(mark.x_m, mark.y_m, mark.system, label)
    return tuple(found.values())
