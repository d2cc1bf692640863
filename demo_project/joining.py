# SPDX-License-Identifier: Apache-2.0
"""Make-ups: what goes between two stubs, from their pipes and the distance between them."""

from __future__ import annotations

import math

from .catalogue import BY_NAME, SITE_FAMILY
from .drawing import Row, number
from .placing import Vector

CLOSURE_COLUMNS = (
    "joint", "order", "kind", "family", "pipe", "length [mm]", "offset [mm]", "angle [deg]", "to_pipe",
)  # fmt: skip
# A lateral step of less than this is left to the couplings.
OFFSET_FROM_MM = 15.0
REDUCER_MM = 150.0


def _coupling(pipe: str) -> Row:
    return {"kind": "coupling", "family": SITE_FAMILY[pipe].name}


def _piece(kind: str, pipe: str, length_mm: float, **cells: str) -> Row:
    return {"kind": kind, "pipe": pipe, "length [mm]": number(round(length_mm, 1)), **cells}


def makeup(pipe_a: str, pipe_b: str, along_m: float, across: Vector) -> list[Row]:
    """Rows of closures.csv, in order from stub a, without joint and order."""
    along_mm, across_mm = along_m * 1000.0, math.hypot(*across) * 1000.0
    family_a, family_b = SITE_FAMILY[pipe_a], SITE_FAMILY[pipe_b]
    gap_a, gap_b = family_a.laid_gap_mm, family_b.laid_gap_mm
    if pipe_a == pipe_b:
        if across_mm > OFFSET_FROM_MM:
            angle = math.degrees(math.atan2(across[1], across[0])) % 360.0
            step = {"offset [mm]": number(round(across_mm, 1)), "angle [deg]": number(round(angle, 2))}
            middle = _piece("offset", pipe_a, along_mm - 2 * gap_a, **step)
        elif along_mm <= family_a.gap_max_mm:
            return [_coupling(pipe_a)]
        else:
            middle = _piece("pipe", pipe_a, along_mm - 2 * gap_a)
        return [_coupling(pipe_a), middle, _coupling(pipe_a)]
    if BY_NAME[pipe_a].material != BY_NAME[pipe_b].material:
        adapter = _piece("adapter", pipe_a, along_mm - gap_a - gap_b, to_pipe=pipe_b)
        return [_coupling(pipe_a), adapter, _coupling(pipe_b)]
    reducer = _piece("reducer", pipe_a, REDUCER_MM, to_pipe=pipe_b)
    spool = _piece("pipe", pipe_b, along_mm - REDUCER_MM - gap_a - 2 * gap_b)
    return [_coupling(pipe_a), reducer, _coupling(pipe_b), spool, _coupling(pipe_b)]


def cap(pipe: str) -> list[Row]:
    """The make-up of a closed end."""
    return [{"kind": "cap", "family": SITE_FAMILY[pipe].name}]


def rows_of(joint: str, pieces: list[Row]) -> list[Row]:
    """Complete rows of closures.csv for one joint."""
    blank = dict.fromkeys(CLOSURE_COLUMNS, "")
    return [
        blank | {"joint": joint, "order": str(order)} | piece for order, piece in enumerate(pieces, start=1)
    ]
