# SPDX-License-Identifier: Apache-2.0
"""The setting-out list: where the stubs cast into the foundation have to come up, and where they came up.

The place a stub must have follows from the stub above it and the make-up between them: straight below it,
lower by the laying lengths and by what the couplings' gaps take. Where the below-slab drawing says otherwise,
both stand on the list with the difference; nothing is corrected silently.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from riser.joints.fit import Fit, fit
from riser.joints.measured import Measured, measured_stubs, stub_tolerances_m
from riser.network.model import Model
from riser.network.types import Floats, Ints
from riser.reports.pipe_words import pipe_words, system_word
from riser.reports.riser_places import Shaft, shaft_places, shafts_of
from riser.reports.set_out_line import Check, SetOutLine
from riser.reports.stubs_below import StubPair, stub_pairs

ALONG = 0.7
"""An axis along which a stub faces more than this is the axis of its pipe."""
CHECKS = 2
"""How many neighbours and how many shaft corners each stub is checked against."""


@dataclass(frozen=True)
class SetOut:
    """The setting-out list of one building. `grid_m` is what was added to x and y for the project grid."""

    job: str
    building: str
    lines: tuple[SetOutLine, ...]
    plan_tolerance_m: float
    level_tolerance_m: float
    grid_m: tuple[float, float]
    shafts: tuple[Shaft, ...]

    def as_json(self) -> dict[str, Any]:
        """One JSON object, its list named `points`; lengths carry their unit in the key."""
        return {
            "building": self.building,
            "plan_tolerance_mm": round(self.plan_tolerance_m * 1e3, 3),
            "level_tolerance_mm": round(self.level_tolerance_m * 1e3, 3),
            "grid_x_m": self.grid_m[0],
            "grid_y_m": self.grid_m[1],
            "points": [line.as_json() for line in self.lines],
        }


def set_out(model: Model, building: str = "", *, grid_m: tuple[float, float] = (0.0, 0.0)) -> list[SetOut]:
    """The setting-out lists of a job, one a building that has stubs cast into its ground.

    `grid_m` is added to every x and y. Tolerances are those of [tolerance] in project.toml; without it 10 mm
    along each axis, which is common practice without a source.
    """
    source = _Source(model, measured_stubs(model.placed), fit(model, drawn=True))
    plan, level = stub_tolerances_m(model.placed)
    pairs = stub_pairs(model)
    buildings = dict.fromkeys(pair.building for pair in pairs if building in ("", pair.building))
    return [
        SetOut(
            str(model.placed.tables.settings.get("name", "")),
            name,
            _lines(source, [pair for pair in pairs if pair.building == name], (plan, level), grid_m),
            plan,
            level,
            grid_m,
            tuple(shaft for shaft in shafts_of(model) if shaft.building == name),
        )
        for name in buildings
    ]


@dataclass(frozen=True)
class _Source:
    model: Model
    measured: Measured
    fits: Fit

    def needed_m(self, pair: StubPair) -> Floats:
        """Where the stub has to end for the stub above it; NaN where nothing above says.

        Along the pipe the drawn end stands where the make-up takes it; otherwise the middle of what it takes.
        """
        if pair.above < 0:
            return np.full(3, np.nan)
        placed, found = self.model.placed, self.fits
        end = placed.node_xyz_m[pair.above]
        facing = placed.facing(np.array([pair.above], dtype=np.int32))[0]
        drawn = placed.node_xyz_m[pair.stub] if pair.stub >= 0 else np.full(3, np.nan)
        if not self._is_judged(pair):
            # Without a make-up the place across the pipe is known and the end along it is not.
            along = float((drawn - end) @ facing)
        elif self.takes_drawn_end(pair):
            along = float(found.axial_m[pair.joint])
        else:
            middle = (found.gap_least_m[pair.joint] + found.gap_most_m[pair.joint]) / 2
            along = float(found.laid_m[pair.joint] + middle)
        needed: Floats = np.where(np.abs(facing) < ALONG, end, end + facing * along)
        return needed

    def takes_drawn_end(self, pair: StubPair) -> bool:
        """Whether the make-up takes the drawn distance along the pipe, as far as that can be judged."""
        return not (self._is_judged(pair) and bool(self.fits.gap_is_wrong[pair.joint]))

    def level_range_m(self, pair: StubPair) -> tuple[float, float]:
        """How much lower and higher than needed an upright stub may end before the make-up cannot take it."""
        if not self._is_judged(pair) or not self.takes_drawn_end(pair):
            return np.nan, np.nan
        found, n = self.fits, pair.joint
        facing = self.model.placed.facing(np.array([pair.stub], dtype=np.int32))[0]
        if facing[2] < ALONG:
            return np.nan, np.nan
        return float(found.gap_m[n] - found.gap_most_m[n]), float(found.gap_m[n] - found.gap_least_m[n])

    def _is_judged(self, pair: StubPair) -> bool:
        return pair.joint >= 0 and pair.above >= 0 and pair.stub >= 0 and bool(self.fits.judged[pair.joint])

    def measured_m(self, stub: int) -> tuple[Floats, float]:
        """Where a stub was measured and how far that may be off; NaN where it was not."""
        found = np.flatnonzero(self.measured.node == stub)
        if stub < 0 or not len(found):
            return np.full(3, np.nan), np.nan
        return self.measured.xyz_m[found[0]], float(self.measured.uncertainty_m[found[0]])


def _lines(
    source: _Source, pairs: Sequence[StubPair], tolerance_m: tuple[float, float], grid_m: tuple[float, float]
) -> tuple[SetOutLine, ...]:
    model = source.model
    needed = np.array([source.needed_m(pair) for pair in pairs]).reshape(-1, 3)
    drawn = np.array([_drawn_m(model, pair.stub) for pair in pairs]).reshape(-1, 3)
    target = np.where(np.isnan(needed), drawn, needed)
    shafts = [shaft for shaft in shafts_of(model) if not pairs or shaft.building == pairs[0].building]
    names = [_stub_name(model, pair) for pair in pairs]
    places = shaft_places(shafts, target[:, :2], [pair.building for pair in pairs])
    shaft_of = [place.name for place in places]
    lines = []
    for n, pair in enumerate(pairs):
        checks = (*_to_neighbours(names, target, n), *_to_corners(shafts, shaft_of[n], target[n]))
        lines.append(_line(source, pair, names[n], needed[n], shaft_of[n], checks, tolerance_m, grid_m))
    return tuple(sorted(lines, key=lambda line: (line.shaft == "", line.shaft, line.system, line.stub)))


def _drawn_m(model: Model, stub: int) -> Floats:
    return model.placed.node_xyz_m[stub] if stub >= 0 else np.full(3, np.nan)


def _stub_name(model: Model, pair: StubPair) -> str:
    return model.placed.node_id(pair.stub) if pair.stub >= 0 else pair.stub_text


def _line(
    source: _Source,
    pair: StubPair,
    name: str,
    needed_m: Floats,
    shaft: str,
    checks: tuple[Check, ...],
    tolerance_m: tuple[float, float],
    grid_m: tuple[float, float],
) -> SetOutLine:
    model = source.model
    shown = pair.stub if pair.stub >= 0 else pair.above
    measured, uncertainty = source.measured_m(pair.stub)
    shift = np.array([*grid_m, 0.0])
    system = int(model.node_system[shown])
    joints = model.joints
    return SetOutLine(
        stub=name,
        joint=str(joints.id[pair.joint]) if pair.joint >= 0 else "",
        above=model.placed.node_id(pair.above) if pair.above >= 0 else "",
        system=system,
        system_word=system_word(system),
        shaft=shaft,
        size=pipe_words(model.placed.tables).pipe(int(model.node_pipe[shown])),
        facing=_facing_word(model, pair),
        drawn_m=_triple(_drawn_m(model, pair.stub) + shift),
        needed_m=_triple(needed_m + shift),
        level_range_m=source.level_range_m(pair),
        takes_drawn_end=source.takes_drawn_end(pair),
        measured_m=_triple(measured + shift),
        uncertainty_m=uncertainty,
        plan_tolerance_m=tolerance_m[0],
        level_tolerance_m=tolerance_m[1],
        checks=checks,
    )


def _triple(xyz: Floats) -> tuple[float, float, float]:
    x, y, z = (float(v) for v in xyz)
    return x, y, z


def _facing_word(model: Model, pair: StubPair) -> str:
    """Which way the stub looks; for one not drawn, against the stub above."""
    number, sign = (pair.stub, 1.0) if pair.stub >= 0 else (pair.above, -1.0)
    facing = model.placed.facing(np.array([number], dtype=np.int32))[0] * sign
    axis = int(np.argmax(np.abs(facing)))
    if abs(facing[axis]) < 0.99:
        return " ".join(f"{v + 0.0:.3f}" for v in facing.tolist())
    if axis == 2:
        return "up" if facing[2] > 0 else "down"
    return f"{'+' if facing[axis] > 0 else '-'}{'xy'[axis]}"


def _to_neighbours(names: Sequence[str], places_m: Floats, n: int) -> list[Check]:
    away = np.hypot(places_m[:, 0] - places_m[n, 0], places_m[:, 1] - places_m[n, 1])
    away[n] = np.nan
    order: Ints = np.argsort(np.where(np.isnan(away), np.inf, away), kind="stable").astype(np.int32)
    return [Check(names[k], float(away[k])) for k in order[:CHECKS].tolist() if np.isfinite(away[k])]


def _to_corners(shafts: Sequence[Shaft], name: str, place_m: Floats) -> list[Check]:
    """Distances to the nearest corners of the shaft; corners are counted along the outline from 1."""
    shaft = next((s for s in shafts if s.name == name), None)
    if shaft is None or not np.isfinite(place_m[:2]).all():
        return []
    away = np.linalg.norm(shaft.outline_m - place_m[:2], axis=1)
    order = np.argsort(away, kind="stable")[:CHECKS]
    return [Check(f"{name} corner {int(k) + 1}", float(away[k])) for k in order.tolist()]
