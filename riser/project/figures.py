# SPDX-License-Identifier: Apache-2.0
"""Cells that hold figures: numbers, quantities, points, directions, settings. Whole columns at a time."""

from __future__ import annotations

import math
import re
from collections.abc import Callable

import numpy as np
import pandas as pd

from riser.network.types import DIRECTIONS
from riser.project.columns import SETTING_DIMENSIONS, Column, Kind
from riser.project.faults import Faults
from riser.project.text_table import Cells, Floats, Texts
from riser.units import UnitError, column_factor, converted, inner_name

_NOT_A_NUMBER = ("nan", "na", "n/a", "#n/a", "null", "none", "-", "#value!", "#ref!", "#div/0!", "#name?")
_LEAST_POINTS = {2: 3, 3: 1}


def numbers(cells: Cells, faults: Faults) -> dict[str, Floats]:
    """Figures in SI, NaN where empty; faults for text, NaN, infinity and figures out of bounds."""
    figures = plain_numbers(cells.values)
    filled = cells.values != ""
    unread = np.isnan(figures) & filled
    if unread.any():
        lower = pd.Series(cells.values).str.lower()
        missing = lower.isin(_NOT_A_NUMBER).to_numpy(bool)
        _blame(
            cells, faults, unread & missing, "a number; an unknown one is an empty cell", "Empty the cell."
        )
        _blame(cells, faults, unread & ~missing, "a number", _number_advice(cells.column))
    infinite = np.isinf(figures)
    _blame(cells, faults, infinite, "a finite number", "Write the figure itself.")
    figures[infinite] = np.nan
    _bounds(cells, figures, faults)
    return {cells.column.inner: _in_si(cells, figures)}


def plain_numbers(values: Texts) -> Floats:
    """Text as figures, NaN where it is none."""
    return pd.to_numeric(pd.Series(values, dtype=object), errors="coerce").to_numpy(float).copy()


def _number_advice(column: Column) -> Callable[[str], str]:
    unit = f", and the unit in the header: {column.name} [{column.unit}]" if column.has_unit else ""

    def advice(value: str) -> str:
        if "," in value:
            return "Write a decimal point, or separate the columns by semicolons."
        return f"Write the figure alone{unit}."

    return advice


def _bounds(cells: Cells, figures: Floats, faults: Faults) -> None:
    column = cells.column
    if column.kind is Kind.WHOLE:
        with np.errstate(invalid="ignore"):
            broken = figures != np.floor(figures)
        _blame(cells, faults, broken & ~np.isnan(figures), "a whole number", "Write it without decimals.")
    if column.least is not None:
        low = figures <= column.least if column.above else figures < column.least
        word = "more than" if column.above else "at least"
        _blame(cells, faults, low, f"{word} {column.least:g}", "Correct the figure.")
    if column.most is not None:
        _blame(cells, faults, figures > column.most, f"at most {column.most:g}", "Correct the figure.")


def _in_si(cells: Cells, figures: Floats) -> Floats:
    """Each sheet by its own unit."""
    distinct = dict.fromkeys(cells.conversions)
    if len(distinct) <= 1:
        return converted(figures, *next(iter(distinct), (1.0, 0.0)))
    result = np.empty_like(figures)
    for pair in distinct:
        sheets = [number for number, other in enumerate(cells.conversions) if other == pair]
        here = np.isin(cells.places.source, sheets)
        result[here] = converted(figures[here], *pair)
    return result


def _blame(
    cells: Cells, faults: Faults, bad: np.ndarray, expected: str, remedy: str | Callable[[str], str]
) -> None:
    faults.add_rows(cells.places, bad, cells.column.name, cells.values, expected, remedy)


