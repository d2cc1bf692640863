# SPDX-License-Identifier: Apache-2.0
"""The words in which the job folder is declared: kinds of cell, columns, tables.

The schema is data. The reader, the checks, the workbook, the comparison and docs/job_folder.md all follow it,
so a column is added in one place.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from riser.units import inner_name


class Kind(StrEnum):
    """What may stand in a cell; the values are what the documentation prints."""

    ID = "id"
    REFERENCE = "reference"
    REFERENCES = "references, with spaces between"
    TEXT = "text"
    CHOICE = "choice"
    NUMBER = "number"
    WHOLE = "whole number"
    QUANTITY = "quantity"
    LEVEL = "level"
    YES_NO = "yes or no"
    DATE = "date"
    TIME = "date and time"
    FACING = "direction"
    POINTS = "points"
    SETTING = "quantity with its unit"


class Question(StrEnum):
    """The questions riser answers; each column says which of them cannot do without it."""

    EVERYTHING = "everything"
    CHECK = "check"
    FLOOR_SHEET = "floor sheet"
    SETTING_OUT = "setting out"
    SIZING = "sizing"
    PRESSURES = "pressures"
    PROVING = "proving"


class Refers(StrEnum):
    """What a reference names; `riser.project.references` follows each."""

    BUILDING = "a building of floors.csv"
    FLOOR = "a floor of that building in floors.csv"
    BARE_FLOOR = "a floor of floors.csv"
    SHAFT = "a shaft of shafts.csv"
    PIPE = "a pipe of pipes.csv"
    FAMILY = "a family of couplings.csv"
    TYPE = "a type of types.csv"
    REVISION = "a revision of that type in types.csv"
    NODE_OF_TYPE = "a node of the same type"
    STUB = "PART/STUB; the part must exist"
    NODE = "PART/NODE"
    FIXTURE = "PART/NODE of a fixture"
    JOINT = "a joint of joints.csv"
    CURVE = "a curve of curves.csv"
    SERVED = "a joint of joints.csv, or PART/NODE"


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a file.

    `dimension` is a key of `riser.units.DIMENSIONS`, `unit` holds when the header names none. `least`
    bounds a figure from below; with `above` the bound itself is too small; `most` bounds it from above.
    `required` columns must exist and be filled in every row; `default` fills empty cells of the others, and
    `default_says` tells what an empty cell means where no figure can.
    """

    name: str
    kind: Kind
    meaning: str
    needed_by: tuple[Question, ...] = ()
    required: bool = False
    default: str = ""
    default_says: str = ""
    dimension: str = ""
    unit: str = ""
    choices: tuple[str, ...] = ()
    refers: Refers | None = None
    least: float | None = None
    above: bool = False
    most: float | None = None
    per_point: int = 3

    @property
    def is_number(self) -> bool:
        """Whether the cell is one figure."""
        return self.kind in (Kind.NUMBER, Kind.WHOLE, Kind.QUANTITY, Kind.LEVEL)

    @property
    def has_unit(self) -> bool:
        """Whether the header may name a unit."""
        return bool(self.dimension)

    @property
    def inner(self) -> str:
        """The column's name in JobTables: a unit becomes a suffix."""
        return inner_name(self.name, self.dimension) if self.dimension else self.name

    @property
    def inner_columns(self) -> tuple[str, ...]:
        """All columns this one becomes in JobTables."""
        if self.kind is Kind.SETTING:
            return (self.name, *(inner_name(self.name, d) for d in SETTING_DIMENSIONS))
        return (self.inner,)


# What a device is set to: a reducing valve in bar, a balancing valve in L/s, a mixing valve in degrees.
SETTING_DIMENSIONS = ("pressure", "flow", "temperature")


