# SPDX-License-Identifier: Apache-2.0
"""Whether power and data containment keeps its distance from wet pipes (M02).

The distance is taken between straights, from the outside of the pipe to the axis of the containment, within a
part and between neighbours. What crosses at a steep angle does not run side by side: there only pipes that go
through the axis itself are told. Insulation and the width of the tray are not counted.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from riser.audit import COMMON_PRACTICE, Finding, FindingKind, Severity
from riser.layout.catalogue import Pipe
from riser.layout.judging import Judging
from riser.network.model import Model
from riser.network.systems import CONTAINMENT, WET, System, membership
from riser.network.types import Flags, Floats, Ints
from riser.network.where import run_place
from riser.rules import Cell

TOO_CLOSE = FindingKind(
    "M02",
    "containment too close to wet pipes",
    Severity.WARNING,
    COMMON_PRACTICE,
    "Power or data containment runs beside a wet pipe nearer than the limit.",
    "Move one of them.",
)
KINDS = (TOO_CLOSE,)

# Straights at a greater angle than this cross. Common practice, no source.
CROSSING_RAD = np.deg2rad(45.0)
# Positions are drawn to the millimetre. Common practice, no source.
DRAWN_TO_M = 0.001
# Part boxes compared at a time: bounds the memory of a large building.
AT_A_TIME = 512


@dataclass(frozen=True)
class Straights:
    """Straight pieces of runs in the world: run, both ends, and half the outside diameter."""

    run: Ints
    part: Ints
    start_m: Floats
    end_m: Floats
    radius_m: Floats

    def chosen(self, which: Ints) -> Straights:
        """Some of them."""
        return Straights(
            self.run[which], self.part[which], self.start_m[which], self.end_m[which], self.radius_m[which]
        )

    @property
    def low_m(self) -> Floats:
        """The lower corner of each one's box."""
        return np.minimum(self.start_m, self.end_m)

    @property
    def high_m(self) -> Floats:
        """The upper corner of each one's box."""
        return np.maximum(self.start_m, self.end_m)


def findings(model: Model, judging: Judging) -> list[Finding]:
    """M02, one finding for each pair of runs."""
    trays = straights(model, judging.pipes, CONTAINMENT)
    pipes = straights(model, judging.pipes, WET)
    if not len(trays.run) or not len(pipes.run):
        return []
    cell = judging.practice("containment_clearance", "the distance of containment from wet pipes")
    if cell is None:
        return []
    a, b = _near(trays, pipes, cell.number + float(pipes.radius_m.max()))
    gap = distances_m(trays.start_m[a], trays.end_m[a], pipes.start_m[b], pipes.end_m[b]) - pipes.radius_m[b]
    crossing = _cross(trays, pipes, a, b)
    close = np.where(crossing, gap < 0.0, gap < cell.number - DRAWN_TO_M)
    a, b, gap, crossing = a[close], b[close], gap[close], crossing[close]
    order = np.lexsort((gap, pipes.run[b], trays.run[a]))
    pairs = np.stack([trays.run[a], pipes.run[b]])[:, order]
    first = np.flatnonzero(np.append(True, np.any(np.diff(pairs, axis=1) != 0, axis=0))[: len(order)])
    return [
        _pair(
            model, judging, cell, int(trays.run[a[n]]), int(pipes.run[b[n]]), float(gap[n]), bool(crossing[n])
        )
        for n in order[first].tolist()
    ]


def straights(model: Model, pipes: list[Pipe], systems: frozenset[System]) -> Straights:
    """All straights of standing runs of these systems, part by part."""
    placed, types = model.placed, model.placed.types
    wanted = membership(systems)[types.run_system]
    run = np.flatnonzero(wanted[placed.run_type] & model.standing[placed.run_part]).astype(np.int32)
    counts = np.bincount(types.segment_run, minlength=len(types.run_system))
    starts = np.concatenate([[0], np.cumsum(counts)[:-1]])
    kind = placed.run_type[run]
    owner = np.repeat(np.arange(len(run)), counts[kind])
    within = np.arange(len(owner)) - np.repeat(np.cumsum(counts[kind]) - counts[kind], counts[kind])
    segment = starts[kind][owner] + within
    part = placed.run_part[run[owner]]
    radius = np.array([pipe.od_m / 2.0 for pipe in pipes])
    return Straights(
        run=run[owner],
        part=part,
        start_m=in_world(model, types.segment_start_m[segment], part),
        end_m=in_world(model, types.segment_end_m[segment], part),
        radius_m=radius[types.run_pipe[kind]][owner],
    )


