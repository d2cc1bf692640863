# SPDX-License-Identifier: Apache-2.0
"""All ways to spoil a faultless tower, several at once, and what the program says of the result."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path

from benchmarks.spoilable import Clash, Files, Job, Spoilt, Target
from benchmarks.spoilt_joints import SPOILINGS as OF_JOINTS
from benchmarks.spoilt_layout import SPOILINGS as OF_LAYOUT
from benchmarks.tower import tower, tower_files
from riser.project import read_contents
from riser.records import State
from riser.rules import Rules, choose_rules
from riser.work.check import CheckResult, check
from riser.work.job import Job as OpenedJob

SPOILINGS = {spoiling.__name__: spoiling for spoiling in (*OF_JOINTS, *OF_LAYOUT)}
# One thing to spoil: the name of a kind, and a number that picks one of its places.
Pick = tuple[str, int]


def tower_job(floors: int, modules_per_floor: int) -> Job:
    """A faultless tower, ready to be spoilt."""
    return Job(tower_files(tower(floors, modules_per_floor)))


def targets(job: Job) -> dict[str, list[Target]]:
    """Every place of a job at which a fault of each kind can be made; kinds without a place are left out."""
    found = {name: list(spoiling(job)) for name, spoiling in SPOILINGS.items()}
    return {name: places for name, places in found.items() if places}


def by_joint(places: Mapping[str, list[Target]]) -> dict[str, list[Target]]:
    """For each joint everything that can be spoilt about it."""
    found: dict[str, list[Target]] = defaultdict(list)
    for each in places.values():
        for target in each:
            for joint in sorted(target.joints):
                found[joint].append(target)
    return found


def spoilt_apart(
    job: Job, places: Mapping[str, list[Target]], picks: Iterable[Pick]
) -> tuple[Files, list[Target]]:
    """The files with everything picked spoilt, but for what would come within a joint of what is spoilt."""
    spoilt, taken, chosen = Spoilt(job), set[str](), list[Target]()
    for kind, number in picks:
        target = places[kind][number % len(places[kind])]
        if not target.joints & taken:
            target.spoil(spoilt)
            taken |= target.joints
            chosen.append(target)
    return spoilt.files(), chosen


def spoilt_together(job: Job, wanted: Iterable[Target]) -> tuple[Files, list[Target]]:
    """The files with these spoilt one over the other, but for those of which nothing would be left."""
    standing, chosen = Spoilt(job), list[Target]()
    for target in wanted:
        tried = standing.copy()
        try:
            target.spoil(tried)
        except Clash:
            continue
        standing = tried
        chosen.append(target)
    return standing.files(), chosen


def checked(files: Files) -> CheckResult:
    """What the program says of a job that lies nowhere. Towers have no amendments of their own."""
    tables = read_contents({name: text.encode() for name, text in files.items()})
    rules = _rules(tuple(sorted(tables.settings["rules"].items())))
    return check(OpenedJob(Path("tower"), tables, rules, State(), ""))


@cache
def _rules(chosen: tuple[tuple[str, str], ...]) -> Rules:
    """The rule sets of a job, read once for all towers."""
    return choose_rules({"rules": dict(chosen)}, {})
