# SPDX-License-Identifier: Apache-2.0
"""Spoilings of drawings: one part gets a type revision of its own in which something was changed or left out.

Each function lists every part at which its fault can be made, with the findings it must give.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial

from benchmarks.spoilable import Job, Row, Spoilt, Target


@dataclass(frozen=True)
class Change:
    """What is drawn differently: cells of nodes and runs, rows left out, rows added."""

    nodes: tuple[tuple[str, str, str], ...] = ()
    runs: tuple[tuple[str, str, str], ...] = ()
    without_nodes: tuple[str, ...] = ()
    without_runs: tuple[str, ...] = ()
    more_nodes: tuple[Row, ...] = ()
    more_runs: tuple[Row, ...] = ()

    def __call__(self, part: str, spoilt: Spoilt) -> None:
        """Draw it so for one part."""
        nodes, runs = spoilt.revised(part, "nodes"), spoilt.revised(part, "runs")
        for file, cells in ((nodes, self.nodes), (runs, self.runs)):
            for name, column, value in cells:
                spoilt.set(file, (name,), column, value)
        for file, names in ((nodes, self.without_nodes), (runs, self.without_runs)):
            for name in names:
                spoilt.remove(file, (name,))
        for file, rows in ((nodes, self.more_nodes), (runs, self.more_runs)):
            for row in rows:
                spoilt.add(file, row)


def _target(
    job: Job,
    kind: str,
    part: str,
    keys: Callable[[str], set[str]],
    nodes: tuple[str, ...],
    change: Callable[[str, Spoilt], None],
) -> Target:
    """One part drawn differently; `nodes` are those at which the fault lies."""
    found = frozenset(keys(part))
    items = frozenset(item for key in found for item in key.split(":")[1:])
    items |= {f"{part}/{node}" for node in nodes}
    at, joints = f"{part} {' '.join(nodes)}", job.touched(part, *nodes)
    return Target(kind, at, found, items, joints, partial(change, part))


def _targets(
    job: Job,
    kind: str,
    types: tuple[str, ...],
    keys: Callable[[str], set[str]],
    nodes: tuple[str, ...],
    change: Callable[[str, Spoilt], None],
) -> Iterator[Target]:
    """A target at every part of these types, drawn differently in the same way."""
    for part in _parts(job, *types):
        yield _target(job, kind, part, keys, nodes, change)


def _parts(job: Job, *types: str) -> Iterator[str]:
    for name in types:
        yield from job.parts_of_type.get(name, [])


def _cells(name: str, **values: str) -> tuple[tuple[str, str, str], ...]:
    """Cells of one row; `x`, `y` and `z` are in metres."""
    return tuple(
        (name, f"{key} [m]" if key in ("x", "y", "z", "via") else key, v) for key, v in values.items()
    )


def _named(code: str, *names: str) -> Callable[[str], set[str]]:
    """The key of a finding about these things of a part."""
    return lambda part: {":".join((code, *sorted(f"{part}/{name}" for name in names)))}


def drain_flat(job: Job) -> Iterator[Target]:
    """A tee of the kitchen's branch lies too low for a fall to the next."""
    change = Change(nodes=_cells("T1", z="0.4285"))
    return _targets(job, "drain flat", ("KL",), _named("D01", "waste-2"), ("T1",), change)


def drain_backwards(job: Job) -> Iterator[Target]:
    """A tee of the kitchen's branch lies below the next one downstream."""
    change = Change(nodes=_cells("T1", z="0.42"))
    return _targets(job, "drain backwards", ("KL",), _named("D02", "waste-2"), ("T1",), change)


def drain_narrow(job: Job) -> Iterator[Target]:
    """The bathroom's branch saves a size before the shaft."""
    change = Change(runs=_cells("soil-2", pipe="CI80"))
    return _targets(job, "drain narrow", ("BA",), _named("D03", "soil-2", "soil-3"), ("T1",), change)


