# SPDX-License-Identifier: Apache-2.0
"""The table of roughness: every row sourced, every conflict shown."""

from __future__ import annotations

from riser.audit import Status
from riser.hydraulics.roughness import HAZEN_WILLIAMS_C, ROUGHNESS


def test_every_row_has_a_source_and_its_value_within_what_was_read() -> None:
    for row in ROUGHNESS:
        assert row.source, row.pipe
        assert 0 <= row.low_m <= row.used_m <= row.high_m < 0.005, row.pipe
    for c in HAZEN_WILLIAMS_C:
        assert c.source, c.pipe
        assert 80 <= c.low <= c.used <= c.high <= 160, c.pipe


def test_rows_whose_sources_differ_are_marked_as_conflict() -> None:
    for row in ROUGHNESS:
        assert (row.status is Status.CONFLICT) == (row.low_m < row.high_m), row.pipe
    for c in HAZEN_WILLIAMS_C:
        assert (c.status is Status.CONFLICT) == (c.low < c.high), c.pipe


def test_every_pipe_stands_once() -> None:
    assert len({row.pipe for row in ROUGHNESS}) == len(ROUGHNESS)
