# SPDX-License-Identifier: Apache-2.0
"""A derivation as indented text for a terminal."""

from __future__ import annotations

from riser.audit.derivation import Derived, Given, InRules, Node, Value, decided_by, nodes

MARKS = "? not yet read in the edition named   ! published readings differ   * local amendment"


def sheet_text(root: Node) -> str:
    """The whole tree: each figure with formula, numbers that went in, clause, certainty and rows passed over.

    The last line counts the rule-set rows that decided the figure by certainty.
    """
    lines = _lines(root, "", "")
    if any(isinstance(n, Given) and _mark(n) for n in nodes(root)):
        lines.append(MARKS)
    if any(isinstance(n, Given) and isinstance(n.origin, InRules) for n in nodes(root)):
        lines.append(decided_by(root).text)
    return "\n".join(lines) + "\n"


def _lines(node: Node, indent: str, symbol: str) -> list[str]:
    label = f"{symbol}: {node.name}" if symbol and symbol != node.name else node.name
    head = f"{indent}{label} = {_figure(node.value, node.unit)}"
    if isinstance(node, Given):
        mark = _mark(node)
        return [f"{head}{f' {mark}' if mark else ''}   <- {node.origin.text}"]
    inner = indent + "  "
    lines = [head, f"{inner}by {node.formula}   [{node.basis}]"]
    if node.symbols:
        lines.append(f"{inner}with {_numbers(node)}")
    if node.validity:
        lines.append(f"{inner}valid for {node.validity}")
    lines += [f"{inner}passed over: {r.what} ({r.why})" for r in node.rejected]
    symbols = node.symbols or ("",) * len(node.inputs)
    for child, name in zip(node.inputs, symbols, strict=True):
        lines += _lines(child, inner, name)
    return lines


def _numbers(node: Derived) -> str:
    pairs = zip(node.symbols, node.inputs, strict=True)
    return ", ".join(f"{symbol} = {_figure(child.value, child.unit)}" for symbol, child in pairs)


def _figure(value: Value, unit: str) -> str:
    number = value if isinstance(value, str) else f"{value:.6g}"
    return f"{number} {unit}" if unit and unit != "-" else number


def _mark(node: Given) -> str:
    return node.origin.clause.status.mark if isinstance(node.origin, InRules) else ""
