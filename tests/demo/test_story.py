# SPDX-License-Identifier: Apache-2.0
"""The three states of the records, replayed on the demo, and its two revisions."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from demo_project.build import HOME
from demo_project.edits import rows_of
from demo_project.faults import Fault, planted_faults
from demo_project.records_replay import replay
from demo_project.records_story import BEFORE, FINISHED, FLOOR_7, STATES, state_file
from riser.records import Entry, open_store, verify
from riser.work.check import check
from riser.work.job import Job, open_job
from riser.work.revise import diff

FAULTS = planted_faults(HOME)
SITE_FAULTS = [fault for fault in FAULTS if fault.check == "site"]
JobAt = Callable[[str], Job]


@pytest.fixture(scope="module")
def job_at(tmp_path_factory: pytest.TempPathFactory) -> JobAt:
    """The demo with its records up to a state; each state is replayed once."""
    folder = tmp_path_factory.mktemp("records")
    jobs: dict[str, Job] = {}

    def job(state: str) -> Job:
        if state not in jobs:
            path = folder / f"{state}.sqlite"
            replay(HOME, state, path)
            jobs[state] = open_job(HOME, records=str(path))
        return jobs[state]

    return job


def site_roots(job: Job) -> set[str]:
    return {finding.key for finding in check(job, site=True).roots}


def say(records: Path, statements: list[dict[str, Any]]) -> None:
    """Add statements to records: an entry for each item they are about."""
    for said in statements:
        with open_store(records, clock=lambda: str(said["time"])) as store:  # noqa: B023  (used at once)
            store.append(
                [
                    Entry(said["kind"], about, said["author"], data=said.get("data", {}))
                    for about in said["about"]
                ]
            )


@pytest.mark.parametrize("state", STATES)
def test_on_site_nothing_is_found_but_planted_faults(job_at: JobAt, state: str) -> None:
    wanted = {fault.key for fault in SITE_FAULTS if fault.records == state}
    roots = site_roots(job_at(state))
    assert wanted <= roots
    assert roots - wanted <= {fault.key for fault in FAULTS if fault.check == "design"}


def test_before_the_first_lift_only_the_ground_stands_and_every_stub_up_is_capped(job_at: JobAt) -> None:
    job = job_at(BEFORE)
    assert list(job.state.placed) == ["BG"]
    stubs = {row["stub"] for row in rows_of((HOME / "survey.csv").read_text(encoding="utf-8"))[1]}
    assert set(job.state.capped) == stubs


def test_floor_07_of_tower_a_is_placed_and_no_floor_above_it(job_at: JobAt) -> None:
    placed = job_at(FLOOR_7).state.placed
    assert {f"A07-{n:02d}" for n in range(1, 13)} <= set(placed)
    assert not [name for name in placed if name.startswith(("A08", "A12", "ARF", "BRF"))]


def test_when_finished_everything_is_placed_made_and_inspected(job_at: JobAt) -> None:
    job = job_at(FINISHED)
    assert set(job.state.placed) == set(job.tables.parts["part"])
    connections = set(job.design.joints.connections.id.tolist())
    events = job.state.connections
    unseen = {name for name in connections if name not in events or not events[name].is_inspected}
    # What a planted fault adds to the schedule, or keeps out of it, was never made.
    assert unseen == {"A05-07/CWL+A05-09/CW.1", "A06-05-HW-X.1"}
    assert not job.state.capped


@pytest.mark.parametrize("fault", SITE_FAULTS, ids=lambda fault: fault.id)
def test_recording_what_was_missing_removes_one_site_fault_and_nothing_else(
    fault: Fault, job_at: JobAt, tmp_path: Path
) -> None:
    records = tmp_path / "now.sqlite"
    shutil.copy(job_at(FLOOR_7).records, records)
    say(records, [json.loads(edit.line) for edit in fault.edits])
    before = {f.key: f for f in check(job_at(FLOOR_7), site=True).findings}
    now = {f.key for f in check(open_job(HOME, records=str(records)), site=True).findings}
    its_own = {key for key, f in before.items() if fault.key in (key, f.because)}
    assert set(before) - now == its_own
    # Once A07-11 is altered to the drawing, what is wrong in that drawing stands on site too.
    assert now - set(before) <= {f.key for f in FAULTS if f.check == "design" and "A07-11" in f.key}


def test_the_records_are_whole(job_at: JobAt) -> None:
    with open_store(job_at(FINISHED).records) as store:
        assert verify(store).is_whole


def test_a_replay_gives_the_same_lines_every_time(tmp_path: Path) -> None:
    marks = []
    for name in ("one", "other"):
        replay(HOME, BEFORE, tmp_path / f"{name}.sqlite")
        with open_store(tmp_path / f"{name}.sqlite") as store:
            marks.append(store.latest())
    assert marks[0] == marks[1]


def test_revision_2_changed_a_kitchen_and_a_spool(job_at: JobAt) -> None:
    changed = {(d.table, d.key) for d in diff(job_at(FLOOR_7), "1", "2")}
    assert {key for table, key in changed if table == "parts"} == {("A07-11",)}
    assert {key for table, key in changed if table == "closures"} == {("A08-RW1", "2")}
    assert {table for table, _ in changed} == {"parts", "closures", "types", "nodes", "runs"}


@pytest.mark.parametrize("state", STATES)
def test_every_statement_is_about_something_that_exists(job_at: JobAt, state: str) -> None:
    assert not [key for key in site_roots(job_at(state)) if key.startswith(("R02", "R03"))]
    assert (HOME / state_file(state)).stat().st_size > 0
