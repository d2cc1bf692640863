# SPDX-License-Identifier: Apache-2.0
"""How rough pipes are inside: for Darcy-Weisbach in metres, for Hazen-Williams as C. Each row has its source.

New pipe unless the row says otherwise. Figures from different books differ by a factor of two; where they do,
`status` is conflict, `used` is ours to take and `low` to `high` is what was read. What a code prescribes (for
sprinklers, for a national sizing method) is not here but in its rule set.
"""

from __future__ import annotations

from dataclasses import dataclass

from riser.audit import Status

BINDER = "Binder 1973, Fluid Mechanics, table as printed at efunda.com/formulae/fluids/roughness.cfm"
CAETOOL = "table at caetool.com/tag/surface-roughness"
MYENGINEERING = "table at myengineeringtools.com/Data_Diagrams/Pipe_Roughness.html"
NAFTA = "table at nafta.wiki/display/GLOSSARY/Surface+roughness"
MECHGURU = "table at mechguru.com, pipe sizing calculation, part 5"
WATER_DATA = "tables of C at dplot.com/n185-hydraulic-scale.htm and ecode360.com/29345307"


@dataclass(frozen=True, slots=True)
class Roughness:
    """Equivalent sand roughness of a pipe wall [m]."""

    pipe: str
    used_m: float
    low_m: float
    high_m: float
    status: Status
    source: str


@dataclass(frozen=True, slots=True)
class HazenWilliamsC:
    """Hazen-Williams coefficient of a pipe [-]."""

    pipe: str
    used: float
    low: float
    high: float
    status: Status
    source: str


def _row(pipe: str, used_mm: float, low_mm: float, high_mm: float, status: Status, source: str) -> Roughness:
    return Roughness(pipe, used_mm / 1000, low_mm / 1000, high_mm / 1000, status, source)


_READ, _CONFLICT = Status.READ, Status.CONFLICT
_BOTH = f"{BINDER}; {CAETOOL}"

ROUGHNESS: tuple[Roughness, ...] = (
    _row("copper, drawn", 0.0015, 0.001, 0.015, _CONFLICT, _BOTH),
    _row("brass, drawn", 0.0015, 0.0015, 0.0015, _READ, BINDER),
    _row("steel, new", 0.045, 0.04, 0.05, _CONFLICT, _BOTH),
    _row("steel, after longer use", 0.2, 0.2, 0.2, _READ, CAETOOL),
    _row("steel, slightly rusted", 0.4, 0.4, 0.4, _READ, CAETOOL),
    _row("steel, galvanized", 0.15, 0.15, 0.20, _CONFLICT, f"{_BOTH}; {MYENGINEERING}"),
    _row("stainless steel", 0.002, 0.002, 0.002, _READ, NAFTA),
    _row("cast iron, new", 0.26, 0.25, 0.8, _CONFLICT, _BOTH),
    _row("cast iron, asphalted", 0.12, 0.12, 0.12, _READ, BINDER),
    _row("cast iron, slightly rusted", 1.5, 1.5, 1.5, _READ, CAETOOL),
    _row("plastic (PVC, CPVC, PE, PEX, PP)", 0.0015, 0.0, 0.007, _CONFLICT, f"{MECHGURU}; {CAETOOL}"),
    _row("concrete", 0.3, 0.3, 3.0, _CONFLICT, BINDER),
)

HAZEN_WILLIAMS_C: tuple[HazenWilliamsC, ...] = (
    HazenWilliamsC("plastic", 150.0, 150.0, 150.0, Status.READ, WATER_DATA),
    HazenWilliamsC(
        "copper", 130.0, 130.0, 145.0, Status.CONFLICT,
        f"{WATER_DATA}; 145 at engineeringtoolbox.com/amp/pressure-loss-copper-pipes-d_930.html",
    ),
    HazenWilliamsC("steel, galvanized", 100.0, 100.0, 120.0, Status.CONFLICT, WATER_DATA),
)  # fmt: skip