def _each_value(
    cells: Cells, faults: Faults, read: Callable[[str, float], str | None], expected: str, remedy: str
) -> Texts:
    """Every different cell read once; `read` gets text and factor and gives None for what it cannot read."""
    keys = pd.MultiIndex.from_arrays([cells.values, cells.factor])
    codes, distinct = keys.factorize()
    results = [read(text, factor) if text else "" for text, factor in distinct]
    bad = np.array([result is None for result in results], dtype=bool)
    if bad.any():
        _blame(cells, faults, bad[codes], expected, remedy)
    texts = np.array([result or "" for result in results], dtype=object)
    return texts[codes] if len(codes) else np.zeros(0, dtype=object)


def point_lists(cells: Cells, faults: Faults) -> dict[str, Texts]:
    """Points as text `x y z; x y z` in metres."""
    column = cells.column
    least = _LEAST_POINTS[column.per_point]
    letters = " ".join("xyz"[: column.per_point])
    expected = f"points {letters}; {letters}" + (f", at least {least}" if least > 1 else "")

    def read(text: str, factor: float) -> str | None:
        points = [_vector(piece, column.per_point) for piece in text.split(";") if piece.strip()]
        if len(points) < least or any(point is None for point in points):
            return None
        metres = ([converted(v, factor) for v in point] for point in points if point)
        return "; ".join(" ".join(repr(v) for v in point) for point in metres)

    remedy = "Write figures with spaces between, and a semicolon after each point."
    return {column.inner: _each_value(cells, faults, read, expected, remedy)}


def _vector(text: str, count: int) -> list[float] | None:
    pieces = text.split()
    try:
        values = [float(piece) for piece in pieces if "_" not in piece]
    except ValueError:
        return None
    return values if len(values) == len(pieces) == count and all(map(math.isfinite, values)) else None


def directions(cells: Cells, faults: Faults) -> dict[str, Texts]:
    """Directions as a word (`up`, `+x`) or as text `x y z`."""

    def read(text: str, _: float) -> str | None:
        word = text.lower().replace(" ", "")
        if word in DIRECTIONS:
            return word
        vector = _vector(text, 3)
        return " ".join(repr(v) for v in vector) if vector and any(vector) else None

    expected = f"{', '.join(DIRECTIONS)} or a vector x y z"
    return {
        cells.column.inner: _each_value(cells, faults, read, expected, "Write the way the open end looks.")
    }


_QUANTITY = re.compile(r"\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*(\S.*?)\s*")


def quantity_in_si(text: str, dimensions: tuple[str, ...]) -> tuple[str, float] | None:
    """Dimension and SI value of a text such as `3.5 bar`; None if it is no quantity of these dimensions."""
    match = _QUANTITY.fullmatch(text)
    for dimension in dimensions if match else ():
        assert match is not None
        try:
            value = converted(float(match[1]), *column_factor(match[2], dimension))
        except UnitError:
            continue
        if math.isfinite(value):
            return dimension, value
    return None


def settings_of_devices(cells: Cells, faults: Faults) -> dict[str, Texts | Floats]:
    """The text as written, and its value under the suffix of what it measures, as `setting_pa`."""
    found: dict[str, tuple[str, float]] = {}

    def read(text: str, _: float) -> str | None:
        value = quantity_in_si(text, SETTING_DIMENSIONS)
        if value is not None:
            found[text] = value
        return None if value is None else text

    remedy = "Write figure and unit: 3.5 bar, 0.2 L/s or 60 C."
    expected = f"a quantity with its unit ({', '.join(SETTING_DIMENSIONS)})"
    result: dict[str, Texts | Floats] = {
        cells.column.name: _each_value(cells, faults, read, expected, remedy)
    }
    series = pd.Series(cells.values, dtype=object)
    for dimension in SETTING_DIMENSIONS:
        values = {text: value for text, (kind, value) in found.items() if kind == dimension}
        name = inner_name(cells.column.name, dimension)
        figures: Floats = (
            np.asarray(series.map(values), dtype=float) if values else np.full(len(series), np.nan)
        )
        result[name] = figures
    return result
