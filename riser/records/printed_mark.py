# SPDX-License-Identifier: Apache-2.0
"""A mark on paper: rows that a person can type back.

Letters and digits without I, L, O and U, in groups of four. The last group of each row checks the row and its
place, so that a slip is found where it is.
"""

from __future__ import annotations

import base64
import hashlib
import re

from riser.records.errors import MarkUnreadable
from riser.records.marks import Mark
from riser.records.times import is_server_time

_BASE32 = "ABCDEFGHIJKLMNOPQRSTUVWXYZ234567"
_LETTERS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
_TO_PAPER = str.maketrans(_BASE32, _LETTERS)
_FROM_PAPER = str.maketrans(_LETTERS + "ILO", _BASE32 + "BBA")
_ROW_BYTES = 16
_ALL_BYTES = 32 + 32 + 64
_FIRST_ROW = re.compile(r"RISER MARK ([1-9]\d*) (\S+)")


def mark_text(mark: Mark) -> str:
    """The mark as text to print: a first row with number and time, then rows of letters in groups of four."""
    octets = bytes.fromhex(mark.hash + mark.public_key + mark.signature)
    rows = [f"RISER MARK {mark.sequence} {mark.time}"]
    for start in range(0, len(octets), _ROW_BYTES):
        row = octets[start : start + _ROW_BYTES]
        letters = _letters(row)
        groups = [letters[n : n + 4] for n in range(0, len(letters), 4)]
        rows.append(" ".join([*groups, _check(rows[0], start, row)]))
    return "\n".join(rows)


def mark_from_text(text: str) -> Mark:
    """The mark that was printed; MarkUnreadable names the row that was copied wrongly.

    Case, spaces and hyphens do not matter; I and L are read as 1, O as 0.
    """
    rows = [" ".join(row.upper().split()) for row in text.splitlines() if row.strip()]
    first = _FIRST_ROW.fullmatch(rows[0]) if rows else None
    if first is None or not is_server_time(first[2]):
        raise MarkUnreadable("row 1 must read RISER MARK, a number and a time. Copy it again.")
    octets = b""
    for number, row in enumerate(rows[1:], start=2):
        octets += _row_octets(rows[0], len(octets), row, number)
    if len(octets) != _ALL_BYTES:
        raise MarkUnreadable("a row is missing, or there is one too many. Copy the mark again.")
    return Mark(int(first[1]), octets[:32].hex(), first[2], octets[32:64].hex(), octets[64:].hex())


def _row_octets(first_row: str, start: int, row: str, number: int) -> bytes:
    letters = row.replace(" ", "").replace("-", "").translate(_FROM_PAPER)
    data, check = letters[:-4], letters[-4:]
    try:
        octets = base64.b32decode(data + "=" * (-len(data) % 8))
    except ValueError:
        octets = b""
    if len(octets) != _ROW_BYTES or check.translate(_TO_PAPER) != _check(first_row, start, octets):
        raise MarkUnreadable(f"row {number} was copied wrongly (or row 1 was). Copy it again.")
    return octets


def _letters(octets: bytes) -> str:
    return base64.b32encode(octets).decode().rstrip("=").translate(_TO_PAPER)


def _check(first_row: str, start: int, row: bytes) -> str:
    """Four letters: sixteen bits of SHA-256 over the first row, the place and the row."""
    return _letters(hashlib.sha256(f"{first_row}\n{start}\n".encode() + row).digest()[:2])
