# SPDX-License-Identifier: Apache-2.0
"""Stacks as a drainage code sees them: where they begin and end, their offsets and their branch intervals.

A riser of the network becomes a stack from its highest branch to its foot. What stands dry above the highest
branch is its vent; a short drop at either end belongs to the branch or to the building drain.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from riser.network.model import EdgeKind, Model
from riser.network.risers import LEAST_RISE_M, Riser, risers
from riser.network.systems import System
from riser.network.types import Flags, Floats, Ints
from riser.sizing.loads import DrainLoads
from riser.sizing.ways_home import WaysHome

# Levels are drawn to the millimetre: two branches count as an interval apart within this.
LEVEL_ROUNDING_M = 0.001


@dataclass(frozen=True)
class Interval:
    """One branch interval: the level of its highest branch, the points at which branches join, their load."""

    level_m: float
    points: tuple[int, ...]
    units: float


@dataclass(frozen=True)
class Stack:
    """One stack in the direction of flow: `points` from its highest branch to its foot.

    Step i leads from `points[i]` to `points[i + 1]`. `offset` tells which steps are horizontal, `interval`
    the number of intervals begun at or above each step, `through` that of the whole section the step lies in
    (the vertical part down to the next offset, and all above it).
    """

    name: str
    shaft: str
    system: System
    points: Ints
    offset: Flags
    interval: Ints
    through: Ints
    intervals: tuple[Interval, ...]

    @property
    def top(self) -> int:
        """The point of its highest branch."""
        return int(self.points[0])

    @property
    def foot(self) -> int:
        """The point at its foot."""
        return int(self.points[-1])

    @property
    def largest_interval_units(self) -> Floats:
        """For each interval the largest load of any interval down to it."""
        return np.maximum.accumulate(np.array([i.units for i in self.intervals], dtype=float))


@dataclass(frozen=True)
class _Piece:
    """A part of a riser through which water flows down: points, and per step whether it is a horizontal run,
    and how far a vertical run falls.
    """

    riser: Riser
    points: Ints
    horizontal: Flags
    rise_m: Floats

    def within(self, first: int, last: int) -> _Piece:
        """The steps from `first` up to, not including, `last`."""
        steps = slice(first, last)
        return replace(
            self,
            points=self.points[first : last + 1],
            horizontal=self.horizontal[steps],
            rise_m=self.rise_m[steps],
        )

    def followed_by(self, lower: _Piece) -> _Piece:
        """This piece and the one below it, with the joint between them counted as made."""
        return _Piece(
            riser=lower.riser if lower.riser.is_named else self.riser,
            points=np.concatenate([self.points, lower.points]),
            horizontal=np.concatenate([self.horizontal, [False], lower.horizontal]),
            rise_m=np.concatenate([self.rise_m, [0.0], lower.rise_m]),
        )


def stacks(model: Model, way: WaysHome, loads: DrainLoads, interval_height_m: float) -> list[Stack]:
    """Every soil and waste stack of the building."""
    found = []
    for system in (System.SOIL, System.WASTE):
        pieces = [piece for riser in risers(model, system) for piece in _pieces(model, way, riser)]
        for piece in _joined(way, pieces):
            wet = _stack_part(loads, piece)
            if wet is not None:
                found.append(_stack(model, loads, wet, interval_height_m))
    return found


def _pieces(model: Model, way: WaysHome, riser: Riser) -> Iterator[_Piece]:
    """The parts of a riser along which water flows down, step by step on its way home."""
    points, edge = riser.points[::-1], riser.edges[::-1]
    along = way.next_point[points[:-1]] == points[1:]
    run = np.where(model.edges.kind[edge] == EdgeKind.RUN, model.edges.ref[edge], -1)
    upright = (run >= 0) & model.run_vertical[run]
    level = model.placed.node_xyz_m[model.placed.point_node[points], 2]
    rise = np.where(upright, level[:-1] - level[1:], 0.0)
    along &= rise > -LEVEL_ROUNDING_M
    for steps in np.split(np.arange(len(along)), np.flatnonzero(np.diff(along)) + 1):
        if len(steps) and along[steps[0]]:
            chosen = slice(steps[0], steps[-1] + 2)
            yield _Piece(riser, points[chosen], ((run >= 0) & ~upright)[steps], rise[steps])


def _joined(way: WaysHome, pieces: list[_Piece]) -> list[_Piece]:
    """Pieces that only a joint counted as made keeps apart are one: the stack is sized as it is meant."""
    below = {int(piece.points[0]): piece for piece in pieces}
    feet = {int(way.next_point[p.points[-1]]) for p in pieces if way.edge[p.points[-1]] < 0}
    found = []
    for piece in pieces:
        if int(piece.points[0]) in feet:
            continue
        whole = piece
        while way.edge[whole.points[-1]] < 0:
            lower = below.get(int(way.next_point[whole.points[-1]]))
            if lower is None:
                break
            whole = whole.followed_by(lower)
        found.append(whole)
    return found


def _stack_part(loads: DrainLoads, piece: _Piece) -> _Piece | None:
    """The piece without what is dry above and short drops at both ends; None where no stack is left."""
    wet = np.flatnonzero(loads.is_wet[piece.points[:-1]])
    if not len(wet):
        return None
    piece = piece.within(int(wet[0]), len(piece.rise_m))
    number = loads.fixtures_above[piece.points]
    joins = np.flatnonzero(np.diff(number[:-1]) > 0) + 1
    before = int(joins[0]) if len(joins) else len(piece.rise_m)
    above = np.cumsum(piece.rise_m)
    short = np.flatnonzero(piece.horizontal[:before] & (above[:before] < LEAST_RISE_M))
    first = int(short[-1]) + 1 if len(short) else 0
    below = above[-1] - above
    short = np.flatnonzero(piece.horizontal & (below < LEAST_RISE_M))
    last = int(short[0]) if len(short) else len(piece.rise_m)
    if last <= first or piece.rise_m[first:last].sum() < LEAST_RISE_M:
        return None
    return piece.within(first, last)


def _stack(model: Model, loads: DrainLoads, piece: _Piece, interval_height_m: float) -> Stack:
    level = model.placed.node_xyz_m[model.placed.point_node[piece.points[:-1]], 2]
    offset = _offsets(piece)
    intervals, interval = _intervals(loads, piece, offset, level, interval_height_m)
    return Stack(
        name=piece.riser.name,
        shaft=piece.riser.shaft,
        system=piece.riser.system,
        points=piece.points,
        offset=offset,
        interval=interval,
        through=_through(interval, offset),
        intervals=intervals,
    )


def _offsets(piece: _Piece) -> Flags:
    """Which steps are horizontal; a joint goes with the run above it."""
    flags = piece.horizontal.copy()
    for step in range(1, len(flags)):
        is_joint = not piece.horizontal[step] and piece.rise_m[step] == 0.0
        if is_joint and flags[step - 1]:
            flags[step] = True
    return flags


def _intervals(
    loads: DrainLoads, piece: _Piece, offset: Flags, level_m: Floats, height_m: float
) -> tuple[tuple[Interval, ...], Ints]:
    """The intervals from the top down, and for each step how many have begun at or above it."""
    units, number = loads.units[piece.points], loads.fixtures_above[piece.points]
    flow = loads.flow_m3s[piece.points]
    found: list[Interval] = []
    begun = np.zeros(len(offset), np.int32)
    new_section = True
    for step in range(len(offset)):
        before = (0.0, 0, 0.0) if step == 0 else (units[step - 1], number[step - 1], flow[step - 1])
        joins = number[step] > before[1] or flow[step] > before[2]
        if offset[step]:
            new_section = True
        elif joins:
            entering, point = float(units[step] - before[0]), int(piece.points[step])
            near = bool(found) and found[-1].level_m - level_m[step] < height_m - LEVEL_ROUNDING_M
            if near and not new_section:
                last = found[-1]
                found[-1] = Interval(last.level_m, (*last.points, point), last.units + entering)
            else:
                found.append(Interval(float(level_m[step]), (point,), entering))
            new_section = False
        begun[step] = len(found)
    return tuple(found), begun


def _through(interval: Ints, offset: Flags) -> Ints:
    """For each step the number of intervals down to the end of its vertical section."""
    through = interval.copy()
    for step in range(len(through) - 2, -1, -1):
        if offset[step] == offset[step + 1]:
            through[step] = through[step + 1]
    return through


@dataclass(frozen=True)
class StackFigures:
    """What stacks mean for the pipe leaving each point: its stack (-1 none), whether it is an offset, the
    intervals that count for its size, and the largest load of one interval down to it.
    """

    stack: Ints
    offset: Flags
    intervals: Ints
    interval_units: Floats


def stack_figures(found: list[Stack], points: int) -> StackFigures:
    """The figures of all stacks by point."""
    stack = np.full(points, -1, np.int32)
    offset = np.zeros(points, bool)
    intervals = np.zeros(points, np.int32)
    units = np.zeros(points)
    for number, one in enumerate(found):
        steps = one.points[:-1]
        stack[steps], offset[steps], intervals[steps] = number, one.offset, one.through
        begun = np.maximum(one.interval, 1) - 1
        units[steps] = one.largest_interval_units[begun] if one.intervals else 0.0
    return StackFigures(stack, offset, intervals, units)
