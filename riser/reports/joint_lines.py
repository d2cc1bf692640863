# SPDX-License-Identifier: Apache-2.0
"""The joints of a floor as lines of its sheet, in working order."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from riser.audit.finding import Finding
from riser.joints.measured import measured_stubs
from riser.network.joints import JointState
from riser.network.model import Model
from riser.network.systems import DRAINS, ORDER_OF_WORK, System
from riser.proving.gates import Gate, fact_words, in_order, lacking_until, next_gate
from riser.reports.joint_fit import Fits, fits_of
from riser.reports.joint_line import ConnectionLine, FindingLine, JointLine
from riser.reports.pipe_words import (
    PipeWords,
    is_tested,
    make_up_short,
    make_up_words,
    pipe_words,
    system_word,
    works_of,
)
from riser.reports.riser_places import RiserJoints, ShaftPlace, joint_shafts, joint_xyz_m
from riser.reports.stage import Standing, worst

UPRIGHT = 0.7
"""A stub whose facing rises more than this (sine) is upright: its pipe has no invert there."""

BARRED = {
    JointState.NO_STUB: "a stub of this joint is not drawn",
    JointState.APART: "its stubs do not reach each other",
    JointState.NOT_FACING: "its stubs do not face each other",
}
LADDER = ("placed", "made", "inspected", "proven", "stale", "fire riser made")
"""What is lacking before covering, in the order a sheet says it; the job's own facts and release follow."""
PROVEN_AGAIN = "proven again, its proof is stale"


@dataclass(frozen=True)
class Lines:
    """What the lines of one floor are made from, worked out once; `holds` are facts about all its joints."""

    model: Model
    standing: Standing
    gates: Sequence[Gate]
    pipes: PipeWords
    fits: Fits
    measured: frozenset[int]
    holds: frozenset[str]
    findings: dict[str, list[Finding]]

    def stubs(self, joint: int) -> list[int]:
        """The stubs a joint has."""
        joints = self.model.joints
        return [n for n in (int(joints.stub_a[joint]), int(joints.stub_b[joint])) if n >= 0]

    def system(self, joint: int) -> int:
        """The system of a joint: that of its first stub."""
        stubs = self.stubs(joint)
        return int(self.model.node_system[stubs[0]]) if stubs else -1

    def parts(self, joint: int) -> list[str]:
        """The parts a joint ties together."""
        placed = self.model.placed
        names = [str(placed.part_name[placed.node_part[stub]]) for stub in self.stubs(joint)]
        return list(dict.fromkeys(names))

    def connections(self, joint: int) -> list[int]:
        """The numbers of a joint's connections, in order from stub a."""
        column = self.model.joints.connections.joint
        first, last = np.searchsorted(column, [joint, joint + 1]).tolist()
        return list(range(first, last))


def lines_of(
    model: Model,
    standing: Standing,
    gates: Sequence[Gate],
    findings: Iterable[Finding],
    holds: frozenset[str] = frozenset(),
) -> Lines:
    """What every line of a floor needs."""
    by_item: dict[str, list[Finding]] = {}
    for finding in findings:
        for item in finding.items:
            by_item.setdefault(item, []).append(finding)
    measured = frozenset(measured_stubs(model.placed).node.tolist())
    return Lines(
        model, standing, gates, pipe_words(model.placed.tables), fits_of(model), measured, holds, by_item
    )


def joint_lines(source: Lines, joints: Sequence[int], along: list[RiserJoints]) -> list[JointLine]:
    """The lines of these joints, numbered in working order: by system, then shaft, riser, level and id."""
    numbers = np.array(joints, dtype=np.int32)
    shafts = joint_shafts(source.model, numbers, along)
    riser_of = {n: riser.name for riser in along for n in riser.joints.tolist()}
    xyz = joint_xyz_m(source.model)
    lines = [
        _line(source, joint, riser_of.get(joint, ""), shaft, xyz[joint].tolist())
        for joint, shaft in zip(numbers.tolist(), shafts, strict=True)
    ]
    rank = working_order(source.model)
    lines.sort(key=lambda j: (rank.get(j.system, len(rank)), j.shaft, j.riser, _level(j), j.id))
    return [replace(line, number=n) for n, line in enumerate(lines, start=1)]


def working_order(model: Model) -> dict[int, int]:
    """The rank of each system: by `order` in systems.csv; the others follow in the usual order."""
    frame = model.placed.tables.systems
    stated: dict[str, float] = {}
    for word, order in zip(frame["system"].tolist(), frame["order"].tolist(), strict=True):
        if np.isfinite(float(order)):
            stated[str(word)] = min(float(order), stated.get(str(word), np.inf))
    usual = {system: place for place, system in enumerate(ORDER_OF_WORK)}
    ordered = sorted(System, key=lambda s: (stated.get(s.label, np.inf), usual[s]))
    return {int(system): place for place, system in enumerate(ordered)}


def _level(line: JointLine) -> float:
    return line.connections[0].level_m if line.connections else 0.0


