# SPDX-License-Identifier: Apache-2.0
"""Where parts stand: mirrored, turned, moved; and where their stubs come to lie."""

from __future__ import annotations

import math
from dataclasses import dataclass

Vector = tuple[float, float, float]


def _turned(x: float, y: float, yaw_deg: int) -> tuple[float, float]:
    """Turn by a quarter turn or several, exactly."""
    quarter = (yaw_deg // 90) % 4
    return ((x, y), (-y, x), (-x, -y), (y, -x))[quarter]


@dataclass(frozen=True)
class Place:
    """Origin [m], quarter turn [deg, anticlockwise from above] and mirror of a part or a group of parts."""

    x: float = 0.0
    y: float = 0.0
    z: float = 0.0
    yaw_deg: int = 0
    mirrored: bool = False

    def turned(self, vector: Vector) -> Vector:
        """A direction of the part as it lies in the building."""
        x, y = _turned(-vector[0] if self.mirrored else vector[0], vector[1], self.yaw_deg)
        return (x, y, vector[2])

    def point(self, at: Vector) -> Vector:
        """A point of the part in the building, to a tenth of a millimetre."""
        x, y, z = self.turned(at)
        return (round(self.x + x, 4), round(self.y + y, 4), round(self.z + z, 4))

    def holding(self, inner: Place) -> Place:
        """A part that stands at `inner` within a group that stands here."""
        x, y, z = self.point((inner.x, inner.y, inner.z))
        turn = -inner.yaw_deg if self.mirrored else inner.yaw_deg
        return Place(x, y, z, (self.yaw_deg + turn) % 360, self.mirrored != inner.mirrored)


WORDS: dict[str, Vector] = {
    "up": (0, 0, 1),
    "down": (0, 0, -1),
    "+x": (1, 0, 0),
    "-x": (-1, 0, 0),
    "+y": (0, 1, 0),
    "-y": (0, -1, 0),
}


def direction(facing: str) -> Vector:
    """The unit vector of a stub's facing."""
    if facing in WORDS:
        return WORDS[facing]
    x, y, z = (float(piece) for piece in facing.split())
    length = math.sqrt(x * x + y * y + z * z)
    return (x / length, y / length, z / length)


def apart_m(start: Vector, facing: Vector, end: Vector) -> tuple[float, Vector]:
    """How far a stub is from the one it looks at: along its facing, and the vector across it."""
    step = (end[0] - start[0], end[1] - start[1], end[2] - start[2])
    along = sum(a * b for a, b in zip(step, facing, strict=True))
    return along, (step[0] - along * facing[0], step[1] - along * facing[1], step[2] - along * facing[2])