def basin_without_drain(job: Job) -> Iterator[Target]:
    """The basin's trap and its waste pipe were left for later."""
    for part in _parts(job, "BA", "SH"):
        lost = tuple(row["run"] for row in job.runs_at(part, "LAV-P"))
        change = Change(without_nodes=("LAV-P",), without_runs=lost)
        yield _target(job, "basin without drain", part, _named("D04", "LAV"), ("LAV",), change)


def vents_capped(job: Job) -> Iterator[Target]:
    """The roof piece was drawn with its test caps on."""
    tops = ("SS-VT", "WS-VT", "VS-VT")
    change = Change(nodes=tuple((top, "kind", "cap") for top in tops))
    return _targets(job, "vents capped", ("RF",), _named("D06", "SS-VT", "WS-VT"), tops, change)


def dead_end(job: Job) -> Iterator[Target]:
    """A capped branch was left on the kitchen's drain."""
    node = {"node": "CAP1", "kind": "cap", "x [m]": "-0.65", "y [m]": "0.6", "z [m]": "0.46"}
    run = {
        "run": "waste-99", "system": "waste", "from": "CAP1", "to": "T1", "to_port": "branch_2",
        "pipe": "CI50", "joined_from": "NH", "joined_to": "NH", "hidden": "yes",
    }  # fmt: skip
    change = Change(more_nodes=(node,), more_runs=(run,))
    return _targets(job, "dead end", ("KL",), _named("D07", "CAP1"), ("T1",), change)


def no_cleanout(job: Job) -> Iterator[Target]:
    """The cleanout at a waste stack's foot was left out."""
    change = Change(nodes=(("WS-CO", "kind", "bend"),))

    def keys(part: str) -> set[str]:
        foot = job.joints[job.joint_of[f"{part}/WS1"]].a
        return {f"D10:{foot}-B"}

    return _targets(job, "no cleanout", ("PS", "PV"), keys, ("WS-CO",), change)


def trap_far_from_vent(job: Job) -> Iterator[Target]:
    """The sink moved under the window; its vent stayed behind."""
    change = Change(
        nodes=(*_cells("SINK", y="2.3"), *_cells("SINK-P", y="2.3", z="0.4775")),
        runs=(
            *_cells("cold-3", via="1.25 2.3 2.1; 0.25 2.3 2.1"),
            *_cells("hot-3", via="1.05 2.2 2.25; 0.25 2.2 2.25; 0.25 2.3 2.25"),
        ),
    )
    return _targets(job, "trap far from vent", ("KL",), _named("D11", "SINK"), ("SINK",), change)


def backflow_preventer_backwards(job: Job) -> Iterator[Target]:
    """The backflow preventer of the boosted non-potable water was drawn the wrong way round."""
    for part in _parts(job, "PL"):
        before = next(row["run"] for row in job.runs_at(part, "BF1") if row["to"] == "BF1")
        after = next(row["run"] for row in job.runs_at(part, "BF1") if row["from"] == "BF1")
        change = Change(runs=((before, "to_port", "out"), (after, "from_port", "in")))
        yield _target(job, "backflow preventer backwards", part, _named("S01", "BF1"), ("BF1",), change)


def closet_without_water(job: Job) -> Iterator[Target]:
    """The closet's water was forgotten."""
    change = Change(without_runs=("non_potable-1",))
    return _targets(job, "closet without water", ("BA", "SH"), _named("S02", "WC"), ("WC", "NP"), change)


def dead_leg(job: Job) -> Iterator[Target]:
    """A tap on the roof was dropped and its pipe capped instead of taken out."""
    for part in _parts(job, "RF"):
        run = next(row["run"] for row in job.runs_at(part, "CW-TAP"))
        change = Change(
            nodes=(("CW-TAP", "kind", "cap"), ("CW-TAP", "fixture_kind", ""), ("CW-TAP", "use", "")),
            runs=((run, "to_port", ""),),
        )
        yield _target(job, "dead leg", part, _named("S03", "CW-TAP"), ("CW-TAP",), change)


