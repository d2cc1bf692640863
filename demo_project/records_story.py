# SPDX-License-Identifier: Apache-2.0
"""Three states of the records, as statements: before the first lift, floor 07 placed, finished.

Each state continues the one before. A statement says one thing about many items; `records_replay` makes an
entry of each. The lines that would put the planted site faults right are kept apart, in `REMEDIES`.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from .cast import COMMISSIONING_LEAD, CREWS, ENGINEER, FOREMAN, SETTING_OUT
from .drawing import Row
from .edits import Files, rows_of

BEFORE, FLOOR_7, FINISHED = "before_first_lift", "floor_7_placed", "finished"
STATES = (BEFORE, FLOOR_7, FINISHED)
WAITING_WITHOUT_CAP = "A07-07/RW2"
COVERED_TOO_EARLY = "A04-02-SO.1"
BUILT_BEFORE_REVISION_2 = "A07-11"
NOT_YET_MADE = ("A05-FR2.1", "A05-FR2.2")


def state_file(state: str) -> str:
    """Where a state's statements are kept."""
    return f"records/{state}.jsonl"


@dataclass(frozen=True)
class Statement:
    """What one person said about some items at one time (the server's, UTC)."""

    time: str
    kind: str
    author: str
    about: tuple[str, ...] = ()
    data: dict[str, Any] = field(default_factory=dict)
    reason: str = ""
    files: str = ""

    def line(self) -> str:
        """One line of JSON, without what is empty."""
        said = {name: value for name, value in vars(self).items() if value}
        return json.dumps(said, ensure_ascii=False)


REMEDIES: dict[str, tuple[Statement, ...]] = {
    "J17": (Statement("2031-03-14T15:30:00Z", "capped", FOREMAN, (WAITING_WITHOUT_CAP,), {"cap": "DN100"}),),
    "F01": (Statement("2031-03-14T15:31:00Z", "made", FOREMAN, NOT_YET_MADE, {"crew": CREWS[0]}),),
    "M01": (
        Statement(
            "2031-03-14T15:32:00Z", "altered", FOREMAN, (BUILT_BEFORE_REVISION_2,),
            {"type": "KL", "type_revision": "B"},
        ),
    ),
    "R01": (Statement("2031-03-14T15:33:00Z", "opened", FOREMAN, (COVERED_TOO_EARLY,)),),
}  # fmt: skip


@dataclass(frozen=True)
class Job:
    """What the story needs of the job's files."""

    parts: list[Row]
    joints: list[Row]
    connections: dict[str, list[str]]
    ground_stubs: list[str]

    @cached_property
    def home(self) -> dict[str, tuple[str, str]]:
        """Building and floor of every part."""
        return {row["part"]: (row["building"], row["floor"]) for row in self.parts}

    def floors_of(self, joint: Row) -> set[tuple[str, str]]:
        """Building and floor of both parts of a joint."""
        return {self.home[joint[s].partition("/")[0]] for s in ("stub_a", "stub_b") if joint[s]}

    def connections_of(self, joints: Iterable[Row]) -> tuple[str, ...]:
        """The connections of some joints."""
        return tuple(name for row in joints for name in self.connections.get(row["joint"], ()))


def job_of(sound: Files, planted: Files) -> Job:
    """The job as planted, less what exists only because of a planted fault."""
    joints = rows_of(planted["joints.csv"])[1]
    kept = {row["joint"] for row in rows_of(sound["joints.csv"])[1]}
    counts: dict[str, int] = {}
    for row in rows_of(planted["closures.csv"])[1]:
        if row["kind"] in ("coupling", "cap"):
            counts[row["joint"]] = counts.get(row["joint"], 0) + 1
    joints = [row for row in joints if row["joint"] in kept]
    stubs = [
        f"BG/{row['node']}" for row in rows_of(sound["types/BG/A/nodes.csv"])[1] if row["kind"] == "stub"
    ]
    names = {joint: [f"{joint}.{n}" for n in range(1, count + 1)] for joint, count in counts.items()}
    return Job(rows_of(planted["parts.csv"])[1], joints, names, stubs)


def story(job: Job) -> dict[str, list[Statement]]:
    """The statements of every state, in order of time."""
    return {BEFORE: _before(job), FLOOR_7: _floor_7(job), FINISHED: _finished(job)}


def _placed(time: str, rows: Iterable[Row], built: dict[str, str]) -> list[Statement]:
    """Parts of one type and revision in one statement."""
    groups: dict[tuple[str, str], list[str]] = {}
    for row in rows:
        key = (row["type"], built.get(row["part"], row["type_revision"]))
        groups.setdefault(key, []).append(row["part"])
    return [
        Statement(time, "placed", FOREMAN, tuple(names), {"type": kind, "type_revision": revision})
        for (kind, revision), names in groups.items()
    ]


def _before(job: Job) -> list[Statement]:
    ground = [row for row in job.parts if row["part"] == "BG"]
    return [
        Statement(
            "2031-03-01T16:00:00Z", "revision", ENGINEER, data={"number": 1, "note": "for the first lift"},
            files="revisions/1",
        ),
        *_placed("2031-03-02T14:00:00Z", ground, {}),
        Statement(
            "2031-03-02T15:00:00Z", "capped", SETTING_OUT, tuple(job.ground_stubs), {"cap": "temporary"}
        ),
    ]  # fmt: skip


