# SPDX-License-Identifier: Apache-2.0
"""What a sheet printed now stands for: revision of the files, day on site, newest record line."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from riser.project import content_hash, contents
from riser.work.job import Job, reading_store, store_exists


def day_on_site(job: Job) -> str:
    """Today in the job's time zone, as 2031-03-02."""
    zone = ZoneInfo(str(job.tables.settings.get("time_zone") or "UTC"))
    return datetime.now(zone).date().isoformat()


def revision_words(job: Job) -> str:
    """The latest revision's number; `changed since` where the files are no longer its content."""
    latest = job.state.latest_revision
    if latest is None:
        return "none taken"
    now = {name: content_hash(data) for name, data in contents(job.path).items()}
    return str(latest.number) if now == dict(latest.contents) else f"{latest.number}, files changed since"


def mark_words(job: Job) -> str:
    """Number and first digits of the newest record line; "" where nothing was recorded."""
    if not store_exists(job.records):
        return ""
    with reading_store(job.records) as store:
        sequence, digest = store.latest()
    return f"{sequence} {digest[:12]}" if sequence else ""
