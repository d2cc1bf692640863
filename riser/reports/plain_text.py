# SPDX-License-Identifier: Apache-2.0
"""Text that people wrote, made safe to show: on a terminal, on paper, in a table for a spreadsheet."""

from __future__ import annotations

import unicodedata

_REORDERS = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200e\u200f\ufeff")
_STARTS_A_FORMULA = "=+-@|\uff1d\uff0b\uff0d\uff20"


def plain_text(text: str) -> str:
    """Text as it can be printed: one line, without control characters or signs that reorder letters."""
    shown = "".join(
        " " if unicodedata.category(letter) in ("Cc", "Zl", "Zp") else letter
        for letter in text
        if letter not in _REORDERS and unicodedata.category(letter) not in ("Cs", "Cn")
    )
    return " ".join(shown.split())


def cell_text(text: str) -> str:
    """Text for a cell of a table that a spreadsheet will open: never taken for a formula.

    A text that could start one gets an apostrophe in front. Figures are written as figures, not by this.

    >>> cell_text("=HYPERLINK(1)"), cell_text("-x"), cell_text("M1/SP1")
    ("'=HYPERLINK(1)", "'-x", 'M1/SP1')
    """
    shown = plain_text(text)
    return f"'{shown}" if shown.startswith(tuple(_STARTS_A_FORMULA)) else shown
