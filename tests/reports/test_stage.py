# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riser.records.state import State
from riser.reports.stage import RANK, Stage, Standing, worst

Said = tuple[str, str, dict[str, object]]
PASSED: dict[str, object] = {"passed": True}
REFUSED: dict[str, object] = {"passed": False}
MADE: Said = ("made", "J1.1", {})
LOOKED_AT = ("inspected", "J1.1", PASSED)
RELEASED = ("released", "J1.1", {"number": 1})
COVERED: Said = ("covered", "J1.1", {})


@pytest.mark.parametrize(
    ("said", "stage"),
    [
        ([], Stage.NOT_YET_SEEN),
        ([("inspected", "J1.1", PASSED)], Stage.NOT_YET_SEEN),
        ([MADE], Stage.MADE),
        ([MADE, ("inspected", "J1.1", REFUSED)], Stage.NOT_IN_ORDER),
        ([MADE, ("inspected", "J1.1", REFUSED), MADE], Stage.MADE),
        ([MADE, LOOKED_AT], Stage.INSPECTED),
        ([MADE, LOOKED_AT, RELEASED], Stage.RELEASED),
        ([MADE, LOOKED_AT, RELEASED, COVERED], Stage.COVERED),
        ([MADE, COVERED], Stage.MADE),
        ([COVERED], Stage.NOT_YET_SEEN),
        ([MADE, LOOKED_AT, RELEASED, COVERED, ("opened", "J1.1", {})], Stage.INSPECTED),
    ],
)
def test_a_stage_follows_from_the_records_and_nothing_is_taken_to_be_in_order(
    recorded: Callable[..., State], said: list[Said], stage: Stage
) -> None:
    assert Standing(recorded(*said)).stage("J1.1") is stage


def test_a_proof_counts_only_for_what_was_made(recorded: Callable[..., State]) -> None:
    proven = frozenset({"J1.1", "J2.1"})
    standing = Standing(recorded(MADE), proven)
    assert standing.stage("J1.1") is Stage.PROVEN
    assert standing.stage("J2.1") is Stage.NOT_YET_SEEN


def test_a_stale_proof_takes_back_release_and_cover(recorded: Callable[..., State]) -> None:
    standing = Standing(recorded(MADE, LOOKED_AT, RELEASED, COVERED), frozenset(), frozenset({"J1.1"}))
    assert standing.stage("J1.1") is Stage.STALE
    assert "proven" not in standing.facts("J1.1")


def test_covering_without_a_release_is_seen(recorded: Callable[..., State]) -> None:
    assert Standing(recorded(MADE, COVERED)).is_covered_unreleased("J1.1")
    assert not Standing(recorded(MADE, LOOKED_AT, RELEASED, COVERED)).is_covered_unreleased("J1.1")
    assert not Standing(recorded(MADE)).is_covered_unreleased("J1.1")


def test_a_photo_with_the_entry_or_on_its_own_counts_as_photographed(recorded: Callable[..., State]) -> None:
    hash_of_picture = "0" * 64
    with_entry = recorded(("made", "J1.1", {"photos": [hash_of_picture]}))
    on_its_own = recorded(MADE, ("photo", "J1.1", {"content": hash_of_picture}))
    for state in (with_entry, on_its_own):
        assert "photographed" in Standing(state).facts("J1.1")
    assert "photographed" not in Standing(recorded(MADE)).facts("J1.1")


def test_a_fact_of_the_jobs_own_is_recorded_as_a_detail_and_stands_for_no_fact_of_ours(
    recorded: Callable[..., State],
) -> None:
    details = {"sleeve stopped": True, "photos sent": False, "proven": True, "placed": True, "note": "x"}
    state = recorded(MADE, ("inspected", "J1.1", {"passed": True, "details": details}))
    assert Standing(state).facts("J1.1") == {"made", "inspected", "sleeve stopped"}
    taken_back = ("inspected", "J1.1", {"passed": True, "details": {"sleeve stopped": False}})
    again = recorded(MADE, ("made", "J1.1", {"details": {"sleeve stopped": True}}), taken_back)
    assert "sleeve stopped" not in Standing(again).facts("J1.1")


@settings(max_examples=40)
@given(st.lists(st.sampled_from(Stage), min_size=1))
def test_a_joint_shows_the_least_far_of_its_connections(stages: list[Stage]) -> None:
    assert RANK[worst(stages)] == min(RANK[stage] for stage in stages)
    assert worst([]) is Stage.NOT_YET_SEEN
