# SPDX-License-Identifier: Apache-2.0
"""Sums, extremes and rounding of derived figures, each a node of its own."""

from __future__ import annotations

import math
from collections.abc import Sequence

from riser.audit.derivation import Derived, Given, Node, Rejected


def total(name: str, inputs: Sequence[Node], basis: str, unit: str | None = None) -> Derived:
    """The sum of figures in one unit; an empty sum needs `unit`."""
    shared = _shared_unit(name, inputs, unit)
    value = math.fsum(node.number for node in inputs)
    symbols = _letters(inputs)
    text = f"{_symbol(name)} = {' + '.join(symbols) or '0'}"
    return Derived(name, value, shared, text, tuple(inputs), basis, symbols=symbols)


def multiple(name: str, count: Node, of: Node, basis: str) -> Derived:
    """So many times a figure, for example 12 lavatories at one fixture unit each."""
    value = count.number * of.number
    text = f"{_symbol(name)} = count * each"
    return Derived(name, value, of.unit, text, (count, of), basis, symbols=("count", "each"))


def largest(name: str, inputs: Sequence[Node], basis: str) -> Derived:
    """The largest of several figures; the others stand as passed over."""
    return _extreme(name, inputs, basis, "max")


def smallest(name: str, inputs: Sequence[Node], basis: str) -> Derived:
    """The smallest of several figures; the others stand as passed over."""
    return _extreme(name, inputs, basis, "min")


def rounded_up(name: str, figure: Node, step: Given, basis: str) -> Derived:
    """The next whole multiple of a step, in the figure's unit."""
    value = math.ceil(figure.number / step.number) * step.number
    text = f"{_symbol(name)} = ceil(figure / step) * step"
    return Derived(name, value, figure.unit, text, (figure, step), basis, symbols=("figure", "step"))


def _extreme(name: str, inputs: Sequence[Node], basis: str, kind: str) -> Derived:
    if not inputs:
        raise ValueError(f"{name}: no figures to choose from")
    shared = _shared_unit(name, inputs, None)
    winner = (max if kind == "max" else min)(inputs, key=lambda node: node.number)
    others = tuple(
        Rejected(f"{node.name} = {node.number:g} {shared}", f"not the {kind}imum")
        for node in inputs
        if node is not winner
    )
    symbols = _letters(inputs)
    text = f"{_symbol(name)} = {kind}({', '.join(symbols)})"
    return Derived(name, winner.number, shared, text, tuple(inputs), basis, "", others, symbols)


def _shared_unit(name: str, inputs: Sequence[Node], unit: str | None) -> str:
    units = {node.unit for node in inputs} | ({unit} if unit is not None else set())
    if len(units) != 1:
        raise ValueError(f"{name}: figures in different units: {', '.join(sorted(units)) or 'none'}")
    return units.pop()


def _symbol(name: str) -> str:
    """A name the formula text can carry: letters, digits and underscores."""
    symbol = "".join(c if c.isalnum() else "_" for c in name)
    return symbol if symbol.isidentifier() else f"_{symbol}"


def _letters(inputs: Sequence[Node]) -> tuple[str, ...]:
    """x1, x2, ...: inputs of a sum may share a name."""
    return tuple(f"x{place}" for place in range(1, len(inputs) + 1))
