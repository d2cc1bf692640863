# SPDX-License-Identifier: Apache-2.0
"""A second reader of a job folder, written apart from the program: it imports nothing from riser.

It reads CSV files (commas, metres and millimetres only), places the parts with its own arithmetic and answers
what is connected to what as a plain networkx graph.
"""

from __future__ import annotations

import csv
import math
from collections import defaultdict
from pathlib import Path

import networkx as nx

SCALE = {"": 1.0, "m": 1.0, "mm": 0.001, "deg": math.pi / 180}
DIRECTIONS = {
    "up": (0, 0, 1), "down": (0, 0, -1), "+x": (1, 0, 0), "-x": (-1, 0, 0), "+y": (0, 1, 0), "-y": (0, -1, 0),
}  # fmt: skip
THROUGH = {
    "trap", "valve", "check_valve", "reducing_valve", "balancing_valve", "meter", "backflow_preventer",
    "strainer", "pump", "tank", "heater", "gully", "sump",
}  # fmt: skip
LATERAL_M = 0.040
SPARE_M = 0.050
Vector = tuple[float, float, float]


def rows(path: Path) -> list[dict[str, str]]:
    """The rows of a CSV file, numbers in metres and radians, headers without their units."""
    if not path.exists():
        return []
    with path.open(encoding="utf-8-sig", newline="") as file:
        table = list(csv.reader(file))
    heads = [(h.split(" [")[0], h.split(" [")[1].rstrip("]") if " [" in h else "") for h in table[0]]
    result = []
    for line in table[1:]:
        row = {}
        for (name, unit), cell in zip(heads, line, strict=True):
            try:
                row[name] = str(float(cell) * SCALE.get(unit, 1.0)) if unit and cell else cell
            except ValueError:
                row[name] = cell
        result.append(row)
    return result


def number(text: str) -> float:
    """A cell as a number; empty is zero."""
    return float(text) if text else 0.0


def direction(text: str) -> Vector:
    """A facing as a unit vector: a word, or three numbers."""
    if text in DIRECTIONS:
        return DIRECTIONS[text]
    x, y, z = (float(piece) for piece in text.split())
    length = math.sqrt(x * x + y * y + z * z)
    return x / length, y / length, z / length


def world(part: dict[str, str], x: float, y: float, z: float, move: bool = True) -> Vector:
    """A point (or, without `move`, a direction) of a type, mirrored and turned into the building."""
    yaw = number(part["yaw"])
    x = -x if part["mirror"] == "x" else x
    turned = (x * math.cos(yaw) - y * math.sin(yaw), x * math.sin(yaw) + y * math.cos(yaw), z)
    shift = tuple(number(part[axis]) for axis in "xyz") if move else (0.0, 0.0, 0.0)
    return (turned[0] + shift[0], turned[1] + shift[1], turned[2] + shift[2])


def place_of(kind: str, port: str) -> str:
    """Which of a node's separate places a port belongs to."""
    if kind == "fixture":
        return port
    if kind in THROUGH:
        return port.removesuffix("_2") or "in"
    return ""


class Reading:
    """The stubs, and the graph: vertices are (node id, place), edges are runs, passes and joints."""

    def __init__(self, folder: Path) -> None:
        self.graph: nx.Graph[tuple[str, str]] = nx.Graph()
        self.stubs: dict[str, tuple[Vector, Vector, str]] = {}
        self.joints: dict[str, frozenset[str]] = {}
        for part in rows(folder / "parts.csv"):
            self._add_part(folder / "types" / part["type"] / part["type_revision"], part)
        self._add_joints(folder)

    def _add_part(self, folder: Path, part: dict[str, str]) -> None:
        kinds = {}
        for node in rows(folder / "nodes.csv"):
            name = f"{part['part']}/{node['node']}"
            kinds[node["node"]] = node["kind"]
            if node["kind"] == "stub":
                facing = world(part, *direction(node["facing"]), move=False)
                spot = world(part, number(node["x"]), number(node["y"]), number(node["z"]))
                self.stubs[name] = (spot, facing, node["system"])
                self.graph.add_node((name, ""))
            if node["kind"] in THROUGH:
                self.graph.add_edge((name, "in"), (name, "out"))
            if node["kind"] == "heater":
                self.graph.add_edge((name, "return"), (name, "out"))
        for run in rows(folder / "runs.csv"):
            ends = [
                (f"{part['part']}/{run[end]}", place_of(kinds[run[end]], run[f"{end}_port"]))
                for end in ("from", "to")
            ]
            self.graph.add_edge(*ends)

    def _add_joints(self, folder: Path) -> None:
        lengths: dict[str, float] = defaultdict(float)
        offsets: dict[str, float] = defaultdict(float)
        for piece in rows(folder / "closures.csv"):
            lengths[piece["joint"]] += number(piece["length"])
            offsets[piece["joint"]] += number(piece["offset"])
        reach = max([*lengths.values(), 0.05]) + SPARE_M
        used = set()
        for row in rows(folder / "joints.csv"):
            a, b = row["stub_a"], row["stub_b"]
            used |= {a, b}
            if (
                a in self.stubs
                and b in self.stubs
                and self.meet(a, b, reach, LATERAL_M + offsets[row["joint"]])
            ):
                self.joints[row["joint"]] = frozenset((a, b))
        free = sorted(set(self.stubs) - used)
        for n, a in enumerate(free):
            for b in free[n + 1 :]:
                if a.split("/")[0] != b.split("/")[0] and self.meet(a, b, reach, LATERAL_M):
                    self.joints[f"{a}+{b}"] = frozenset((a, b))
        for pair in self.joints.values():
            a, b = sorted(pair)
            self.graph.add_edge((a, ""), (b, ""))

    def meet(self, a: str, b: str, reach_m: float, lateral_m: float) -> bool:
        """Whether two stubs look at each other within reach."""
        (pa, fa, _), (pb, fb, _) = self.stubs[a], self.stubs[b]
        step = [q - p for p, q in zip(pa, pb, strict=True)]
        along = sum(s * f for s, f in zip(step, fa, strict=True))
        across = math.sqrt(max(sum(s * s for s in step) - along * along, 0.0))
        looks_back = sum(p * q for p, q in zip(fa, fb, strict=True)) < -math.cos(math.radians(10))
        return looks_back and -0.05 <= along <= reach_m and across <= lateral_m

    def pieces(self) -> set[frozenset[str]]:
        """The node ids that hang together, one set per connected piece of places."""
        return {frozenset(f"{n}:{p}" for n, p in piece) for piece in nx.connected_components(self.graph)}
