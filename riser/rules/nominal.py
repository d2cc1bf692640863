# SPDX-License-Identifier: Apache-2.0
"""Nominal sizes: which row of a rule table a catalogue name means.

A nominal size is the name of a size, not a diameter. Codes print inches (NPS) or DN; catalogues print either.
The two families name the same sizes by one common list. A name that stands in neither (an outside diameter, a
maker's word) is not matched: what it means under the code is for the engineer to say.
"""

from __future__ import annotations

import re
from fractions import Fraction

from riser.units import INCH_M

# ISO 6708 defines DN; ASME B36.10M (and B36.19M) list each NPS beside its DN. Recalled; look in table 1.
DN_OF_NPS: dict[Fraction, int] = {
    Fraction(1, 2): 15,
    Fraction(3, 4): 20,
    Fraction(1): 25,
    Fraction(5, 4): 32,
    Fraction(3, 2): 40,
    Fraction(2): 50,
    Fraction(5, 2): 65,
    Fraction(3): 80,
    Fraction(7, 2): 90,
    Fraction(4): 100,
    Fraction(5): 125,
    Fraction(6): 150,
    Fraction(8): 200,
    Fraction(10): 250,
    Fraction(12): 300,
    Fraction(14): 350,
    Fraction(16): 400,
    Fraction(18): 450,
    Fraction(20): 500,
    Fraction(24): 600,
}
NPS_OF_DN: dict[int, Fraction] = {dn: nps for nps, dn in DN_OF_NPS.items()}
MATCHED_BY = "NPS and DN name the same sizes by ISO 6708 and ASME B36.10M"

_DN = re.compile(r"DN\s*(\d+)", re.IGNORECASE)
_INCHES = re.compile(
    r"(?:NPS\s*)?(?:(?P<whole>\d+)[ -])?(?P<above>\d+)(?:/(?P<below>[1-9]\d*)|(?P<decimals>\.\d+))?"
    r"\s*(?P<unit>in\b|inch\b|inches\b|\"|″|”)?",
    re.IGNORECASE,
)


def nominal_size_m(text: str, printed_unit: str) -> float | None:
    """The size as a table that prints `in` or `mm` (DN) names it [m]; None for a name of neither family.

    >>> nominal_size_m("DN100", "in") == 4 * 0.0254
    True
    >>> nominal_size_m("1-1/2 in", "mm")
    0.04
    >>> nominal_size_m("22x1.0", "in") is None
    True
    """
    text = text.strip()
    if found := _DN.fullmatch(text):
        return _of_dn(int(found[1]), printed_unit)
    inches = inches_named(text)
    if inches is None:
        return None
    if printed_unit == "in":
        return float(inches) * INCH_M
    return DN_OF_NPS[inches] / 1000.0 if inches in DN_OF_NPS else None


def nominal_words(size_m: float, printed_unit: str) -> str:
    """A size as people say it in both families, for example `4 in (DN 100)`.

    >>> nominal_words(1.25 * 0.0254, "in")
    '1-1/4 in (DN 32)'
    """
    if printed_unit == "in":
        inches = Fraction(size_m / INCH_M).limit_denominator(16)
        dn = DN_OF_NPS.get(inches)
        return inch_words(inches) + (f" (DN {dn})" if dn else "")
    dn = round(size_m * 1000.0)
    return f"DN {dn}" + (f" ({inch_words(NPS_OF_DN[dn])})" if dn in NPS_OF_DN else "")


def inch_words(inches: Fraction) -> str:
    """Inches as codes print them: `1-1/4 in`, `3 in`."""
    whole, rest = divmod(inches, 1)
    number = str(whole) if not rest else f"{whole}-{rest}" if whole else str(rest)
    return f"{number} in"


def _of_dn(dn: int, printed_unit: str) -> float | None:
    if printed_unit == "mm":
        return dn / 1000.0
    return float(NPS_OF_DN[dn]) * INCH_M if dn in NPS_OF_DN else None


def inches_named(text: str) -> Fraction | None:
    """The inches a text names; a bare number names none, for it may be meant in millimetres."""
    found = _INCHES.fullmatch(text)
    if not found or not (found["unit"] or found["below"] or text.upper().startswith("NPS")):
        return None
    if found["decimals"] is not None:
        part = Fraction(found["above"] + found["decimals"])
    else:
        part = Fraction(int(found["above"]), int(found["below"] or 1))
    return part + int(found["whole"] or 0)
