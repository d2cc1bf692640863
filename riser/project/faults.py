# SPDX-License-Identifier: Apache-2.0
"""The list of input errors while it grows: every fault of every file, but not a thousand times the same."""

from __future__ import annotations

import difflib
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from riser.errors import InputError, InputErrors

SAME_KIND = 20
_LONGEST_FOUND = 60
_LENGTH_APART = 3
_CANDIDATES = 2000


def shown(value: object) -> str:
    """A cell as an error shows it: quoted, short, and without characters that would upset a terminal."""
    printable = "".join(c if c.isprintable() else "?" for c in str(value)[: _LONGEST_FOUND + 1])
    if len(printable) > _LONGEST_FOUND:
        printable = printable[:_LONGEST_FOUND] + "..."
    return f"'{printable}'"


def nearest(word: str, words: Iterable[str], likeness: float = 0.6) -> str:
    """The word that was probably meant, "" if none is as near as `likeness` (1 is the same word).

    Leading zeros are looked at first: a spreadsheet turns the floor 01 into 1.
    """
    wanted = word[:_LONGEST_FOUND].lower()
    candidates = [w for w in words if w != word and abs(len(w) - len(wanted)) <= _LENGTH_APART]
    bare = [w for w in candidates if w.lower().lstrip("0") == wanted.lstrip("0")]
    if bare:
        return bare[0]
    by_lower: dict[str, str] = {w.lower(): w for w in candidates[:_CANDIDATES]}
    close: list[str] = difflib.get_close_matches(wanted, by_lower, n=1, cutoff=likeness)
    return str(by_lower[close[0]]) if close else ""


def did_you_mean(word: str, words: Iterable[str], otherwise: str) -> str:
    """A remedy: the nearest word, or what else to do."""
    near = nearest(word, words)
    return f"Did you mean '{near}'?" if near else otherwise


@dataclass(frozen=True)
class Places:
    """Where the rows of a table stand: `files[source[i]]`, spreadsheet row `row[i]`."""

    files: tuple[str, ...]
    source: NDArray[np.int32]
    row: NDArray[np.int64]

    def file(self, index: int) -> str:
        """The file of a row."""
        return self.files[int(self.source[index])]


@dataclass
class Faults:
    """Collects input errors; of each kind in a column of a file the first twenty and a count."""

    same_kind: int = SAME_KIND
    _errors: list[InputError] = field(default_factory=list)
    _said: set[InputError] = field(default_factory=set)
    _seen: Counter[tuple[str, str | None, str]] = field(default_factory=Counter)

    def add(
        self, file: str, row: int | None, column: str | None, found: str, expected: str, remedy: str
    ) -> None:
        """One fault. The same fault said twice counts once."""
        error = InputError(file, row, column, found, expected, remedy)
        if error in self._said:
            return
        self._said.add(error)
        kind = (file, column, expected)
        self._seen[kind] += 1
        if self._seen[kind] <= self.same_kind:
            self._errors.append(error)

    def add_file(self, file: str, found: str, expected: str, remedy: str) -> None:
        """A fault of a file as a whole."""
        self.add(file, None, None, found, expected, remedy)

    def add_rows(
        self,
        places: Places,
        bad: NDArray[np.bool_],
        column: str,
        values: NDArray[np.object_],
        expected: str,
        remedy: str | Callable[[str], str],
    ) -> None:
        """The same fault in many rows of one column; `bad` marks them. Costs nothing where none is marked.

        `remedy` may depend on the cell, as "did you mean" does.
        """
        indices = np.flatnonzero(bad)
        for source in np.unique(places.source[indices]) if len(indices) else ():
            here = indices[places.source[indices] == source]
            file = places.files[source]
            for index in here[: self.same_kind]:
                value = str(values[index])
                found = shown(value) if value else "an empty cell"
                advice = remedy if isinstance(remedy, str) else remedy(value)
                self.add(file, int(places.row[index]), column, found, expected, advice)
            self._seen[(file, column, expected)] += max(0, len(here) - self.same_kind)

    def count(self) -> int:
        """How many faults were found, also those that are not listed one by one."""
        return self._seen.total()

    def errors(self) -> list[InputError]:
        """All faults by file, row and column; what was left out is counted at the end of its file."""
        left_out = [
            InputError(
                file,
                None,
                column,
                f"{count - self.same_kind} more of the same",
                expected,
                "Mend the ones listed first; the rest is likely the same slip.",
            )
            for (file, column, expected), count in self._seen.items()
            if count > self.same_kind
        ]
        ordered = sorted(self._errors, key=lambda e: (e.file, e.row or 0, e.column or ""))
        return sorted(ordered + left_out, key=lambda e: (e.file, e.found.endswith("more of the same")))

    def raise_if_any(self) -> None:
        """Raise InputErrors with everything found, if anything was."""
        if self._seen:
            raise InputErrors(self.errors())
