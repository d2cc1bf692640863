# SPDX-License-Identifier: Apache-2.0
"""One stub on the setting-out list: needed, drawn and measured, and what follows from the differences."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

Place = tuple[float, float, float]
SLACK_M = 1e-6
# A drawing that is nearer than this says the same. Common practice, no source.
AGREES_M = 0.001


class Verdict(StrEnum):
    """What a measurement says of a stub, its uncertainty taken into account."""

    NOT_MEASURED = "not measured"
    WITHIN = "within tolerance"
    OUTSIDE = "outside tolerance"
    TOO_CLOSE = "too close to say"


@dataclass(frozen=True, slots=True)
class Check:
    """A distance in plan to tape after setting out [m]."""

    to: str
    distance_m: float

    def as_json(self) -> dict[str, object]:
        """One JSON object."""
        return {"to": self.to, "distance_m": round(self.distance_m, 4)}


@dataclass(frozen=True, slots=True)
class SetOutLine:
    """One stub [m, on the project grid]. NaN in `drawn_m`: not drawn; in `needed_m`: nothing above says.

    `level_range_m` is how far below and above its needed level the make-up still takes the stub;
    `takes_drawn_end` whether it takes the drawn one.
    """

    stub: str
    joint: str
    above: str
    system: int
    system_word: str
    shaft: str
    size: str
    facing: str
    drawn_m: Place
    needed_m: Place
    level_range_m: tuple[float, float]
    takes_drawn_end: bool
    measured_m: Place
    uncertainty_m: float
    plan_tolerance_m: float
    level_tolerance_m: float
    checks: tuple[Check, ...]

    @property
    def target_m(self) -> Place:
        """What to set out: the needed place, axis by axis the drawn one where nothing above says."""
        x, y, z = (d if math.isnan(n) else n for n, d in zip(self.needed_m, self.drawn_m, strict=True))
        return x, y, z

    @property
    def drawn_off_m(self) -> Place:
        """Drawn less needed."""
        return _difference(self.drawn_m, self.needed_m)

    @property
    def measured_off_m(self) -> Place:
        """Measured less what was to be set out."""
        return _difference(self.measured_m, self.target_m)

    @property
    def is_drawn(self) -> bool:
        """Whether the below-slab part has this stub."""
        return not math.isnan(self.drawn_m[0])

    @property
    def drawing_words(self) -> str:
        """Whether the below-slab drawing agrees with the module above."""
        if not self.is_drawn:
            return "needed from above, not drawn below: stop, ask the engineer"
        if not self.above:
            return "no pipe above is drawn to it: set out as drawn, ask the engineer"
        off = max((abs(v) for v in self.drawn_off_m if not math.isnan(v)), default=0.0)
        if off > self.plan_tolerance_m + SLACK_M or not self.takes_drawn_end:
            return "drawn off what the pipe above needs: stop, ask the engineer"
        if off > AGREES_M:
            return "drawn a little off what the pipe above needs: set out as needed, tell the engineer"
        return "drawn as needed"

    @property
    def verdict(self) -> Verdict:
        """Within, outside, or too close to say: the uncertainty of the measurement decides near the limit."""
        if math.isnan(self.measured_m[0]):
            return Verdict.NOT_MEASURED
        sure = 0.0 if math.isnan(self.uncertainty_m) else self.uncertainty_m
        limits = (self.plan_tolerance_m, self.plan_tolerance_m, self.level_tolerance_m)
        off = [
            (abs(v), limit) for v, limit in zip(self.measured_off_m, limits, strict=True) if not math.isnan(v)
        ]
        if any(distance - sure > limit + SLACK_M for distance, limit in off):
            return Verdict.OUTSIDE
        if all(distance + sure <= limit + SLACK_M for distance, limit in off):
            return Verdict.WITHIN
        return Verdict.TOO_CLOSE

    def as_json(self) -> dict[str, object]:
        """One JSON object; positions in metres, differences in millimetres, null where there is none."""
        return {
            "stub": self.stub,
            "joint": self.joint,
            "above": self.above,
            "system": self.system_word,
            "shaft": self.shaft,
            "size": self.size,
            "facing": self.facing,
            **_axes("", self.target_m, "m", 1.0),
            **_axes("drawn_", self.drawn_m, "m", 1.0),
            **_axes("needed_", self.needed_m, "m", 1.0),
            **_axes("drawn_off_", self.drawn_off_m, "mm", 1e3),
            "level_range_mm": [_number(v, 1e3) for v in self.level_range_m],
            "drawing": self.drawing_words,
            "checks": [check.as_json() for check in self.checks],
            **_axes("measured_", self.measured_m, "m", 1.0),
            **_axes("measured_off_", self.measured_off_m, "mm", 1e3),
            "uncertainty_mm": _number(self.uncertainty_m, 1e3),
            "verdict": str(self.verdict),
        }


def _difference(a: Place, b: Place) -> Place:
    x, y, z = (p - q for p, q in zip(a, b, strict=True))
    return x, y, z


def _axes(name: str, place: Place, unit: str, factor: float) -> dict[str, object]:
    axes = ("x", "y", "level")
    return {f"{name}{axis}_{unit}": _number(v, factor) for axis, v in zip(axes, place, strict=True)}


def _number(value: float, factor: float) -> float | None:
    return None if math.isnan(value) else round(value * factor, 4) + 0.0