@dataclass(frozen=True, slots=True)
class Demand:
    """Cells that must be filled when another cell says so: a stub has a facing, a pipe and a system."""

    column: str
    value: str
    needs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class InOrder:
    """Two figures of one row of which the first is the smaller; `strictly` when they may not be equal."""

    smaller: str
    larger: str
    strictly: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """One file of the job folder (for nodes and runs: one in the folder of each type revision).

    `key` names a row; two rows with one key are an error. `alike` columns must agree in all rows of
    one first key (pipes have a row per temperature, and one bore). `needs_rows`: empty is an error.
    """

    name: str
    purpose: str
    key: tuple[str, ...]
    columns: tuple[Column, ...]
    without_it: str = ""
    required: bool = False
    needs_rows: bool = False
    per_type: bool = False
    demands: tuple[Demand, ...] = ()
    ordered: tuple[InOrder, ...] = ()
    alike: tuple[str, ...] = ()

    @property
    def file(self) -> str:
        """The file as the engineer knows it."""
        return f"types/<type>/<revision>/{self.name}.csv" if self.per_type else f"{self.name}.csv"

    def column(self, name: str) -> Column:
        """The column of that name; `note` and its like are text everywhere."""
        for column in self.columns:
            if column.name == name:
                return column
        return Column(name, Kind.TEXT, NOTE_MEANING)

    @property
    def inner_columns(self) -> tuple[str, ...]:
        """The columns of this table in JobTables, in order, with `row` at the end."""
        front = ("type", "revision") if self.per_type else ()
        own = tuple(name for column in self.columns for name in column.inner_columns)
        return (*front, *own, NOTE, "row")


NOTE = "note"
NOTE_MEANING = "anything worth saying; riser keeps it and never reads it"


def is_note(header: str) -> bool:
    """Whether a column is a note: `note`, `notes`, `note_site` ... are allowed in every file."""
    return header.startswith(NOTE)


def identity(name: str, meaning: str, *needed_by: Question) -> Column:
    """A column of ids."""
    return Column(name, Kind.ID, meaning, needed_by, required=True)


def reference(
    name: str, refers: Refers, meaning: str, *needed_by: Question, required: bool = False, empty: str = ""
) -> Column:
    """A column that names a row of another table."""
    return Column(name, Kind.REFERENCE, meaning, needed_by, required, default_says=empty, refers=refers)


def text(name: str, meaning: str, *needed_by: Question, required: bool = False, empty: str = "") -> Column:
    """A column of free text."""
    return Column(name, Kind.TEXT, meaning, needed_by, required, default_says=empty)


def choice(
    name: str,
    choices: tuple[str, ...],
    meaning: str,
    *needed_by: Question,
    required: bool = False,
    default: str = "",
    empty: str = "",
) -> Column:
    """A column with a fixed list of words."""
    return Column(name, Kind.CHOICE, meaning, needed_by, required, default, empty, choices=choices)


def yes_no(
    name: str, meaning: str, *needed_by: Question, default: str = "", required: bool = False
) -> Column:
    """A column of yes and no."""
    return Column(name, Kind.YES_NO, meaning, needed_by, required, default)


def whole(
    name: str,
    meaning: str,
    *needed_by: Question,
    required: bool = False,
    least: float | None = 0,
    default: str = "",
) -> Column:
    """A column of whole numbers."""
    return Column(name, Kind.WHOLE, meaning, needed_by, required, default, least=least)


def quantity(
    name: str,
    dimension: str,
    unit: str,
    meaning: str,
    *needed_by: Question,
    required: bool = False,
    default: str = "",
    empty: str = "",
    least: float | None = None,
    above: float | None = None,
) -> Column:
    """A column of figures with a unit; `least` is the smallest allowed, `above` the largest too small."""
    bound = above if above is not None else least
    return Column(
        name,
        Kind.QUANTITY,
        meaning,
        needed_by,
        required,
        default,
        empty,
        dimension=dimension,
        unit=unit,
        least=bound,
        above=above is not None,
    )


def level(name: str, meaning: str, *needed_by: Question, required: bool = False, empty: str = "") -> Column:
    """A column of heights on the datum of floors.csv; below the datum they are negative."""
    return Column(
        name, Kind.LEVEL, meaning, needed_by, required, default_says=empty, dimension="length", unit="m"
    )
