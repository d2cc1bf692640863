# SPDX-License-Identifier: Apache-2.0
"""Pressure against height along one riser, and what its outlets have and need, floor by floor."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from riser.network.risers import Riser, risers
from riser.network.systems import PRESSURE, System
from riser.network.types import Floats, Ints
from riser.pressures.building_pressures import BuildingPressures, OutletPressure


@dataclass(frozen=True)
class RiserProfile:
    """Gauge pressures along a riser from foot to top, each at its own level; NaN where there is none.

    `zones` are the zones along it, as (lowest level, highest level, words). `outlets` are the weakest outlet
    of each floor that it serves, `most_static_pa` the least static limit of any of them (NaN without one).
    """

    name: str
    system: System
    level_m: Floats
    static_pa: Floats
    flowing_pa: Floats
    zones: tuple[tuple[float, float, str], ...]
    outlets: tuple[OutletPressure, ...]
    most_static_pa: float


def riser_profiles(pressures: BuildingPressures) -> list[RiserProfile]:
    """The profile of every named riser under pressure, in the order of risers.csv."""
    order = {name: n for n, name in enumerate(pressures.model.placed.tables.risers["riser"].tolist())}
    named = [
        riser
        for system in sorted(PRESSURE)
        for riser in risers(pressures.model, system)
        if riser.is_named
    ]  # fmt: skip
    serves = _served(pressures, named)
    profiles = [_profile(pressures, riser, serves.get(n, [])) for n, riser in enumerate(named)]
    return sorted(profiles, key=lambda profile: order.get(profile.name, len(order)))


def _served(pressures: BuildingPressures, every: list[Riser]) -> dict[int, list[OutletPressure]]:
    """The outlets of each riser: those whose water leaves it last."""
    riser_at = {point: n for n, riser in enumerate(every) for point in riser.points.tolist()}
    found: dict[int, list[OutletPressure]] = {}
    way = pressures.still.way
    for row in pressures.rows:
        point = row.outlet.point
        while point >= 0 and point not in riser_at:
            point = int(way.before[point])
        if point >= 0:
            found.setdefault(riser_at[point], []).append(row)
    return found


def _profile(pressures: BuildingPressures, riser: Riser, rows: list[OutletPressure]) -> RiserProfile:
    still, points = pressures.still, riser.points
    flowing = np.full(len(points), np.nan)
    if riser.system == System.FIRE and pressures.fire is not None:
        flowing = pressures.fire.pressure_pa[points]
    elif riser.system != System.FIRE and pressures.budget is not None:
        flowing = pressures.budget.pressure_pa[points]
    limits = [row.limits.most_static_pa for row in rows if not np.isnan(row.limits.most_static_pa)]
    return RiserProfile(
        riser.name,
        riser.system,
        still.net.level_m[points],
        still.pressure_pa[points],
        flowing,
        _zones(pressures, points),
        _weakest(pressures, rows),
        min(limits, default=float("nan")),
    )


def _zones(pressures: BuildingPressures, points: Ints) -> tuple[tuple[float, float, str], ...]:
    zone, level = pressures.still.zone[points], pressures.still.net.level_m[points]
    cuts = [0, *(np.flatnonzero(np.diff(zone)) + 1).tolist(), len(points)]
    return tuple(
        (float(level[a:b].min()), float(level[a:b].max()), pressures.zone_words(int(zone[a])))
        for a, b in pairwise(cuts)
    )


def _weakest(pressures: BuildingPressures, rows: list[OutletPressure]) -> tuple[OutletPressure, ...]:
    """Of each floor the outlet with the greatest shortage."""
    worst: dict[int, OutletPressure] = {}
    floor = pressures.model.placed.node_floor
    for row in rows:
        if np.isnan(row.shortage_pa):
            continue
        here = int(floor[row.outlet.node])
        if here not in worst or row.shortage_pa > worst[here].shortage_pa:
            worst[here] = row
    return tuple(sorted(worst.values(), key=lambda row: row.level_m))
