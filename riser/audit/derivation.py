# SPDX-License-Identifier: Apache-2.0
"""A figure and everything it was made from, as a frozen tree.

A leaf is `Given`: it stands in a file, in a rule set, or was assumed for a stated reason. A node is
`Derived`: formula, inputs, basis, range of validity and, for a look-up, the rows it passed over. Trees go to
JSON and back unchanged and hold no clock, no path of a machine and no cache.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from riser.audit.clause import Clause, Status

Value = float | str


@dataclass(frozen=True, slots=True)
class InFile:
    """The value stands in a file of the job: row 1 is the header; row 0 where rows do not apply."""

    file: str
    row: int
    column: str

    @property
    def text(self) -> str:
        """The place in words."""
        row = f", row {self.row}" if self.row else ""
        return f"{self.file}{row}, {self.column}" if self.column else f"{self.file}{row}"


@dataclass(frozen=True, slots=True)
class InRules:
    """The value is a cell of a rule set; `printed` is the figure and unit as the code prints them."""

    rule_set: str
    table: str
    row: str
    column: str
    printed: str
    clause: Clause

    @property
    def text(self) -> str:
        """The place in words, as a person cites it."""
        printed = f" (prints {self.printed})" if self.printed else ""
        return f"{self.clause.text}, row {self.row}{printed}"


@dataclass(frozen=True, slots=True)
class Assumed:
    """The value was assumed, for a reason a person can disagree with."""

    reason: str

    @property
    def text(self) -> str:
        """The reason in words."""
        return f"assumed: {self.reason}"


Origin = InFile | InRules | Assumed


@dataclass(frozen=True, slots=True)
class Rejected:
    """A row that a look-up passed over, or a choice that was not taken, and why."""

    what: str
    why: str


@dataclass(frozen=True, slots=True)
class Given:
    """A figure that was not calculated: value in `unit`, and where it stands."""

    name: str
    value: Value
    unit: str
    origin: Origin

    def __post_init__(self) -> None:
        object.__setattr__(self, "value", _plain(self.name, self.value))

    @property
    def number(self) -> float:
        """The value as a number; a text is an error of the caller."""
        return _number(self.name, self.value)

    def as_json(self) -> dict[str, Any]:
        """One JSON object."""
        return {
            "given": self.name,
            "value": self.value,
            "unit": self.unit,
            "origin": _origin_json(self.origin),
        }


@dataclass(frozen=True, slots=True)
class Derived:
    """A figure that was calculated, looked up, rounded or chosen.

    `inputs` are nodes; `symbols` are the names by which `formula` calls them, in the same order (empty where
    the formula is a sentence, as for look-ups). `basis` is a clause or a source; `validity` the stated range;
    `rejected` the rows passed over.
    """

    name: str
    value: Value
    unit: str
    formula: str
    inputs: tuple[Node, ...]
    basis: str
    validity: str = ""
    rejected: tuple[Rejected, ...] = ()
    symbols: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        object.__setattr__(self, "value", _plain(self.name, self.value))
        if self.symbols and len(self.symbols) != len(self.inputs):
            raise ValueError(f"{self.name}: {len(self.symbols)} symbols for {len(self.inputs)} inputs")

    @property
    def number(self) -> float:
        """The value as a number; a text is an error of the caller."""
        return _number(self.name, self.value)

    def as_json(self) -> dict[str, Any]:
        """One JSON object, inputs nested."""
        return {
            "derived": self.name,
            "value": self.value,
            "unit": self.unit,
            "formula": self.formula,
            "symbols": list(self.symbols),
            "inputs": [node.as_json() for node in self.inputs],
            "basis": self.basis,
            "validity": self.validity,
            "rejected": [{"what": r.what, "why": r.why} for r in self.rejected],
        }


Node = Given | Derived


def node_from_json(data: Mapping[str, Any]) -> Node:
    """The tree that `as_json` wrote."""
    if "given" in data:
        return Given(data["given"], data["value"], data["unit"], _origin_from_json(data["origin"]))
    return Derived(
        data["derived"],
        data["value"],
        data["unit"],
        data["formula"],
        tuple(node_from_json(child) for child in data["inputs"]),
        data["basis"],
        data["validity"],
        tuple(Rejected(r["what"], r["why"]) for r in data["rejected"]),
        tuple(data["symbols"]),
    )


def nodes(node: Node) -> Iterator[Node]:
    """Every node of the tree, the root first."""
    yield node
    if isinstance(node, Derived):
        for child in node.inputs:
            yield from nodes(child)


def origins(node: Node) -> tuple[Origin, ...]:
    """Where the figures at the leaves stand, each place once, in order of first use."""
    return tuple(dict.fromkeys(leaf.origin for leaf in nodes(node) if isinstance(leaf, Given)))


@dataclass(frozen=True, slots=True)
class DecidedBy:
    """How many rule-set rows decided a figure, by certainty."""

    read: int = 0
    unverified: int = 0
    conflict: int = 0
    local: int = 0

    @property
    def text(self) -> str:
        """The line that stands on each sheet."""
        line = f"decided by: {self.read} rows read, {self.unverified} unverified, {self.conflict} conflicts"
        return f"{line}, {self.local} local" if self.local else line


_WORST_FIRST = (Status.CONFLICT, Status.MEMORY, Status.LOCAL, Status.READ)


def decided_by(*roots: Node) -> DecidedBy:
    """Distinct rule-set rows at the leaves, each counted once at the least sure of its cells."""
    rows: dict[tuple[str, str, str], Status] = {}
    for root in roots:
        for origin in origins(root):
            if isinstance(origin, InRules):
                row = (origin.rule_set, origin.table, origin.row)
                seen = (rows.get(row, Status.READ), origin.clause.status)
                rows[row] = min(seen, key=_WORST_FIRST.index)
    found = list(rows.values())
    return DecidedBy(
        found.count(Status.READ),
        found.count(Status.MEMORY),
        found.count(Status.CONFLICT),
        found.count(Status.LOCAL),
    )


def _plain(name: str, value: Any) -> Value:
    """A Python float or text: numpy scalars would not survive the way through JSON."""
    if isinstance(value, str):
        return value
    number = float(value)
    if not math.isfinite(number):
        raise ValueError(f"{name} is not a finite number: {value}")
    return number


def _number(name: str, value: Value) -> float:
    if isinstance(value, str):
        raise TypeError(f"{name} is a text, not a number: {value}")
    return value


def _origin_json(origin: Origin) -> dict[str, Any]:
    match origin:
        case InFile(file, row, column):
            return {"kind": "file", "file": file, "row": row, "column": column}
        case InRules(rule_set, table, row_name, column, printed, clause):
            return {
                "kind": "rules",
                "rule_set": rule_set,
                "table": table,
                "row": row_name,
                "column": column,
                "printed": printed,
                "clause": clause.as_json(),
            }
        case Assumed(reason):
            return {"kind": "assumed", "reason": reason}


def _origin_from_json(data: Mapping[str, Any]) -> Origin:
    fields = {key: value for key, value in data.items() if key != "kind"}
    match data["kind"]:
        case "file":
            return InFile(**fields)
        case "rules":
            return InRules(**{**fields, "clause": Clause.from_json(fields["clause"])})
        case "assumed":
            return Assumed(**fields)
        case other:
            raise ValueError(f"unknown kind of origin: {other}")
