# SPDX-License-Identifier: Apache-2.0
"""Drawing a part type: nodes and runs as rows of its CSV files, with falls worked out instead of typed in."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from .catalogue import inside_family

Row = dict[str, str]
Point = tuple[float, ...]

NODE_COLUMNS = (
    "node", "kind", "x [m]", "y [m]", "z [m]", "facing", "pipe", "end", "system", "fixture_kind", "use",
    "control", "normally", "may_bound_test", "setting",
)  # fmt: skip
RUN_COLUMNS = (
    "run", "system", "from", "from_port", "to", "to_port", "pipe", "via [m]", "joined_from", "joined_to",
    "insulation [mm]", "hidden", "supports",
)  # fmt: skip
INLINE = (
    "valve", "check_valve", "reducing_valve", "balancing_valve", "meter", "backflow_preventer", "strainer",
    "pump", "trap",
)  # fmt: skip
# One support for so many metres of pipe.
SUPPORT_SPACING_M = 1.5


def number(value: float) -> str:
    """A figure to a tenth of a millimetre, without trailing zeros."""
    text = f"{round(value, 4):.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


@dataclass(frozen=True)
class Fit:
    """A fitting to be set into a line: node kind, name, place, and further cells of its row.

    A place without a level lies on the fall of its line.
    """

    kind: str
    name: str
    at: Point
    cells: tuple[tuple[str, str], ...] = ()


def fit(kind: str, name: str, *at: float, **cells: str) -> Fit:
    """A fitting; see `Fit`."""
    return Fit(kind, name, at, tuple(cells.items()))


def valve(name: str, *at: float) -> Fit:
    """A stop valve that may bound a test and stands open."""
    return fit("valve", name, *at, normally="open", may_bound_test="yes")


Step = Fit | Point | str


def _ports(kind: str) -> tuple[str, str]:
    """The port by which a line enters a fitting and the one by which it goes on, in the direction of flow."""
    if kind in INLINE:
        return "in", "out"
    if kind in ("tee", "cleanout", "bend", "test_tee", "reducer", "anchor", "guide", "expansion_piece"):
        return "a", "b"
    return "", ""


def _spoken(text: str) -> tuple[str, str]:
    node, _, port = text.partition(".")
    return node, port


@dataclass
class Drawing:
    """One type revision. `hidden` and `insulation_mm` hold for the lines drawn next."""

    type: str
    revision: str
    kind: str
    size: tuple[float, float, float] | None
    note: str
    hidden: bool = True
    insulation_mm: float = 0.0
    nodes: list[Row] = field(default_factory=list)
    runs: list[Row] = field(default_factory=list)
    at: dict[str, tuple[float, float, float]] = field(default_factory=dict)

    @property
    def key(self) -> tuple[str, str]:
        """Type and revision."""
        return self.type, self.revision

    def node(self, kind: str, name: str, at: Point, **cells: str) -> str:
        """Add a node; gives its name."""
        if name in self.at:
            raise ValueError(f"{self.type}: node {name} is drawn twice")
        x, y, z = at
        self.at[name] = (x, y, z)
        row = dict.fromkeys(NODE_COLUMNS, "")
        row |= {"node": name, "kind": kind, "x [m]": number(x), "y [m]": number(y), "z [m]": number(z)}
        self.nodes.append(row | cells)
        return name

    def stub(self, name: str, at: Point, facing: str | Point, system: str, pipe: str) -> str:
        """Add a stub; a facing may be a word or a vector along a fall."""
        words = facing if isinstance(facing, str) else " ".join(number(v) for v in facing)
        return self.node("stub", name, at, facing=words, pipe=pipe, system=system)

    def row_of(self, name: str) -> Row:
        """The row of a node."""
        return next(row for row in self.nodes if row["node"] == name)

    def fixture(self, name: str, kind: str, at: Point, use: str = "private", control: str = "") -> str:
        """Add a fixture."""
        return self.node("fixture", name, at, fixture_kind=kind, use=use, control=control)

    def line(self, system: str, pipe: str, start: str, *steps: Step) -> None:
        """Draw a line in the direction of flow, through new fittings and corners, to its last step."""
        self._draw(system, pipe, start, steps, slope=None)

    def rising(self, system: str, pipe: str, start: str, *steps: Step, slope: float) -> None:
        """Draw a drain or a vent from its low end upstream; places without a level follow the slope."""
        self._draw(system, pipe, start, steps, slope=slope)

    def _draw(self, system: str, pipe: str, start: str, steps: Sequence[Step], slope: float | None) -> None:
        node, port = _spoken(start)
        here, corners = self.at[node], list[tuple[float, float, float]]()
        for step in steps:
            if isinstance(step, tuple):
                here = _placed(step, here, slope)
                corners.append(here)
                continue
            there, enters, leaves = self._stepped(step, here, slope)
            self._run(system, pipe, (node, port), (there, enters), corners, upstream=slope is not None)
            node, port, here, corners = there, leaves, self.at[there], []
        if corners:
            raise ValueError(f"{self.type}: a line of {system} from {start} ends at a corner")

    def _stepped(self, step: Fit | str, here: Point, slope: float | None) -> tuple[str, str, str]:
        """Node reached, port entered, port left by."""
        if isinstance(step, str):
            node, port = _spoken(step)
            return node, port, ""
        self.node(step.kind, step.name, _placed(step.at, here, slope), **dict(step.cells))
        first, last = _ports(step.kind)
        return (step.name, first, last) if slope is None else (step.name, last, first)

    def _run(
        self,
        system: str,
        pipe: str,
        start: tuple[str, str],
        end: tuple[str, str],
        corners: list[tuple[float, float, float]],
        *,
        upstream: bool,
    ) -> None:
        if upstream:
            start, end, corners = end, start, corners[::-1]
        count = sum(row["system"] == system for row in self.runs) + 1
        length = _length([self.at[start[0]], *corners, self.at[end[0]]])
        row = {
            "run": f"{system}-{count}",
            "system": system,
            "from": start[0],
            "from_port": start[1],
            "to": end[0],
            "to_port": end[1],
            "pipe": pipe,
            "via [m]": "; ".join(" ".join(number(v) for v in corner) for corner in corners),
            "joined_from": self._family(start[0], pipe),
            "joined_to": self._family(end[0], pipe),
            "insulation [mm]": number(self.insulation_mm),
            "hidden": "yes" if self.hidden else "no",
            "supports": str(math.floor(length / SUPPORT_SPACING_M)),
        }
        self.runs.append(row)

    def _family(self, node: str, pipe: str) -> str:
        """The coupling by which a run is joined to a node in the factory; none at an open end."""
        return "" if self.row_of(node)["kind"] in ("stub", "vent_terminal") else inside_family(pipe)


def _length(points: Sequence[Point]) -> float:
    return sum(math.dist(a, b) for a, b in pairwise(points))


def _placed(at: Point, here: Point, slope: float | None) -> tuple[float, float, float]:
    """A place with its level: its own, or on the fall from the place before."""
    if len(at) == 3:
        return (at[0], at[1], at[2])
    if slope is None:
        raise ValueError(f"a place without a level needs a fall: {at}")
    return (at[0], at[1], here[2] + slope * math.dist(at, here[:2]))
