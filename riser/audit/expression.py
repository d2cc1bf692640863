# SPDX-License-Identifier: Apache-2.0
"""Evaluates the text of a formula, so that what is printed can be held equal to what ran.

Understands + - * / **, comparisons, `where(condition, a, b)`, `min`, `max`, `abs`, `sqrt`, `exp`, `log`
(natural), `log10`, `sin`, `cos`, `tan`, `acos`, `asin`, `atan`, `ceil`, `floor` and `pi`. A text may define
intermediate names, separated by semicolons; the last one is the result.
"""

from __future__ import annotations

import ast
import operator
from collections.abc import Callable, Mapping
from functools import reduce
from typing import Any

import numpy as np

_BINARY: dict[type[ast.operator], Callable[[Any, Any], Any]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
    ast.Pow: operator.pow,
}
_COMPARE: dict[type[ast.cmpop], Callable[[Any, Any], Any]] = {
    ast.Lt: operator.lt,
    ast.LtE: operator.le,
    ast.Gt: operator.gt,
    ast.GtE: operator.ge,
    ast.Eq: operator.eq,
    ast.NotEq: operator.ne,
}
_FUNCTIONS: dict[str, Callable[..., Any]] = {
    "where": np.where,
    "min": lambda *values: reduce(np.minimum, values),
    "max": lambda *values: reduce(np.maximum, values),
    "abs": np.abs,
    "sqrt": np.sqrt,
    "exp": np.exp,
    "log": np.log,
    "log10": np.log10,
    "sin": np.sin,
    "cos": np.cos,
    "tan": np.tan,
    "asin": np.arcsin,
    "acos": np.arccos,
    "atan": np.arctan,
    "ceil": np.ceil,
    "floor": np.floor,
}
_CONSTANTS = {"pi": np.pi}


def statements(text: str) -> list[tuple[str, ast.expr]]:
    """Each name the text defines and the expression for it; ValueError where the text is not a formula."""
    parsed: list[tuple[str, ast.expr]] = []
    for line in ast.parse(text.strip()).body:
        match line:
            case ast.Assign(targets=[ast.Name(id=name)], value=expression):
                parsed.append((name, expression))
            case _:
                raise ValueError(f"not of the form `name = expression`: {text}")
    if not parsed:
        raise ValueError("a formula without text")
    return parsed


def names_needed(text: str) -> set[str]:
    """The names a text needs from outside: neither constants, functions nor defined in the text itself."""
    needed: set[str] = set()
    defined = {*_CONSTANTS, *_FUNCTIONS}
    for name, expression in statements(text):
        used = {part.id for part in ast.walk(expression) if isinstance(part, ast.Name)}
        needed |= used - defined
        defined.add(name)
    return needed


def evaluate(text: str, values: Mapping[str, Any]) -> Any:
    """The result of a formula text for numbers or numpy arrays."""
    known: dict[str, Any] = {**_CONSTANTS, **values}
    name = ""
    for name, expression in statements(text):
        known[name] = _value(expression, known)
    return known[name]


def _value(part: ast.expr, known: Mapping[str, Any]) -> Any:
    match part:
        case ast.Constant(value=int() | float() as number):
            return number
        case ast.Name(id=name):
            return known[name]
        case ast.UnaryOp(op=ast.USub(), operand=operand):
            return -_value(operand, known)
        case ast.BinOp(left=left, op=op, right=right) if type(op) in _BINARY:
            return _BINARY[type(op)](_value(left, known), _value(right, known))
        case ast.Compare(left=left, ops=[op], comparators=[right]) if type(op) in _COMPARE:
            return _COMPARE[type(op)](_value(left, known), _value(right, known))
        case ast.Call(func=ast.Name(id=name), args=args, keywords=[]) if name in _FUNCTIONS:
            return _FUNCTIONS[name](*(_value(argument, known) for argument in args))
    raise ValueError(f"a formula may not contain {ast.unparse(part)}")
