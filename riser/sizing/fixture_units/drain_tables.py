# SPDX-License-Identifier: Apache-2.0
"""Least sizes of drains by fixture units, for one pipe or for arrays of them.

Every function takes the rule set first and answers in metres of nominal size; NaN where the table ends before
the load does. Columns and rows are those of the tables `branches_and_stacks`, `stack_columns` and
`building_drain` of the set.
"""

from __future__ import annotations

import numpy as np

from riser.hydraulics.quantity import FloatArray, Quantity
from riser.rules import RuleSet, Table

BRANCHES = "branches_and_stacks"
COLUMNS = "stack_columns"
BUILDING = "building_drain"
UNITS = "fixture_units"
# A size worked out from another (half of 5 in) still finds the row it equals.
NEARLY = 1.0 - 1.0e-9


def branch_size(rule_set: RuleSet, load: Quantity) -> Quantity:
    """Least size of a horizontal branch that runs to a stack.

    Parameters
    ----------
    rule_set : RuleSet
        A set with the table `branches_and_stacks`.
    load : float or array
        Load [dfu].

    Returns
    -------
    float or array
        Nominal size [m]; NaN beyond the table.

    Examples
    --------
    IPC Table 710.1(2), read in the IPC-derived SBC 701: 20 dfu on a 3 in branch, 160 dfu on a 4 in branch.

    >>> from riser.rules import load_set
    >>> branch_size(load_set("ipc_2021"), [20.0, 20.5, 160.0]) / 0.0254
    array([3., 4., 4.])
    """
    return _as_given(load, least_sizes(rule_set.table(BRANCHES), "branch", _many(load)))


def stack_size(
    rule_set: RuleSet, load: Quantity, intervals: Quantity, interval_load: Quantity | None = None
) -> Quantity:
    """Least size of a stack: both the column for one branch interval and that for the whole stack hold.

    Parameters
    ----------
    rule_set : RuleSet
        A set with the tables `branches_and_stacks` and `stack_columns`.
    load : float or array
        All that the stack carries there [dfu].
    intervals : int or array
        Branch intervals of the stack; they choose the column for the total.
    interval_load : float or array, optional
        The largest load of one branch interval [dfu]; by default the load shared evenly.

    Returns
    -------
    float or array
        Nominal size [m]; NaN beyond the table.

    Examples
    --------
    Published: http://www.terrylove.com/forums/showthread.php?2977-DWV-Sizing, a stack with 7, 13 and 5 dfu on
    three floors is 3 in, a stack with 10 dfu on two floors (4 and 6) is 2 in.

    >>> from riser.rules import load_set
    >>> stack_size(load_set("ipc_2021"), [25.0, 10.0], [3, 2], [13.0, 6.0]) / 0.0254
    array([3., 2.])
    """
    table = rule_set.table(BRANCHES)
    loads, counts = np.broadcast_arrays(_many(load), np.atleast_1d(np.asarray(intervals)))
    shared = loads / np.maximum(counts, 1) if interval_load is None else _many(interval_load)
    total = np.full(loads.shape, np.nan)
    for count in np.unique(counts):
        chosen = counts == count
        total[chosen] = least_sizes(table, stack_column(rule_set, int(count)), loads[chosen])
    one = least_sizes(table, "one_interval", np.broadcast_to(shared, loads.shape))
    return _as_given(load, np.maximum(total, one))


def building_drain_size(rule_set: RuleSet, load: Quantity, fall_m_per_m: Quantity) -> Quantity:
    """Least size of the building drain, its branches and the building sewer, and of an offset in a stack.

    Parameters
    ----------
    rule_set : RuleSet
        A set with the table `building_drain`.
    load : float or array
        Load [dfu].
    fall_m_per_m : float or array
        Fall [m/m]; the column of the next smaller fall that is printed holds.

    Returns
    -------
    float or array
        Nominal size [m]; NaN beyond the table and below its least fall.

    Examples
    --------
    Published: http://www.terrylove.com/forums/showthread.php?2977-DWV-Sizing, 35 dfu fit 3 in at 1/8 in/ft;
    45 dfu need 4 in at 1/8 or 3 in at 1/2 in/ft.

    >>> from riser.rules import load_set
    >>> falls = np.array([1 / 8, 1 / 8, 1 / 2]) / 12
    >>> building_drain_size(load_set("ipc_2021"), [35.0, 45.0, 45.0], falls) / 0.0254
    array([3., 4., 3.])
    """
    table = rule_set.table(BUILDING)
    loads, falls = np.broadcast_arrays(_many(load), _many(fall_m_per_m))
    column = printed_falls(table, falls)
    sizes = np.full(loads.shape, np.nan)
    for fall in np.unique(column[~np.isnan(column)]):
        chosen = column == fall
        sizes[chosen] = least_sizes(table, UNITS, loads[chosen], fall=float(fall))
    return _as_given(load, sizes)


def stack_column(rule_set: RuleSet, intervals: int) -> str:
    """The column of `branches_and_stacks` that holds for the total of a stack with so many intervals."""
    return str(rule_set.table(COLUMNS).bracket(float(max(intervals, 1))).row.cell("column").value)


def printed_falls(table: Table, fall_m_per_m: Quantity) -> FloatArray:
    """For each fall the largest printed one that is not more; NaN below the least."""
    printed = np.unique(np.array(table.distinct("fall"), dtype=float))
    place = np.searchsorted(printed, np.asarray(fall_m_per_m) / NEARLY, side="right") - 1
    known = (place >= 0) & ~np.isnan(fall_m_per_m)
    return np.where(known, printed[np.maximum(place, 0)], np.nan)


def least_sizes(table: Table, column: str, loads: FloatArray, **key: float) -> FloatArray:
    """The size of the first row that carries each load; NaN where none does or the load is not known."""
    place = table.places_not_less(column, loads, **key)
    sizes = table.column("size", **key)
    known = (place >= 0) & ~np.isnan(loads)
    return np.where(known, sizes[np.maximum(place, 0)], np.nan)


def sizes_at_least(table: Table, size_m: FloatArray) -> FloatArray:
    """The first size of the table that is not less; NaN where there is none."""
    return least_sizes(table, "size", np.asarray(size_m, dtype=np.float64))


def capacities(table: Table, column: str, size_m: FloatArray, **key: float) -> FloatArray:
    """What a drawn size may carry: the figure of the largest row that is not larger; 0 below the first."""
    sizes, figures = table.column("size", **key), table.column(column, **key)
    printed = ~np.isnan(figures)
    place = np.searchsorted(sizes[printed], np.asarray(size_m) / NEARLY, side="right") - 1
    found = np.where(place >= 0, figures[printed][np.maximum(place, 0)], 0.0)
    return np.where(np.isnan(size_m), np.nan, found)


def _many(value: Quantity) -> FloatArray:
    return np.atleast_1d(np.asarray(value, dtype=np.float64))


def _as_given(asked: Quantity, answer: FloatArray) -> Quantity:
    """A number for a number, an array for an array."""
    return float(answer[0]) if np.ndim(asked) == 0 and answer.size == 1 else answer
