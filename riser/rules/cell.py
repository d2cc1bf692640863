# SPDX-License-Identifier: Apache-2.0
"""One figure of a rule set, and the row it stands in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from riser.audit import Clause, Given, InRules, Status
from riser.errors import NotInRules


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another published reading of a figure, as printed, with its source."""

    printed: str
    source: str


@dataclass(frozen=True, slots=True)
class Cell:
    """One figure: `value` in SI `unit`, `printed` as the code has it, with clause and certainty.

    Where published readings differ, `alternatives` holds the others and `why` says why this one is used.
    """

    rule_set: str
    table: str
    row: str
    column: str
    value: float | str
    unit: str
    printed: str
    clause: Clause
    alternatives: tuple[Alternative, ...] = ()
    why: str = ""

    @property
    def status(self) -> Status:
        """How sure the figure is."""
        return self.clause.status

    @property
    def number(self) -> float:
        """The value as a number; TypeError for a text."""
        if isinstance(self.value, str):
            raise TypeError(f"{self.table}, row {self.row}, {self.column} is a text: {self.value}")
        return self.value

    @property
    def required(self) -> bool:
        """For limits that are demands: whether the code makes this demand."""
        return self.number == 1.0

    def given(self, name: str = "") -> Given:
        """The figure as a leaf of a derivation."""
        origin = InRules(self.rule_set, self.table, self.row, self.column, self.printed, self.clause)
        return Given(name or f"{self.table} {self.column}", self.value, self.unit, origin)


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a table: the cells that are printed in it, by column."""

    table: str
    label: str
    cells: Mapping[str, Cell]
    note: str = ""

    def cell(self, column: str) -> Cell:
        """The figure in a column; NotInRules where the code prints none there."""
        if column not in self.cells:
            raise NotInRules(f"{self.table}, row {self.label}: no figure is printed for {column}")
        return self.cells[column]

    def has(self, column: str) -> bool:
        """Whether a figure is printed in that column."""
        return column in self.cells

    def number(self, column: str) -> float:
        """The figure in a column, in SI."""
        return self.cell(column).number

    def given(self, column: str, name: str = "") -> Given:
        """The figure in a column as a leaf of a derivation."""
        return self.cell(column).given(name)