def _stands(row: Row, highest: str) -> bool:
    """Whether a part is placed when the towers have reached a floor; roofs come last."""
    return row["building"] == "P" or (row["floor"] <= highest and row["floor"] != "RF")


def _floor_7(job: Job) -> list[Statement]:
    said: list[Statement] = []
    podium = [row for row in job.parts if row["building"] == "P" and row["part"] != "BG"]
    said += _placed("2031-03-10T12:00:00Z", podium, {})
    said.append(Statement("2031-03-10T13:00:00Z", "uncapped", FOREMAN, tuple(job.ground_stubs)))
    for day, floor in enumerate(("03", "04", "05", "06", "07")):
        rows = [row for row in job.parts if row["building"] != "P" and row["floor"] == floor]
        said += _placed(
            f"2031-03-{11 + day // 2:02d}T{9 + 4 * (day % 2):02d}:00:00Z",
            rows,
            {BUILT_BEFORE_REVISION_2: "A"},
        )
    said.append(
        Statement("2031-03-13T17:00:00Z", "revision", ENGINEER,
                  data={"number": 2, "note": "kitchen A07-11 round a post; spool of A08-RW1"}, files="."),
    )  # fmt: skip
    standing = {row["part"] for row in job.parts if _stands(row, "07")}
    said.append(
        Statement("2031-03-14T09:00:00Z", "capped", FOREMAN, _waiting(job, standing), {"cap": "temporary"})
    )
    made = [row for row in job.joints if _is_made(job, row, standing)]
    said += _worked(job, made, "2031-03-14")
    early = (COVERED_TOO_EARLY,)
    said.append(Statement("2031-03-14T15:00:00Z", "covered", FOREMAN, early, {"behind": "wall of A04-02"}))
    return sorted(said, key=lambda s: s.time)


def _waiting(job: Job, standing: set[str]) -> tuple[str, ...]:
    """Stubs of parts that stand, joined to parts that do not; one was forgotten."""
    stubs = []
    for row in job.joints:
        ends = [row[s] for s in ("stub_a", "stub_b") if row[s]]
        near = [end for end in ends if end.partition("/")[0] in standing]
        if len(ends) == 2 and len(near) == 1 and near[0] != WAITING_WITHOUT_CAP:
            stubs.append(near[0])
    return tuple(stubs)


def _is_made(job: Job, joint: Row, standing: set[str]) -> bool:
    """By then everything up to floor 05 is made; above it only the fire riser of shaft S1."""
    ends = [joint[s].partition("/")[0] for s in ("stub_a", "stub_b") if joint[s]]
    if not all(end in standing for end in ends):
        return False
    if joint["joint"] in ("A06-FR1", "A06-06-FR", "A07-06-FR"):
        return True
    return all(building == "P" or floor <= "05" for building, floor in job.floors_of(joint))


def _worked(job: Job, made: list[Row], day: str) -> list[Statement]:
    """Made by two crews, inspected by the engineer up to floor 04, released and covered on the podium."""
    said = []
    for number, crew in enumerate(CREWS):
        names = job.connections_of(made[number :: len(CREWS)])
        said.append(Statement(f"{day}T1{number}:00:00Z", "made", FOREMAN, names, {"crew": crew}))
    lower = [row for row in made if all(b == "P" or f <= "04" for b, f in job.floors_of(row))]
    said.append(
        Statement(f"{day}T12:00:00Z", "inspected", ENGINEER, job.connections_of(lower), {"passed": True})
    )
    podium = job.connections_of(row for row in lower if {b for b, _ in job.floors_of(row)} == {"P"})
    said += [
        Statement(f"{day}T13:{n % 60:02d}:00Z", "released", COMMISSIONING_LEAD, (name,), {"number": n + 1})
        for n, name in enumerate(podium[:12])
    ]
    said.append(
        Statement(f"{day}T14:00:00Z", "covered", FOREMAN, podium[:8], {"behind": "ceiling of floor P/01"})
    )
    return said


def _finished(job: Job) -> list[Statement]:
    """What was wrong on site is put right, the rest is placed, made, inspected and released."""
    said = [statement for remedy in REMEDIES.values() for statement in remedy]
    rest = [row for row in job.parts if not _stands(row, "07")]
    said += _placed("2031-03-24T12:00:00Z", rest, {})
    standing = {row["part"] for row in job.parts if _stands(row, "07")}
    caps = (*_waiting(job, standing), WAITING_WITHOUT_CAP)
    said.append(Statement("2031-03-24T13:00:00Z", "uncapped", FOREMAN, caps))
    done = set(NOT_YET_MADE)
    left = [row for row in job.joints if not _is_made(job, row, standing)]
    made = tuple(name for name in job.connections_of(left) if name not in done)
    everything = job.connections_of(job.joints)
    said += [
        Statement("2031-04-04T12:00:00Z", "made", FOREMAN, made, {"crew": CREWS[1]}),
        Statement("2031-04-07T12:00:00Z", "inspected", ENGINEER, everything, {"passed": True}),
    ]
    return said


def jsonl(statements: Iterable[Statement]) -> str:
    """Statements as lines of JSON."""
    return "".join(statement.line() + "\n" for statement in statements)
