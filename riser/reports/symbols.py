# SPDX-License-Identifier: Apache-2.0
"""A sign for each system on plans and sheets: a letter in a shape, told apart without colour.

The letters are those of trade talk; the shapes keep systems apart where a print is smudged: round for what
drains by gravity, square for what is under pressure, black for fire.
"""

from __future__ import annotations

from dataclasses import dataclass

from riser.network.systems import System

FONT = 'font-family="Source Sans Pro"'
LETTER_MM = 3.35


@dataclass(frozen=True, slots=True)
class Sign:
    """A system's letters and shape."""

    letters: str
    shape: str


SIGNS: dict[System, Sign] = {
    System.SOIL: Sign("S", "ring"),
    System.WASTE: Sign("W", "circle"),
    System.VENT: Sign("V", "triangle"),
    System.RAINWATER: Sign("R", "diamond"),
    System.CONDENSATE: Sign("K", "hexagon"),
    System.COLD: Sign("C", "square"),
    System.HOT: Sign("H", "double square"),
    System.HOT_RETURN: Sign("HR", "double square"),
    System.NON_POTABLE: Sign("N", "barred square"),
    System.FIRE: Sign("F", "black"),
    System.POWER: Sign("P", "dashed"),
    System.DATA: Sign("D", "dashed"),
}
UNKNOWN = Sign("?", "dashed")


def sign_of(system: int) -> Sign:
    """The sign of a system code; a question mark for none."""
    return SIGNS[System(system)] if system >= 0 else UNKNOWN


def _polygon(points: str, extra: str = "") -> str:
    return f'<polygon points="{points}" {extra}/>'


def _rect(half: float, extra: str = "") -> str:
    side = 2 * half
    return f'<rect x="{-half}" y="{-half}" width="{side}" height="{side}" {extra}/>'


SHAPES: dict[str, str] = {
    "ring": '<circle r="2.6"/><circle r="2.1"/>',
    "circle": '<circle r="2.5"/>',
    "triangle": _polygon("0,-3.2 3.4,2.6 -3.4,2.6"),
    "diamond": _polygon("0,-3.1 3.1,0 0,3.1 -3.1,0"),
    "hexagon": _polygon("-1.5,-2.5 1.5,-2.5 2.9,0 1.5,2.5 -1.5,2.5 -2.9,0"),
    "square": _rect(2.4),
    "double square": _rect(2.8) + _rect(2.3),
    "barred square": _rect(2.4) + '<path d="M-2.4,1.7 H2.4"/>',
    "black": _rect(2.5, 'fill="black"'),
    "dashed": _rect(2.4, 'stroke-dasharray="0.9 0.6"'),
}
HALF_MM = 3.3
"""Half the side of the square that holds any sign."""


def sign_body(system: int) -> str:
    """The sign as SVG elements around the origin, in millimetres."""
    sign = sign_of(system)
    ink = "white" if sign.shape == "black" else "black"
    drop = {"triangle": 1.7, "barred square": 0.75}.get(sign.shape, 1.0)
    letters = (
        f'<text x="0" y="{drop}" text-anchor="middle" font-size="{LETTER_MM}" {FONT} font-weight="bold"'
        f' fill="{ink}" stroke="none">{sign.letters}</text>'
    )
    return f'<g fill="white" stroke="black" stroke-width="0.25">{SHAPES[sign.shape]}{letters}</g>'


def sign_svg(system: int) -> str:
    """The sign as an SVG picture of its own."""
    side = 2 * HALF_MM + 0.4
    view = f"{-side / 2} {-side / 2} {side} {side}"
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{view}" width="{side}mm" height="{side}mm">'
    return f"{head}{sign_body(system)}</svg>"
