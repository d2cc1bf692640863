# SPDX-License-Identifier: Apache-2.0
"""Least sizes of vents by fixture units and developed length, for one vent or for arrays of them.

The rule set comes first, the answer is in metres of nominal size; NaN where the table ends before the load or
the length does. Tables and limits: `vent_length`, `vent_share_of_drain`, `vent_size_min`, `vent_long_length`,
`vent_long_sizes_up`.
"""

from __future__ import annotations

import numpy as np

from riser.errors import NotInRules
from riser.hydraulics.quantity import FloatArray, Quantity
from riser.rules import Row, RuleSet, Table
from riser.sizing.fixture_units.drain_tables import NEARLY

VENTS = "vent_length"


def stack_vent_size(rule_set: RuleSet, stack_m: Quantity, load: Quantity, length_m: Quantity) -> Quantity:
    """Least size of a stack vent, a vent stack or a vent header.

    Parameters
    ----------
    rule_set : RuleSet
        A set with the table `vent_length`.
    stack_m : float or array
        Nominal size of the stack [m].
    load : float or array
        What drains into the stack, for a header into all stacks [dfu].
    length_m : float or array
        Developed length to the open air [m].

    Returns
    -------
    float or array
        Nominal size [m]; NaN beyond the table.

    Notes
    -----
    Where the rows of the stack's size end before the load does, as for a header of many stacks, the rows of
    the next size of stack hold.

    Examples
    --------
    Published: https://www.tcp.taxchambers.com/what-size-is-residential-vent-pipe.html, a 4 in stack with
    44 dfu and a vent of 25 ft needs 2 in.

    >>> from riser.rules import load_set
    >>> round(stack_vent_size(load_set("ipc_2021"), 4 * 0.0254, 44.0, 25 * 0.3048) / 0.0254, 9)
    2.0
    """
    by_length, by_drain = stack_vent_parts(rule_set, stack_m, load, length_m)
    found = np.maximum(by_length, by_drain)
    scalar = all(np.ndim(x) == 0 for x in (stack_m, load, length_m))
    return float(found[0]) if scalar else found


def stack_vent_parts(
    rule_set: RuleSet, stack_m: Quantity, load: Quantity, length_m: Quantity
) -> tuple[FloatArray, FloatArray]:
    """The size by load and developed length, and that by the drain served [m]; the larger holds."""
    asked = np.broadcast_arrays(*(np.atleast_1d(np.asarray(x, float)) for x in (stack_m, load, length_m)))
    rows, inverse = np.unique(np.stack(asked, axis=1), axis=0, return_inverse=True)
    sizes = np.array([_by_length(rule_set, *row) for row in rows.tolist()], dtype=float)
    return sizes[inverse.ravel()], vent_steps(rule_set, asked[0], 0)


def vent_steps(rule_set: RuleSet, drain_m: FloatArray, up: FloatArray | int) -> FloatArray:
    """The size of vent that its drain asks for, and `up` sizes more; NaN beyond the largest [m]."""
    ladder = vent_sizes(rule_set.table(VENTS))
    half = drain_m * rule_set.limit("vent_share_of_drain").number
    least = np.maximum(half, rule_set.limit("vent_size_min").number)
    place = np.searchsorted(ladder, least * NEARLY) + up
    known = (place < len(ladder)) & ~np.isnan(least)
    return np.where(known, ladder[np.minimum(place, len(ladder) - 1)], np.nan)


def branch_vent_size(rule_set: RuleSet, drain_m: Quantity, length_m: Quantity) -> Quantity:
    """Least size of an individual, branch, circuit or relief vent.

    Parameters
    ----------
    rule_set : RuleSet
        A set with the vent limits.
    drain_m : float or array
        Required nominal size of the drain served [m].
    length_m : float or array
        Developed length [m].

    Returns
    -------
    float or array
        Nominal size [m].

    Examples
    --------
    IPC 906.2 as quoted at https://designjoaquin.netlify.app/plumbing-vent-pipe-size: half the drain, at least
    1-1/4 in, one size more beyond 40 ft.

    >>> from riser.rules import load_set
    >>> drains, lengths = np.array([1.5, 3.0, 3.0]) * 0.0254, np.array([10.0, 40.0, 41.0]) * 0.3048
    >>> branch_vent_size(load_set("ipc_2021"), drains, lengths) / 0.0254
    array([1.25, 1.5 , 2.  ])
    """
    drains, lengths = np.broadcast_arrays(*(np.atleast_1d(np.asarray(x, float)) for x in (drain_m, length_m)))
    is_long = lengths > rule_set.limit("vent_long_length").number / NEARLY
    up = np.where(is_long, int(rule_set.limit("vent_long_sizes_up").number), 0)
    found = np.where(np.isnan(lengths), np.nan, vent_steps(rule_set, drains, up))
    scalar = np.ndim(drain_m) == 0 and np.ndim(length_m) == 0
    return float(found[0]) if scalar else found


def vent_sizes(table: Table) -> FloatArray:
    """The sizes in which vents come, small to large [m]."""
    return np.unique(np.array(table.distinct("vent"), dtype=float))


def vent_rows(table: Table, stack_m: float, load: float) -> tuple[float, float]:
    """The stack size and load of the rows that hold for a stack; NotInRules beyond the table."""
    larger: list[float] = [float(s) for s in table.distinct("stack") if float(s) >= stack_m * NEARLY]
    for stack in sorted(larger):
        try:
            row = table.first_not_less("fixture_units", load, stack=stack).row
        except NotInRules:
            continue
        return stack, row.number("fixture_units")
    raise NotInRules(f"{table.cited}: {load:g} dfu are more than any row holds; {table.beyond}")


def vent_row(table: Table, stack_m: float, load: float, length_m: float) -> Row:
    """The row that gives the vent of a stack; NotInRules beyond the table."""
    stack, units = vent_rows(table, stack_m, load)
    return table.first_not_less("length", length_m, stack=stack, fixture_units=units).row


def longest_vent(table: Table, stack_m: float, load: float, vent_m: float) -> float:
    """How long a vent of a drawn size may be [m]; 0 where no row of the stack has so small a vent."""
    try:
        stack, units = vent_rows(table, stack_m, load)
        return table.last_not_more("vent", vent_m, stack=stack, fixture_units=units).row.number("length")
    except NotInRules:
        return 0.0


def _by_length(rule_set: RuleSet, stack_m: float, load: float, length_m: float) -> float:
    if np.isnan(stack_m + load + length_m):
        return float("nan")
    try:
        return vent_row(rule_set.table(VENTS), stack_m, load, length_m).number("vent")
    except NotInRules:
        return float("nan")
