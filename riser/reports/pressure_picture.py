# SPDX-License-Identifier: Apache-2.0
"""A riser's pressures as a picture: level upright, gauge pressure along, each pressure at its own level.

The full line is still water, the dashed one the water flowing; a ring is the weakest outlet of a floor, the
upright stroke beside it what it needs; the dotted upright is what outlets may have in still water.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from riser.network.placing import Floors
from riser.network.systems import System
from riser.network.types import Floats
from riser.pressures.riser_profile import RiserProfile
from riser.reports.riser_diagram import FloorLine, floor_lines
from riser.reports.scene import Circle, Group, Item, Line, Page, Text
from riser.units import BAR_PA

PAGE_MM = (210.0, 297.0)  # A4 upright (ISO 216)
LEFT_MM, RIGHT_MM, TOP_MM, BOTTOM_MM = 46.0, 62.0, 40.0, 44.0
GREY, SMALL, LARGE = "#6b6b6b", 3.05, 5.0
STILL_MM, FLOWING_DASH, LIMIT_DASH = 0.8, (3.0, 1.5), (0.6, 1.2)
STEPS_BAR = (0.5, 1.0, 2.0, 5.0)
MOST_STEPS = 12
MARGIN_M = 1.5
TEXT_MM = 4.2


@dataclass(frozen=True)
class _Axes:
    low_m: float
    high_m: float
    step_bar: float
    last_bar: float

    def x(self, pressure_pa: float) -> float:
        """Place along the page of a pressure."""
        return LEFT_MM + (PAGE_MM[0] - LEFT_MM - RIGHT_MM) * pressure_pa / BAR_PA / self.last_bar

    def y(self, level_m: float) -> float:
        """Height on the page of a level."""
        share = (level_m - self.low_m) / (self.high_m - self.low_m)
        return PAGE_MM[1] - BOTTOM_MM - (PAGE_MM[1] - TOP_MM - BOTTOM_MM) * share


def pressure_picture(profile: RiserProfile, floors: Floors, job: str) -> Page:
    """The picture of one riser."""
    axes, water = _axes(profile), profile.system.label.replace("_", " ")
    shown = [line for line in floor_lines(floors) if axes.low_m < line.level_m < axes.high_m]
    items: list[Item] = [
        Text(12.0, 16.0, f"{profile.name}: pressure against height", LARGE, bold=True),
        Text(12.0, 23.0, f"{job}, {water}; gauge pressures, each at its level"),
        *_grid(axes),
        *_floors(axes, shown),
        Group("limit", _limit(profile, axes)),
        Group("static", _curve(profile.static_pa, profile, axes, ())),
        Group("flowing", _curve(profile.flowing_pa, profile, axes, FLOWING_DASH)),
        Group("outlets", _outlets(profile, axes)),
        Group("dry", _dry(profile, axes)),
        Group("zones", _zones(profile, axes)),
        Group("key", _key(profile)),
    ]
    return Page(*PAGE_MM, f"{job}: pressures of {profile.name}", tuple(items))


def _axes(profile: RiserProfile) -> _Axes:
    levels = [*profile.level_m.tolist(), *(row.level_m for row in profile.outlets)]
    figures = [profile.static_pa, profile.flowing_pa, np.array([profile.most_static_pa])]
    needed = np.array([row.limits.least_flowing_pa for row in profile.outlets])
    every = np.concatenate([*figures, needed]) / BAR_PA
    most = max(float(np.nanmax(every)) if not np.all(np.isnan(every)) else 1.0, 1.0)
    step = next((s for s in STEPS_BAR if most / s <= MOST_STEPS), 10.0)
    last = step * math.ceil(most / step + 0.2)
    return _Axes(min(levels) - MARGIN_M, max(levels) + MARGIN_M, step, last)


def _grid(axes: _Axes) -> list[Item]:
    low, high = axes.y(axes.low_m), axes.y(axes.high_m)
    items: list[Item] = []
    for n in range(round(axes.last_bar / axes.step_bar) + 1):
        x = axes.x(n * axes.step_bar * BAR_PA)
        items.append(Line(((x, low), (x, high)), 0.1 if n else 0.3, GREY))
        items.append(Text(x, low + 5.0, f"{n * axes.step_bar:g}", SMALL, "middle"))
    end = axes.x(axes.last_bar * BAR_PA)
    return [*items, Text(end + 4.0, low + 5.0, "bar gauge", SMALL)]


def _floors(axes: _Axes, lines: list[FloorLine]) -> list[Item]:
    """Floor lines; a label is left out where it would lie over the one below."""
    items: list[Item] = []
    free = math.inf
    for line in lines:
        y = axes.y(line.level_m)
        items.append(Line(((LEFT_MM, y), (PAGE_MM[0] - RIGHT_MM, y)), 0.1, GREY))
        if y < free:
            label = line.label if len(line.label) <= 12 else f"{line.label[:11]}…"
            items.append(Text(12.0, y, label, SMALL))
            items.append(Text(LEFT_MM - 2.0, y, f"{line.level_m:+.2f}", SMALL, "end"))
            free = y - TEXT_MM
    return items


def _limit(profile: RiserProfile, axes: _Axes) -> tuple[Item, ...]:
    if np.isnan(profile.most_static_pa):
        return ()
    x = axes.x(profile.most_static_pa)
    return (Line(((x, axes.y(axes.low_m)), (x, axes.y(axes.high_m))), 0.5, dash=LIMIT_DASH),)


def _curve(
    pressure_pa: Floats, profile: RiserProfile, axes: _Axes, dash: tuple[float, ...]
) -> tuple[Item, ...]:
    """The line of a pressure, broken where there is none."""
    lines, part = list[Item](), list[tuple[float, float]]()
    for pressure, level in zip(pressure_pa.tolist(), profile.level_m.tolist(), strict=True):
        if math.isnan(pressure):
            if len(part) > 1:
                lines.append(Line(tuple(part), STILL_MM, dash=dash))
            part = []
            continue
        part.append((axes.x(max(pressure, 0.0)), axes.y(level)))
    if len(part) > 1:
        lines.append(Line(tuple(part), STILL_MM, dash=dash))
    return tuple(lines)


def _dry(profile: RiserProfile, axes: _Axes) -> tuple[Item, ...]:
    """A sentence where no supply reaches the riser at all."""
    if not np.isnan(profile.static_pa).all():
        return ()
    middle = axes.y((axes.low_m + axes.high_m) / 2) - TEXT_MM / 2
    return (Text(LEFT_MM + 4.0, middle, "no supply with a pressure reaches this riser"),)


def _outlets(profile: RiserProfile, axes: _Axes) -> tuple[Item, ...]:
    """What the weakest outlet of each floor has and needs; filled where it has too little."""
    items: list[Item] = []
    for row in profile.outlets:
        y, need = axes.y(row.level_m), axes.x(row.limits.least_flowing_pa)
        has = axes.x(max(row.flowing_pa, 0.0))
        items.append(Line(((need, y - 1.6), (need, y + 1.6)), 0.5))
        items.append(Line(((need, y), (has, y)), 0.15))
        items.append(Circle(has, y, 1.0, "#000000" if row.shortage_pa > 0 else "#ffffff"))
    return tuple(items)


def _zones(profile: RiserProfile, axes: _Axes) -> tuple[Item, ...]:
    """Zones as bars beside the grid, named by what gives them their pressure."""
    items: list[Item] = []
    x, free = PAGE_MM[0] - RIGHT_MM + 4.0, math.inf
    for low, high, words in profile.zones:
        items.append(Line(((x, axes.y(low)), (x, axes.y(high))), 1.2, GREY))
        y = min((axes.y(low) + axes.y(high)) / 2, free)
        items.append(Text(x + 3.0, y, words[:32], SMALL))
        free = y - TEXT_MM
    return tuple(items)


def _key(profile: RiserProfile) -> tuple[Item, ...]:
    """What the lines mean."""
    flowing = "with the fire demand" if profile.system == System.FIRE else "at design load"
    entries: list[tuple[tuple[float, ...], float, str]] = [
        ((), STILL_MM, "still water"),
        (FLOWING_DASH, STILL_MM, f"flowing, {flowing}"),
    ]
    if not np.isnan(profile.most_static_pa):
        entries.append((LIMIT_DASH, 0.5, f"most allowed still: {profile.most_static_pa / BAR_PA:.2f} bar"))
    items: list[Item] = []
    y = PAGE_MM[1] - BOTTOM_MM + 14.0
    for dash, width, words in entries:
        items += [Line(((LEFT_MM, y - 1.0), (LEFT_MM + 12.0, y - 1.0)), width, dash=dash)]
        items.append(Text(LEFT_MM + 15.0, y, words, SMALL))
        y += 5.5
    items.append(Circle(LEFT_MM + 6.0, y - 1.0, 1.0))
    words = "weakest outlet of a floor (filled: too weak); the stroke is what it needs"
    return (*items, Text(LEFT_MM + 15.0, y, words, SMALL))