def in_world(model: Model, xyz_m: Floats, part: Ints) -> Floats:
    """Points of types where their parts stand: mirrored, turned, moved."""
    placed = model.placed
    x = np.where(placed.part_mirror[part], -xyz_m[:, 0], xyz_m[:, 0])
    y = xyz_m[:, 1]
    cos, sin = np.cos(placed.part_yaw_rad[part]), np.sin(placed.part_yaw_rad[part])
    turned = np.stack([cos * x - sin * y, sin * x + cos * y, xyz_m[:, 2]], axis=1)
    world: Floats = turned + placed.part_origin_m[part]
    return world


def _blocks(part: Ints) -> tuple[Ints, Ints, Ints]:
    """The parts in a sorted list of parts, where each begins and how often it stands there."""
    parts, start, count = np.unique(part, return_index=True, return_counts=True)
    return parts, start, count


def _near(trays: Straights, pipes: Straights, reach_m: float) -> tuple[Ints, Ints]:
    """Pairs of a tray and a pipe straight whose boxes come within reach of each other."""
    _, start, count = _blocks(pipes.part)
    low = np.minimum.reduceat(pipes.low_m, start)
    high = np.maximum.reduceat(pipes.high_m, start)
    found_a, found_b = [np.zeros(0, np.int64)], [np.zeros(0, np.int64)]
    tray_low, tray_high = trays.low_m - reach_m, trays.high_m + reach_m
    for first in range(0, len(trays.run), AT_A_TIME):
        some = slice(first, first + AT_A_TIME)
        tray, block = np.nonzero(_overlap(tray_low[some][:, None], tray_high[some][:, None], low, high))
        a = np.repeat(tray + first, count[block])
        offset = np.arange(len(a)) - np.repeat(np.cumsum(count[block]) - count[block], count[block])
        b = np.repeat(start[block], count[block]) + offset
        keep = _overlap(tray_low[a], tray_high[a], pipes.low_m[b], pipes.high_m[b])
        found_a.append(a[keep])
        found_b.append(b[keep])
    return np.concatenate(found_a), np.concatenate(found_b)


def _overlap(low_a: Floats, high_a: Floats, low_b: Floats, high_b: Floats) -> Flags:
    """Whether boxes overlap."""
    flags: Flags = np.all((low_a <= high_b) & (low_b <= high_a), axis=-1)
    return flags


def distances_m(a0: Floats, a1: Floats, b0: Floats, b1: Floats) -> Floats:
    """The shortest distance between two straights, row by row; shapes (n, 3).

    Each straight is a line with its parameter held between 0 and 1: first the parameter of the one that is
    best on the whole lines, then that of the other for it, then the first again.
    """
    d1, d2, r = a1 - a0, b1 - b0, a0 - b0
    a = np.maximum(np.einsum("ij,ij->i", d1, d1), 1e-18)
    e = np.maximum(np.einsum("ij,ij->i", d2, d2), 1e-18)
    b, c, f = (np.einsum("ij,ij->i", p, q) for p, q in ((d1, d2), (d1, r), (d2, r)))
    across = a * e - b * b
    skew = across > 1e-12 * a * e
    s = np.where(skew, np.clip((b * f - c * e) / np.where(skew, across, 1.0), 0.0, 1.0), 0.0)
    t = np.clip((b * s + f) / e, 0.0, 1.0)
    s = np.clip((b * t - c) / a, 0.0, 1.0)
    between = (a0 + d1 * s[:, None]) - (b0 + d2 * t[:, None])
    distance: Floats = np.linalg.norm(between, axis=1)
    return distance


def _cross(trays: Straights, pipes: Straights, a: Ints, b: Ints) -> Flags:
    """Whether two straights cross rather than run side by side."""
    d1, d2 = trays.end_m[a] - trays.start_m[a], pipes.end_m[b] - pipes.start_m[b]
    along = np.abs(np.einsum("ij,ij->i", d1, d2))
    flags: Flags = along < np.cos(CROSSING_RAD) * np.linalg.norm(d1, axis=1) * np.linalg.norm(d2, axis=1)
    return flags


def _pair(
    model: Model, judging: Judging, cell: Cell, tray: int, pipe: int, gap_m: float, crossing: bool
) -> Finding:
    ids = model.placed.run_id(tray), model.placed.run_id(pipe)
    words = [System(int(model.run_system[run])).label.replace("_", " ") for run in (tray, pipe)]
    pair = f"{ids[0]} ({words[0]}) and {ids[1]} ({words[1]})"
    says = f"{pair} go through each other."
    if not crossing:
        says = (
            f"{pair} run side by side {max(gap_m, 0.0) * 1e3:.0f} mm apart, from the outside of the pipe to "
            f"the axis of the containment; {cell.number * 1e3:.0f} mm is the least."
        )
    return judging.finding(
        TOO_CLOSE, "supply", run_place(model, tray), ids, says, cell=cell, runs=(tray, pipe)
    )
