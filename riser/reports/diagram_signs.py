# SPDX-License-Identifier: Apache-2.0
"""Signs on a riser diagram: a shape for each stage of a joint, a flag for findings."""

from __future__ import annotations

from riser.reports.scene import Circle, Item, Line, Polygon, Text
from riser.reports.stage import Stage

SMALL = 3.05


def _square(x: float, y: float, half: float, fill: str) -> Polygon:
    corners = ((x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half))
    return Polygon(corners, fill)


def joint_shape(x: float, y: float, stage: Stage) -> tuple[Item, ...]:
    """A shape per stage; dark and light say it once more for a grey print."""
    ring = Circle(x, y, 1.3)
    cross = (
        Line(((x - 0.9, y - 0.9), (x + 0.9, y + 0.9))),
        Line(((x - 0.9, y + 0.9), (x + 0.9, y - 0.9))),
    )
    shapes: dict[Stage, tuple[Item, ...]] = {
        Stage.NOT_YET_SEEN: (ring,),
        Stage.NOT_IN_ORDER: (ring, *cross),
        Stage.MADE: (ring, Circle(x, y, 0.6, "#000000")),
        Stage.INSPECTED: (_square(x, y, 1.3, "#ffffff"),),
        Stage.STALE: (Polygon(((x, y - 1.6), (x + 1.6, y + 1.2), (x - 1.6, y + 1.2))),),
        Stage.PROVEN: (_square(x, y, 1.2, "#9a9a9a"),),
        Stage.RELEASED: (_square(x, y, 1.2, "#000000"),),
        Stage.COVERED: (_square(x, y, 1.2, "#000000"), Line(((x - 2.2, y), (x + 2.2, y)), 0.5)),
    }
    return shapes[stage]


def flag(x: float, y: float, codes: tuple[str, ...]) -> tuple[Item, ...]:
    """Finding codes in a box with a corner cut off, so that they stand out without colour."""
    words = " ".join(codes)
    width = 0.56 * SMALL * len(words) + 2.0
    shape = (
        (x, y - 3.0),
        (x + width - 1.2, y - 3.0),
        (x + width, y - 1.8),
        (x + width, y + 0.9),
        (x, y + 0.9),
    )
    return (Polygon(shape, "#fff3d6"), Text(x + 1.0, y - 0.1, words, SMALL, bold=True))
