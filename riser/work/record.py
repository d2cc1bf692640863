# SPDX-License-Identifier: Apache-2.0
"""Recording: what somebody says happened becomes lines of the records, checked against the job."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from riser.errors import InputError, InputErrors
from riser.records import Entry, Line
from riser.work.check import check
from riser.work.ids import TYPED, connections_named, part_named, stub_named, unknown
from riser.work.job import Job, writing_store

CONNECTION_KINDS = ("made", "inspected", "released", "covered", "opened")
STUB_KINDS = ("capped", "uncapped", "measured")
PART_KINDS = ("placed", "altered")


@dataclass(frozen=True)
class Recorded:
    """The lines that were added, and what the recorder should know about them."""

    lines: list[Line]
    warnings: list[str]


@dataclass(frozen=True)
class Said:
    """What somebody wants recorded, as typed."""

    kind: str
    about: str
    by: str
    reason: str = ""
    data: Mapping[str, Any] | None = None
    device_time: str | None = None
    replaces: int | None = None
    entry_key: str = ""
    author_known: str = "stated"


def record(job: Job, said: Said) -> Recorded:
    """Add the lines for what was said. A joint id stands for all its connections, all or none of them.

    Raises InputErrors for an id the job does not have, and RecordError where the records refuse the entry.
    """
    entries = _entries(job, said)
    with writing_store(job.records) as store:
        lines = store.append(entries)
    return Recorded(lines, _warnings(job, said))


def _entry(job: Job, said: Said, about: str, data: Mapping[str, Any], number: int = 0) -> Entry:
    revision = job.state.latest_revision
    key = {"entry_key": f"{said.entry_key}.{number}" if number else said.entry_key} if said.entry_key else {}
    return Entry(
        kind=said.kind,
        about=about,
        author=said.by,
        author_known=said.author_known,
        data={**data, **(said.data or {})},
        device_time=said.device_time,
        replaces=said.replaces,
        reason=said.reason,
        revision=None if revision is None else revision.number,
        **key,
    )


def _entries(job: Job, said: Said) -> list[Entry]:
    if said.kind in PART_KINDS:
        return [_entry(job, said, said.about, _part_data(job, said.about))]
    if said.kind in STUB_KINDS:
        stub_named(job.design, said.about)
        return [_entry(job, said, said.about, {})]
    if said.kind in CONNECTION_KINDS:
        default = {"passed": True} if said.kind == "inspected" else {}
        names = connections_named(job.design, said.about)
        return [_entry(job, said, name, default, n) for n, name in enumerate(names)]
    if said.kind == "accepted":
        return [_accepted(job, said)]
    return [_entry(job, said, said.about, {})]


def _part_data(job: Job, part: str) -> dict[str, Any]:
    """The type and revision parts.csv draws now: what a part placed today is taken to be built to."""
    placed = job.design.placed
    type_name, revision = placed.types.keys[int(placed.part_type[part_named(job.design, part)])]
    return {"type": type_name, "type_revision": revision}


def _accepted(job: Job, said: Said) -> Entry:
    """An acceptance rests on the hashes of today's items."""
    findings = {f.key: f for site in (False, True) for f in check(job, site=site).findings}
    if said.about not in findings:
        raise unknown(
            "finding", said.about, list(findings), "the key of a finding, as `riser check` shows it"
        )
    finding = findings[said.about]
    if finding.because is not None:
        error = InputError(
            TYPED,
            None,
            "finding",
            repr(said.about),
            "a root finding",
            f"Accept its cause, {finding.because}.",
        )
        raise InputErrors([error])
    return _entry(job, said, said.about, {"finding": said.about, "rests_on": dict(finding.rests_on)})


def _warnings(job: Job, said: Said) -> list[str]:
    """What does not forbid the line but should be known: facts are always recorded."""
    state, warnings = job.state, []
    if said.kind == "placed" and said.about in state.placed:
        warnings.append(f"{said.about} was already recorded as placed.")
    if said.kind == "covered":
        names = connections_named(job.design, said.about)
        open_ = [n for n in names if n not in state.connections or not state.connections[n].is_released]
        if open_:
            warnings.append(
                f"{', '.join(open_)}: covered without a release; this is a finding until put right."
            )
    return warnings
