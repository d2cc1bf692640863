# SPDX-License-Identifier: Apache-2.0
"""What pipes are made of: elasticity, Poisson's ratio, thermal expansion. Each figure has its source.

Room temperature, loads of minutes. Plastics soften on warming and creep under load: their elasticity here
serves a surge, not a test of hours.
"""

from __future__ import annotations

from dataclasses import dataclass

from riser.audit import Status
from riser.units import FAHRENHEIT_DEGREE_C, PSI_PA

B31_9 = "ASME B31.9 table 919.3.1, as printed at paperzz.com/doc/9255474"
HANDBOOK = "Facility Piping Systems Handbook table 2.7"
INSTALLATIONS = "table at wentylacja.com.pl/news/rozszerzalnosc-termiczna-przewodow-19442.html"
RECALLED = "recalled from common engineering tables, not read"


@dataclass(frozen=True, slots=True)
class PipeMaterial:
    """Elastic and thermal figures of one material, each with the certainty of its source."""

    name: str
    elasticity_pa: float
    elasticity_status: Status
    poisson: float
    poisson_status: Status
    linear_expansion_per_k: float
    expansion_status: Status
    source: str
    creeps: bool = False


def _mpsi(value: float) -> float:
    """Millions of psi in pascals."""
    return value * 1e6 * PSI_PA


def _per_f(value: float) -> float:
    """Millionths per degree Fahrenheit, per kelvin."""
    return value * 1e-6 / FAHRENHEIT_DEGREE_C


_READ, _MEMORY = Status.READ, Status.MEMORY

MATERIALS: tuple[PipeMaterial, ...] = (
    PipeMaterial(
        "carbon steel", _mpsi(27.5), _READ, 0.30, _MEMORY, _per_f(6.33), _READ,
        f"{B31_9}; Poisson {RECALLED}",
    ),
    PipeMaterial(
        "stainless steel", _mpsi(29.0), _READ, 0.30, _MEMORY, _per_f(9.27), _READ,
        f"{B31_9} (austenitic); Poisson {RECALLED}",
    ),
    PipeMaterial(
        "cast iron", _mpsi(13.0), _READ, 0.26, _MEMORY, _per_f(5.76), _READ,
        f"{B31_9} (gray); Poisson {RECALLED}",
    ),
    PipeMaterial(
        "ductile iron", 170e9, _MEMORY, 0.28, _MEMORY, _per_f(5.97), _READ,
        f"{B31_9}; elasticity and Poisson {RECALLED}",
    ),
    PipeMaterial(
        "copper", _mpsi(17.0), _READ, 0.34, _MEMORY, _per_f(9.50), _READ,
        f"{B31_9} (C12200); Poisson {RECALLED}",
    ),
    PipeMaterial(
        "PVC", _mpsi(0.42), _READ, 0.37, _READ, _per_f(30.0), _READ,
        f"{B31_9} (PVC 1120); Poisson {HANDBOOK}", creeps=True,
    ),
    PipeMaterial(
        "CPVC", _mpsi(0.42), _READ, 0.35, _READ, _per_f(35.0), _READ,
        f"{B31_9} (CPVC 4120; another table prints 62 millionths per K); Poisson {HANDBOOK}", creeps=True,
    ),
    PipeMaterial(
        "ABS", _mpsi(0.34), _READ, 0.37, _MEMORY, _per_f(40.0), _READ,
        f"{B31_9} (ABS 1316); Poisson {RECALLED}", creeps=True,
    ),
    PipeMaterial(
        "PE", _mpsi(0.15), _READ, 0.45, _MEMORY, _per_f(60.0), _READ,
        f"{B31_9} (PE 3406); Poisson {RECALLED}", creeps=True,
    ),
    PipeMaterial(
        "PEX", 0.6e9, _MEMORY, 0.46, _MEMORY, 180e-6, Status.CONFLICT,
        f"expansion 0.18 mm/(m.K) {INSTALLATIONS}, 0.14 and 0.15 elsewhere; others {RECALLED}", creeps=True,
    ),
    PipeMaterial(
        "PP", 0.8e9, _MEMORY, 0.44, _READ, 150e-6, _READ,
        f"expansion of PP-R {INSTALLATIONS}; Poisson {HANDBOOK}; elasticity {RECALLED}", creeps=True,
    ),
)  # fmt: skip


def material(name: str) -> PipeMaterial:
    """The material of that name; KeyError with the names there are.

    >>> f"{material('copper').elasticity_pa / 1e9:.0f} GPa"
    '117 GPa'
    """
    for row in MATERIALS:
        if row.name == name:
            return row
    raise KeyError(f"no pipe material {name}; there are {', '.join(row.name for row in MATERIALS)}")
