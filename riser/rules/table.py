# SPDX-License-Identifier: Apache-2.0
"""A table of a rule set, and the four ways codes mean it to be read.

`exact` is always allowed; `first_row_not_less`, `linear` and `bracket` only where the table says so, because
interpolating in a table that is meant to be read row by row gives a figure no code contains.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from riser.audit import Rejected, Status
from riser.errors import NotInRules
from riser.rules.cell import Row

Key = str | float
LOOKUPS = ("exact", "first_row_not_less", "linear", "bracket")
_SAME = 1e-9  # relative: a size worked out from its parts still finds its row


@dataclass(frozen=True, slots=True)
class Lookup:
    """The row found, and the rows passed over on the way with the reason."""

    row: Row
    rejected: tuple[Rejected, ...]


@dataclass(frozen=True, slots=True)
class Segment:
    """The two rows between which a value lies, and the interpolated figure; one row where it lies on it."""

    low: Row
    high: Row
    figure: float


@dataclass(frozen=True, slots=True)
class Table:
    """Rows in printed order; `units` and `printed_units` by column; `key` tells rows apart.

    `beside` names columns that stand beside the figures and need not rise with them; they are not searched.
    """

    document: str
    name: str
    clause: str
    title: str
    key: tuple[str, ...]
    lookup: str
    units: Mapping[str, str]
    printed_units: Mapping[str, str]
    rows: tuple[Row, ...]
    beyond: str = ""
    beside: frozenset[str] = frozenset()

    @property
    def cited(self) -> str:
        """The table as a person cites it."""
        return f"{self.document}, {self.clause}" if self.clause else f"{self.document}, {self.name}"

    def exact(self, **key: Key) -> Row:
        """The one row with these key values (SI, or text); NotInRules where there is none."""
        found = self.select(**key)
        if len(found) > 1:
            raise ValueError(f"{self.name}: {key} fits {len(found)} rows; the key is {', '.join(self.key)}")
        return found[0]

    def select(self, **key: Key) -> tuple[Row, ...]:
        """All rows with these key values, in printed order; NotInRules where there are none."""
        for column in key:
            self._check_column(column)
        found = tuple(row for row in self.rows if all(_same(row, c, v) for c, v in key.items()))
        if not found:
            raise NotInRules(f"{self.cited} has no row with {self._told(key)}")
        return found

    def first_not_less(self, column: str, value: float, **key: Key) -> Lookup:
        """The first row whose figure in `column` is not less than `value`, among rows with these key values.

        A row without a figure in that column is passed over. Raises NotInRules beyond the last row.
        """
        self._must_be("first_row_not_less", "linear")
        self._check_searched(column)
        rejected: list[Rejected] = []
        reason = f"less than {self.shown(column, value)}"
        for row in self.select(**key):
            if row.has(column) and row.number(column) >= value:
                return Lookup(row, tuple(dict.fromkeys(rejected)))
            rejected.append(self._passed_over(row, column, reason))
        raise NotInRules(self._beyond(column, value, key, "no row is as large"))

    def last_not_more(self, column: str, value: float, **key: Key) -> Lookup:
        """The last row whose figure in `column` is not more than `value`; NotInRules below the first row."""
        self._must_be("first_row_not_less", "linear")
        self._check_searched(column)
        rows = self.select(**key)
        fitting = [row for row in rows if row.has(column) and row.number(column) <= value * (1 + _SAME)]
        if not fitting:
            raise NotInRules(self._beyond(column, value, key, "every row is larger"))
        reason = f"more than {self.shown(column, value)}"
        larger = (row for row in rows if row.has(column) and row.number(column) > value * (1 + _SAME))
        return Lookup(
            fitting[-1], tuple(dict.fromkeys(self._passed_over(row, column, reason) for row in larger))
        )

    def bracket(self, value: float, **key: Key) -> Lookup:
        """The row whose range `from` to `to` holds `value`; on a shared bound the earlier row holds it.

        A missing bound is open. Raises NotInRules in a gap between ranges.
        """
        self._must_be("bracket")
        rejected: list[Rejected] = []
        for row in self.select(**key):
            low = row.number("from") if row.has("from") else -math.inf
            high = row.number("to") if row.has("to") else math.inf
            if low * (1 - _SAME) <= value <= high * (1 + _SAME):
                return Lookup(row, tuple(rejected))
            rejected.append(Rejected(row.label, f"does not hold {self.shown('to', value)}"))
        raise NotInRules(self._beyond("to", value, key, "no range holds it"))

    def linear(self, column: str, value: float, of: str, **key: Key) -> Segment:
        """The figure in column `of` for `value` in `column`, straight between the two rows around it.

        Only rows with a figure in both columns take part. Raises NotInRules outside the table.
        """
        self._must_be("linear")
        self._check_column(column)
        self._check_column(of)
        rows = [row for row in self.select(**key) if row.has(column) and row.has(of)]
        for low, high in zip(rows, rows[1:] or rows, strict=False):
            x0, x1 = low.number(column), high.number(column)
            if value in (x0, x1):
                row = low if value == x0 else high
                return Segment(row, row, row.number(of))
            if x0 < value < x1:
                y0, y1 = low.number(of), high.number(of)
                return Segment(low, high, y0 + (value - x0) * (y1 - y0) / (x1 - x0))
        raise NotInRules(self._beyond(column, value, key, "outside the rows printed"))

    def column(self, name: str, **key: Key) -> NDArray[Any]:
        """A column as an array in printed order: numbers with NaN where nothing is printed, or texts."""
        self._check_column(name)
        rows = self.select(**key) if key else self.rows
        if self.printed_units[name] == "text":
            return np.array([row.cells[name].value if row.has(name) else "" for row in rows], dtype=object)
        return np.array([row.number(name) if row.has(name) else np.nan for row in rows], dtype=np.float64)

    def places_not_less(self, column: str, values: NDArray[np.float64], **key: Key) -> NDArray[np.intp]:
        """For each value the place in `select(**key)` of the row `first_not_less` finds; -1 beyond."""
        figures = np.nan_to_num(self.column(column, **key), nan=-np.inf)
        reached = figures[None, :] >= np.asarray(values, dtype=np.float64)[:, None]
        return np.where(reached.any(axis=1), reached.argmax(axis=1), -1)

    def linear_many(
        self, column: str, values: NDArray[np.float64], of: str, **key: Key
    ) -> NDArray[np.float64]:
        """`linear` for an array; NaN outside the rows printed."""
        self._must_be("linear")
        x, y = self.column(column, **key), self.column(of, **key)
        both = ~(np.isnan(x) | np.isnan(y))
        found: NDArray[np.float64] = np.interp(values, x[both], y[both], left=np.nan, right=np.nan)
        return found

    def distinct(self, column: str) -> tuple[Key, ...]:
        """The different values of a column, in printed order."""
        self._check_column(column)
        return tuple(dict.fromkeys(row.cells[column].value for row in self.rows if row.has(column)))

    def certainty(self) -> dict[Status, int]:
        """How many figures are of each certainty; key columns count only where readings of them differ."""
        figures = [
            cell
            for row in self.rows
            for column, cell in row.cells.items()
            if column not in self.key or cell.alternatives
        ]
        return {status: sum(cell.status is status for cell in figures) for status in Status}

    def shown(self, column: str, value: Key) -> str:
        """A value as the table would print it where a cell holds it, else in SI."""
        cells = (row.cells[column] for row in self.rows if row.has(column))
        printed = next((c.printed for c in cells if _equal(c.value, value)), None)
        if printed is not None or isinstance(value, str):
            return printed or str(value)
        unit = self.units.get(column, "-")
        return f"{value:.6g}" if unit == "-" else f"{value:.6g} {unit}"

    def _passed_over(self, row: Row, column: str, why: str) -> Rejected:
        """A row by its label; by its figure alone where a leading key column repeats it over many rows."""
        if not row.has(column):
            return Rejected(row.label, f"prints no figure for {column}")
        printed = row.cells[column].printed
        return Rejected(printed if column in self.key else f"{row.label}: {printed}", why)

    def _must_be(self, *kinds: str) -> None:
        if self.lookup not in kinds:
            raise ValueError(f"{self.name} is read by {self.lookup}, not by {' or '.join(kinds)}")

    def _check_column(self, column: str) -> None:
        if column not in self.units:
            raise ValueError(f"{self.name} has no column {column}; it has {', '.join(self.units)}")

    def _check_searched(self, column: str) -> None:
        self._check_column(column)
        if column in self.beside or self.printed_units[column] == "text":
            raise ValueError(f"{self.name} is not searched by {column}: its figures need not rise")

    def _told(self, key: Mapping[str, Key]) -> str:
        return ", ".join(f"{column} {self.shown(column, value)}" for column, value in key.items())

    def _beyond(self, column: str, value: float, key: Mapping[str, Key], why: str) -> str:
        asked = self._told({**key, column: value})
        return f"{self.cited}: {asked}: {why}{f'; {self.beyond}' if self.beyond else ''}"


def _equal(found: Key, wanted: Key) -> bool:
    if isinstance(found, str) or isinstance(wanted, str):
        return found == wanted
    return math.isclose(found, wanted, rel_tol=_SAME, abs_tol=0.0)


def _same(row: Row, column: str, wanted: Key) -> bool:
    return row.has(column) and _equal(row.cells[column].value, wanted)
