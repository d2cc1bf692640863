# SPDX-License-Identifier: Apache-2.0
"""A formula as text and as function, side by side.

    @formula("velocity_ms = flow_m3s / area_m2", unit="m/s", basis="continuity")
    def mean_velocity_ms(flow_m3s, area_m2):
        return flow_m3s / area_m2

    mean_velocity_ms(0.1, 0.5)                 # the plain function, on numbers or numpy arrays
    mean_velocity_ms.derive(flow, area)        # the same figure with its derivation

Every decorated function stands in `formulas()`; one test holds each text equal to its function.
"""

from __future__ import annotations

import functools
import inspect
from collections.abc import Callable, Mapping
from typing import Any, Generic, ParamSpec, TypeVar

from riser.audit.derivation import Derived, Given, Node, nodes
from riser.audit.expression import evaluate, names_needed, statements
from riser.errors import OutsideValidity

P = ParamSpec("P")
R = TypeVar("R")
Range = tuple[float, float]

# The end of a parameter's name says its unit; an input in another unit is refused.
_UNIT_BY_SUFFIX = {
    "_pa_per_m": "Pa/m",
    "_m_per_m": "m/m",
    "_m3s": "m3/s",
    "_m3": "m3",
    "_m2": "m2",
    "_m": "m",
    "_ms": "m/s",
    "_ms2": "m/s2",
    "_pa": "Pa",
    "_s": "s",
    "_rad": "rad",
    "_kgm3": "kg/m3",
    "_m2s": "m2/s",
}
_registry: dict[str, Formula[..., Any]] = {}


class Formula(Generic[P, R]):
    """A function of numbers or arrays that knows its own text, unit, basis and range of validity."""

    __name__: str
    __qualname__: str

    def __init__(
        self,
        function: Callable[P, R],
        text: str,
        unit: str,
        basis: str,
        valid: Mapping[str, Range],
        domain: Mapping[str, Range],
    ) -> None:
        functools.update_wrapper(self, function)
        self.function, self.text, self.unit, self.basis = function, text, unit, basis
        self.valid, self.domain = dict(valid), dict(domain)
        self.parameters = tuple(inspect.signature(function).parameters)
        self.symbol = statements(text)[-1][0]
        self._check_names()

    def __call__(self, *args: P.args, **kwargs: P.kwargs) -> R:
        """The plain function."""
        return self.function(*args, **kwargs)

    def derive(self, *inputs: Node, name: str = "") -> Derived:
        """The figure with its derivation; inputs in the order of the function's parameters.

        Raises OutsideValidity where an input lies outside the stated range, ValueError where an input is in
        another unit than its parameter's name says.
        """
        if len(inputs) != len(self.parameters):
            raise TypeError(f"{self.__name__} takes {', '.join(self.parameters)}; got {len(inputs)} inputs")
        values: list[Any] = [node.number for node in inputs]
        for parameter, node in zip(self.parameters, inputs, strict=True):
            self._check_input(parameter, node)
        function: Callable[..., Any] = self.function
        return Derived(
            name=name or self.__name__,
            value=float(function(*values)),
            unit=self.unit,
            formula=self.text,
            inputs=inputs,
            basis=self.basis,
            validity=self.validity,
            symbols=self.parameters,
        )

    @property
    def validity(self) -> str:
        """The stated ranges as text, empty where the source states none."""
        return ", ".join(f"{low:g} <= {name} <= {high:g}" for name, (low, high) in self.valid.items())

    def range_of(self, parameter: str) -> Range:
        """The range from which a test draws: `domain`, else `valid`, else 0.1 to 10."""
        return self.domain.get(parameter) or self.valid.get(parameter) or (0.1, 10.0)

    def _check_names(self) -> None:
        if names_needed(self.text) != set(self.parameters):
            raise ValueError(
                f"{self.__name__}: the text needs {sorted(names_needed(self.text))}, "
                f"the function takes {sorted(self.parameters)}"
            )
        stray = (set(self.valid) | set(self.domain)) - set(self.parameters)
        if stray:
            raise ValueError(f"{self.__name__}: range given for {sorted(stray)}, which it does not take")

    def _check_input(self, parameter: str, node: Node) -> None:
        suffix = next((s for s in _UNIT_BY_SUFFIX if parameter.endswith(s)), None)
        if suffix and node.unit != _UNIT_BY_SUFFIX[suffix]:
            raise ValueError(
                f"{self.__name__}: {parameter} must be in {_UNIT_BY_SUFFIX[suffix]}, "
                f"but {node.name} is in {node.unit or 'no unit'}"
            )
        low, high = self.valid.get(parameter, (-float("inf"), float("inf")))
        if not low <= node.number <= high:
            raise OutsideValidity(
                f"{self.__name__} holds for {low:g} <= {parameter} <= {high:g} ({self.basis}); "
                f"{node.name} is {node.number:g}"
            )


def formula(
    text: str,
    *,
    unit: str,
    basis: str,
    valid: Mapping[str, Range] | None = None,
    domain: Mapping[str, Range] | None = None,
) -> Callable[[Callable[P, R]], Formula[P, R]]:
    """Registers a function with its text, unit and basis.

    `valid` is the range the source states, checked on `derive`; `domain` only tells tests where to draw from.
    """

    def register(function: Callable[P, R]) -> Formula[P, R]:
        made = Formula(function, text, unit, basis, valid or {}, domain or {})
        _registry[f"{function.__module__}.{function.__qualname__}"] = made
        return made

    return register


def formulas() -> dict[str, Formula[..., Any]]:
    """Every formula of the modules imported so far, by module and name."""
    return dict(sorted(_registry.items()))


def replay_differences(root: Node, rtol: float = 1e-12) -> list[str]:
    """Formula nodes whose stored value is not what their text gives from their stored inputs."""
    found: list[str] = []
    for node in nodes(root):
        if isinstance(node, Given) or not node.symbols:
            continue
        values = {symbol: child.number for symbol, child in zip(node.symbols, node.inputs, strict=True)}
        again = float(evaluate(node.formula, values))
        if abs(again - node.number) > rtol * max(abs(again), abs(node.number)):
            found.append(f"{node.name}: the sheet says {node.number!r}, its formula gives {again!r}")
    return found
