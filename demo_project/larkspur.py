# SPDX-License-Identifier: Apache-2.0
"""Larkspur Quay: tower A of ten storeys with two shafts, tower B of three with one, on a podium of two."""

from __future__ import annotations

from .building_plan import Column, Plan, Wing
from .placing import Place
from .sound import Sound, sound_building

LARKSPUR_QUAY = Plan(
    storeys={"A": 10, "B": 3},
    wings=(
        Wing(
            columns=(
                Column(1, "A", Place(10.0, 10.0), tall=frozenset({2})),
                Column(2, "A", Place(18.2, 10.0, mirrored=True), shower=True, rain_shift=True),
                Column(3, "B", Place(34.0, 12.0, yaw_deg=90), zone="m", toilets=True),
            ),
            plant=Place(22.6, 9.0),
        ),
    ),
    own_revisions={
        "A06-08": "B",
        "A07-11": "B",
        "A08-03": "B",
        "A09-06": "B",
        "A12-11": "C",
        "ARF-02": "B",
        "BRF-01": "C",
        "P01-02": "B",
    },
)


def larkspur_quay() -> Sound:
    """The building without a fault."""
    return sound_building(LARKSPUR_QUAY)