def _line(source: Lines, joint: int, riser: str, shaft: ShaftPlace, xyz_m: list[float]) -> JointLine:
    model, joints = source.model, source.model.joints
    system = source.system(joint)
    connections = tuple(_connection(source, joint, c, system) for c in source.connections(joint))
    gate, lacking = _next_gate(source, joint, system)
    names = (str(joints.text_a[joint]), str(joints.text_b[joint]))
    placed_at_all = bool(source.standing.state.placed)
    return JointLine(
        number=0,
        id=str(joints.id[joint]),
        system=system,
        system_word=system_word(system),
        riser=riser,
        shaft=shaft.name,
        in_shaft=shaft.inside,
        stubs=names,
        sizes=(_size(source, int(joints.stub_a[joint])), _size(source, int(joints.stub_b[joint]))),
        make_up=make_up_words(model, joint, source.pipes),
        make_up_short=make_up_short(model, joint, source.pipes),
        x_m=xyz_m[0],
        y_m=xyz_m[1],
        connections=connections,
        stage=worst(c.stage for c in connections),
        barred=BARRED.get(JointState(int(joints.state[joint])), ""),
        waits_for=tuple(
            part for part in source.parts(joint) if placed_at_all and not source.standing.has_placed(part)
        ),
        gate=gate,
        lacking=lacking,
        fit=source.fits.line(joint),
        findings=_findings(source, joint, names, [c.id for c in connections]),
        why_not_covered=_why_not_covered(source, joint, system),
    )


def _size(source: Lines, stub: int) -> str:
    return source.pipes.pipe(int(source.model.node_pipe[stub])) if stub >= 0 else "-"


def _connection(source: Lines, joint: int, connection: int, system: int) -> ConnectionLine:
    connections = source.model.joints.connections
    name, level = str(connections.id[connection]), float(connections.xyz_m[connection, 2])
    pipe = int(connections.pipe_before[connection])
    lies = _lies(source, joint) and system >= 0 and System(system) in DRAINS and pipe >= 0
    invert = level - source.pipes.bores_m[pipe] / 2 if lies else None
    standing = source.standing
    return ConnectionLine(name, level, invert, standing.stage(name), standing.is_covered_unreleased(name))


def _lies(source: Lines, joint: int) -> bool:
    """Whether the pipe at a joint lies: only then it has an invert."""
    stubs = np.array(source.stubs(joint)[:1], dtype=np.int32)
    facing = source.model.placed.facing(stubs)
    return bool(len(stubs)) and bool(abs(facing[0, 2]) < UPRIGHT)


def _facts(source: Lines, joint: int) -> set[str]:
    """The facts that hold for all connections of a joint alike."""
    facts = set(source.holds)
    if all(source.standing.has_placed(part) for part in source.parts(joint)):
        facts.add("placed")
    if all(stub in source.measured for stub in source.stubs(joint)):
        facts.add("measured")
    return facts


def _next_gate(source: Lines, joint: int, system: int) -> tuple[Gate | None, tuple[str, ...]]:
    """The earliest gate that a connection of this joint has not passed, and what it lacks."""
    works, known = works_of(system), _facts(source, joint)
    order = [gate.id for gate in in_order(source.gates, works)]
    found: dict[str, dict[str, list[str]]] = {}
    gate_of: dict[str, Gate] = {}
    names = [str(source.model.joints.connections.id[c]) for c in source.connections(joint)]
    for name in names:
        ahead = next_gate(source.gates, source.standing.work(name, works, known))
        if ahead is not None:
            gate_of[ahead[0].id] = ahead[0]
            for fact in ahead[1]:
                found.setdefault(ahead[0].id, {}).setdefault(fact, []).append(name)
    if not found:
        return None, ()
    first = min(found, key=order.index)
    lacking = [
        fact_words(fact) + ("" if len(where) == len(names) else f" ({', '.join(where)})")
        for fact, where in found[first].items()
    ]
    return gate_of[first], tuple(lacking)


def _why_not_covered(source: Lines, joint: int, system: int) -> tuple[str, ...]:
    """What is lacking before this joint may be covered; nothing where every connection is released."""
    standing, works, known = source.standing, works_of(system), _facts(source, joint)
    must = {"made", "inspected", "released"} | ({"proven"} if is_tested(system) else set())
    lacking: dict[str, None] = {}
    for name in (str(source.model.joints.connections.id[c]) for c in source.connections(joint)):
        work = standing.work(name, works, known)
        if "released" in work.facts and name not in standing.stale:
            continue
        if name in standing.stale:
            lacking["stale"] = None
        on_the_way = lacking_until(source.gates, work, "released")
        missing = [*on_the_way, *sorted(must - work.facts)]
        lacking.update(dict.fromkeys(missing))
    ladder = [fact for fact in LADDER if fact in lacking]
    others = [fact for fact in lacking if fact not in (*LADDER, "released")]
    last = ["released"] if "released" in lacking else []
    return tuple(PROVEN_AGAIN if fact == "stale" else fact for fact in [*ladder, *others, *last])


def _findings(
    source: Lines, joint: int, stubs: tuple[str, str], connections: list[str]
) -> tuple[FindingLine, ...]:
    """The findings about a joint, its stubs and its connections; consequences of one shown are left out."""
    names = [str(source.model.joints.id[joint]), *stubs, *connections]
    found = {f.key: f for name in names for f in source.findings.get(name, ())}
    shown = [f for f in found.values() if f.because not in found]
    return tuple(finding_line(f, source.standing) for f in sorted(shown, key=lambda f: f.key))


def finding_line(finding: Finding, standing: Standing) -> FindingLine:
    """A finding as a sheet shows it, with its acceptance where that still rests on the same things."""
    acceptance = standing.state.accepted.get(finding.key)
    holds = acceptance is not None and dict(acceptance.rests_on) == dict(finding.rests_on)
    accepted = f"accepted by {acceptance.by}: {acceptance.reason}" if acceptance is not None and holds else ""
    return FindingLine(
        finding.key, finding.code, str(finding.severity), finding.says, finding.remedy, accepted
    )
