# SPDX-License-Identifier: Apache-2.0
"""Look-ups as nodes of a derivation: the figure found, the cells read, the rows passed over."""

from __future__ import annotations

from riser.audit import Derived, Given, Node
from riser.rules.cell import Row
from riser.rules.table import Key, Lookup, Table


def exact_derived(name: str, table: Table, result: str, keys: dict[str, Node]) -> Derived:
    """The figure `result` of the row with these key values."""
    row = table.exact(**{column: node.value for column, node in keys.items()})
    asked = ", ".join(f"{column} = {table.shown(column, node.value)}" for column, node in keys.items())
    return _node(name, row, result, f"row with {asked}", tuple(keys.values()))


def first_not_less_derived(
    name: str, table: Table, result: str, column: str, value: Node, **key: Key
) -> Derived:
    """The figure `result` of the first row whose figure in `column` is not less than `value`."""
    found = table.first_not_less(column, value.number, **key)
    sentence = f"first row{_where(table, key)} whose {column} is not less than {value.name}"
    return _found(name, found, result, column, sentence, value)


def last_not_more_derived(
    name: str, table: Table, result: str, column: str, value: Node, **key: Key
) -> Derived:
    """The figure `result` of the last row whose figure in `column` is not more than `value`."""
    found = table.last_not_more(column, value.number, **key)
    sentence = f"last row{_where(table, key)} whose {column} is not more than {value.name}"
    return _found(name, found, result, column, sentence, value)


def bracket_derived(name: str, table: Table, result: str, value: Node, **key: Key) -> Derived:
    """The figure `result` of the row whose range holds `value`."""
    found = table.bracket(value.number, **key)
    sentence = f"row{_where(table, key)} whose range holds {value.name}"
    return _node(name, found.row, result, sentence, (value,), found)


def linear_derived(name: str, table: Table, of: str, column: str, value: Node, **key: Key) -> Derived:
    """The figure in column `of` straight between the two rows around `value`, with all four cells."""
    segment = table.linear(column, value.number, of, **key)
    if segment.low is segment.high:
        sentence = f"row{_where(table, key)} whose {column} is {value.name}"
        return _node(name, segment.low, of, sentence, (value,))
    return Derived(
        name=name,
        value=segment.figure,
        unit=table.units[of],
        formula="y = y0 + (x - x0) * (y1 - y0) / (x1 - x0)",
        inputs=(
            value,
            segment.low.given(column),
            segment.low.given(of),
            segment.high.given(column),
            segment.high.given(of),
        ),
        basis=f"{table.cited}, straight between rows",
        symbols=("x", "x0", "y0", "x1", "y1"),
    )


def _found(name: str, found: Lookup, result: str, column: str, sentence: str, value: Node) -> Derived:
    cells: tuple[Node, ...] = (value,)
    if column != result:
        cells += (found.row.given(column),)
    return _node(name, found.row, result, sentence, cells, found)


def _node(
    name: str,
    row: Row,
    result: str,
    sentence: str,
    inputs: tuple[Node, ...],
    found: Lookup | None = None,
) -> Derived:
    cell: Given = row.given(result)
    return Derived(
        name=name,
        value=cell.value,
        unit=cell.unit,
        formula=f"{result} of the {sentence}",
        inputs=(*inputs, cell),
        basis=row.cell(result).clause.text,
        rejected=found.rejected if found else (),
    )


def _where(table: Table, key: dict[str, Key]) -> str:
    told = " and ".join(f"{column} {table.shown(column, value)}" for column, value in key.items())
    return f" with {told}" if told else ""
