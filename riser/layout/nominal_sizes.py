# SPDX-License-Identifier: Apache-2.0
"""Nominal sizes as names: which is the larger of two, and which row of a rule table a name means.

A nominal size is the name of a size, not a diameter. Names of one family compare with each other; between
families only DN and NPS do, by their common list. Anything else is compared by bore.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from riser.rules.nominal import DN_OF_NPS, NPS_OF_DN, inches_named
from riser.units import INCH_M

# Sizes of two families are the same where the bores differ by less. Common practice, no source.
SAME_BORE = 0.05

_DN = re.compile(r"DN\s*(\d+)", re.IGNORECASE)
_MM = r"(\d+(?:\.\d+)?)\s*(?:mm)?"
_OD = re.compile(rf"(?:OD|d|De|Ø)?\s*{_MM}(?:\s*[x×]\s*{_MM})?", re.IGNORECASE)
# A bare number below this is no outside diameter in millimetres; it may be meant in inches.
LEAST_OD_MM = 10.0


@dataclass(frozen=True, slots=True)
class NominalSize:
    """A nominal size that could be read: its family (`dn`: DN or NPS, `od`: outside diameter) and number."""

    family: str
    number: float

    def in_metres(self, printed_unit: str) -> float:
        """The size as a rule table that prints `in` or `mm` names it [m]."""
        if printed_unit != "in":
            return self.number / 1000.0
        inches = NPS_OF_DN.get(round(self.number)) if self.family == "dn" else None
        return float(inches) * INCH_M if inches is not None else self.number / 1000.0


def nominal_size(text: str) -> NominalSize | None:
    """The size a catalogue name means; None where it cannot be told from the name.

    >>> nominal_size("DN100")
    NominalSize(family='dn', number=100.0)
    >>> nominal_size("1-1/2 in")
    NominalSize(family='dn', number=40.0)
    >>> nominal_size("22x1.0")
    NominalSize(family='od', number=22.0)
    """
    text = text.strip()
    if found := _DN.fullmatch(text):
        return NominalSize("dn", float(found[1]))
    inches = inches_named(text)
    if inches is not None:
        return NominalSize("dn", float(DN_OF_NPS[inches])) if inches in DN_OF_NPS else None
    found = _OD.fullmatch(text)
    return NominalSize("od", float(found[1])) if found and float(found[1]) >= LEAST_OD_MM else None


def is_smaller(
    one: NominalSize | None, bore_m: float, other: NominalSize | None, other_bore_m: float
) -> bool:
    """Whether a pipe is smaller than another: by name in one family, else by bore."""
    if one is not None and other is not None and one.family == other.family:
        return one.number < other.number
    return bore_m < other_bore_m * (1.0 - SAME_BORE)
