# SPDX-License-Identifier: Apache-2.0
"""Files that contradict themselves: two rows of one name, figures that have changed places, gaps."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from riser.project.columns import Demand, InOrder
from riser.project.faults import Faults
from riser.project.typed import TypedTable

Flags = NDArray[np.bool_]


def check_coherence(typed: Mapping[str, TypedTable], faults: Faults) -> None:
    """Faults within single tables: those the schema declares, and a few that need a word of their own."""
    for table in typed.values():
        _refuse_doubles(table, faults)
        _refuse_unlike(table, faults)
        for demand in table.table.demands:
            _refuse_unfilled(table, demand, faults)
        for pair in table.table.ordered:
            _refuse_disorder(table, pair, faults)
    if "floors" in typed:
        _refuse_sinking_floors(typed["floors"], faults)
    if "joints" in typed:
        _refuse_equal(typed["joints"], "stub_a", "stub_b", "another stub than stub_a", faults)
    if "runs" in typed:
        _refuse_equal(typed["runs"], "from", "to", "another node than `from`", faults)
    if "couplings" in typed:
        _refuse_couplings_both_ways(typed["couplings"], faults)


def _blame(table: TypedTable, column: str, bad: Flags, expected: str, remedy: str, faults: Faults) -> None:
    cells = table.cells(column)
    faults.add_rows(cells.places, bad, column, cells.values, expected, remedy)


def _key_columns(table: TypedTable) -> tuple[list[str], list[str]]:
    """Key columns by their names in the frame, and the ones that are the file's own."""
    own = [name for name in table.table.key if name in table.text.columns]
    inner = [table.text.columns[n].column.inner if n in own else n for n in table.table.key]
    return inner, own


def _refuse_doubles(table: TypedTable, faults: Faults) -> None:
    inner, own = _key_columns(table)
    if not table.usable(*own):
        return
    frame = table.frame[inner]
    named = np.all([table.frame[name].to_numpy() != "" for name in inner[:1]], axis=0)
    again = frame.duplicated().to_numpy(bool) & named
    if again.any():
        words = " and ".join(own)
        first = "It stands in a row above already: remove one of the two, or rename it."
        _blame(table, own[-1], again & _filled(table, own[-1]), f"each {words} once", first, faults)
        empty = again & ~_filled(table, own[-1])
        _blame(table, own[0], empty, f"each {words} once", first, faults)


def _filled(table: TypedTable, column: str) -> Flags:
    return np.asarray(table.cells(column).values != "", dtype=bool)


def _refuse_unlike(table: TypedTable, faults: Faults) -> None:
    """Rows of one pipe must agree in everything but temperature and rating."""
    if not table.table.alike or not table.usable(table.table.key[0], *table.table.alike):
        return
    owner = table.frame[table.table.key[0]]
    if not owner.duplicated().any():
        return
    first_row = owner.groupby(owner).transform(lambda rows: rows.index[0]).to_numpy(int)
    for name in table.table.alike:
        values = pd.Series(table.inner(name))
        first = values.iloc[first_row].set_axis(values.index)
        unlike = values.ne(first) & ~(values.isna() & first.isna())
        _blame(
            table,
            name,
            unlike.to_numpy(bool),
            "the same as in the first row of that name",
            "Make them agree.",
            faults,
        )


def _refuse_unfilled(table: TypedTable, demand: Demand, faults: Faults) -> None:
    if not table.usable(demand.column):
        return
    concerned = table.inner(demand.column) == demand.value
    for name in demand.needs:
        if table.usable(name):
            bad = np.asarray(concerned, dtype=bool) & ~_filled(table, name)
            expected = f"a {name} for each {demand.value}"
            _blame(table, name, bad, expected, "Fill the cell.", faults)


def _refuse_disorder(table: TypedTable, pair: InOrder, faults: Faults) -> None:
    if not table.usable(pair.smaller, pair.larger):
        return
    small, large = table.inner(pair.smaller), table.inner(pair.larger)
    if small.dtype == object:
        wrong = np.array([bool(a and b) and a > b for a, b in zip(small, large, strict=True)], dtype=bool)
    else:
        wrong = (small >= large) if pair.strictly else (small > large)
    word = "not before" if small.dtype == object else "more than" if pair.strictly else "at least"
    remedy = "One of the two is wrong, or they have changed places."
    _blame(table, pair.larger, wrong, f"{word} {pair.smaller}", remedy, faults)


def _refuse_sinking_floors(floors: TypedTable, faults: Faults) -> None:
    """Within a building every floor stands higher than the one before it in `order`."""
    if not floors.usable("building", "order", "level"):
        return
    frame = floors.frame[["building", "order", "level_m"]].dropna()
    frame = frame.sort_values(["building", "order"], kind="stable")
    same_building = frame["building"].eq(frame["building"].shift())
    tie = same_building & frame["order"].diff().eq(0)
    sinks = same_building & ~tie & frame["level_m"].diff().le(0)
    for column, marked, expected in (
        ("order", tie, "an order of its own within the building"),
        ("level", sinks, "a level above that of the floor below"),
    ):
        bad = np.zeros(len(floors.frame), dtype=bool)
        bad[frame.index[marked]] = True
        _blame(floors, column, bad, expected, "Correct order or level.", faults)


def _refuse_equal(table: TypedTable, one: str, other: str, expected: str, faults: Faults) -> None:
    if table.usable(one, other):
        a, b = table.cells(one).values, table.cells(other).values
        _blame(
            table,
            other,
            np.asarray((a == b) & (b != ""), dtype=bool),
            expected,
            "Correct one of the two.",
            faults,
        )


def _refuse_couplings_both_ways(couplings: TypedTable, faults: Faults) -> None:
    """A row from X to Y and one from Y to X say the same thing twice, perhaps differently."""
    if not couplings.usable("family", "pipe_a", "pipe_b"):
        return
    frame = couplings.frame
    a, b = frame["pipe_a"].to_numpy(object), frame["pipe_b"].to_numpy(object)
    turned = pd.DataFrame({"family": frame["family"], "a": np.where(a < b, a, b), "b": np.where(a < b, b, a)})
    straight = frame.duplicated(["family", "pipe_a", "pipe_b"]).to_numpy(bool)
    again = turned.duplicated().to_numpy(bool) & ~straight
    remedy = "Rows hold either way round; remove one."
    _blame(couplings, "pipe_b", again, "each family and pair of pipes once", remedy, faults)