def no_foot_valve(job: Job) -> Iterator[Target]:
    """A strainer stands where the valve at the foot of a cold riser was."""
    change = Change(
        nodes=(("CW-V", "kind", "strainer"), ("CW-V", "normally", ""), ("CW-V", "may_bound_test", ""))
    )
    for part in _parts(job, "PS"):
        if _feeds_several(job, part):
            yield _target(job, "no foot valve", part, _named("S04", "CW-B"), ("CW-V",), change)


def _feeds_several(job: Job, foot: str) -> bool:
    """Whether the main at the foot feeds other risers too; if not, the valve at the plant is the riser's."""
    main = job.joints[job.joint_of[f"{foot}/CWM"]].a.removesuffix(foot)
    feet = [*job.parts_of_type["PS"], *job.parts_of_type["PV"]]
    return sum(f"{main}{other}" in job.joint_of for other in feet) > 1


def no_branch_valve(job: Job) -> Iterator[Target]:
    """A meter took the place of the valve of one dwelling's branch."""
    for part in _parts(job, "SM", "ST", "SR"):
        for (valve,) in job.table(job.drawing(part, "nodes")):
            if valve[:3] in ("CVR", "CVL", "HVR", "HVL"):
                run = next(row for row in job.runs_at(part, valve) if row["to"] == valve)
                keys = _named("S05", run["from"], run["run"])
                change = Change(
                    nodes=((valve, "kind", "meter"), (valve, "normally", ""), (valve, "may_bound_test", ""))
                )
                yield _target(job, "no branch valve", part, keys, (valve,), change)


def no_drain_cock(job: Job) -> Iterator[Target]:
    """The drain cock at the foot of a cold riser was crossed out."""
    return _left_out(job, "no drain cock", ("PS", "PV"), "CW-DC", _named("S06", "CW-B"), "CW-B")


def no_air_vent(job: Job) -> Iterator[Target]:
    """The air vent over a hot riser was left out."""
    return _left_out(job, "no air vent", ("RF",), "HW-AV", _named("S07", "HW-T"), "HW-T")


def _left_out(
    job: Job, kind: str, types: tuple[str, ...], node: str, keys: Callable[[str], set[str]], at: str
) -> Iterator[Target]:
    """A node at the end of a pipe left out with its pipe; `at` is the node it hung on."""
    for part in _parts(job, *types):
        run = next(row["run"] for row in job.runs_at(part, node))
        change = Change(without_nodes=(node,), without_runs=(run,))
        yield _target(job, kind, part, keys, (at,), change)


def sprinkler_without_water(job: Job) -> Iterator[Target]:
    """The pipe to one of the corridor's sprinkler branches was left out."""
    for part in _parts(job, "CO"):
        run = next(row["run"] for row in job.runs_at(part, "SP2"))
        change = Change(without_runs=(run,))
        yield _target(job, "sprinkler without water", part, _named("F02", "SP2"), ("SP2", "F1"), change)


def tray_beside_hot_pipe(job: Job) -> Iterator[Target]:
    """The kitchen's tray comes down beside its hot pipe."""
    change = Change(
        nodes=_cells("BOX", x="1.13", y="1.2", z="2.3"),
        runs=_cells("power-1", via="1.4 0.75 2.8; 1.13 0.75 2.3"),
    )
    return _targets(
        job, "tray beside pipe", ("KL",), _named("M02", "hot-3", "power-1"), ("BOX", "H1"), change
    )


SPOILINGS = (
    drain_flat, drain_backwards, drain_narrow, basin_without_drain, vents_capped, dead_end, no_cleanout,
    trap_far_from_vent, backflow_preventer_backwards, closet_without_water, dead_leg, no_foot_valve,
    no_branch_valve, no_drain_cock, no_air_vent, sprinkler_without_water, tray_beside_hot_pipe,
)  # fmt: skip
