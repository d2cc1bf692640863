# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

import time
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riser.records import Line, State, Store, standing_events, state_of
from riser.records.line import NO_LINE

SURVEY = {"x_m": 1.0, "y_m": 2.0, "z_m": 3.0, "uncertainty_m": 0.002}


def line(sequence: int, kind: str, about: str = "", data: dict[str, Any] | None = None, **more: Any) -> Line:
    fields: dict[str, Any] = {
        "sequence": sequence,
        "time": f"2031-05-04T09:{sequence // 60 % 60:02}:{sequence % 60:02}Z",
        "device_time": None,
        "author": "F. Foreman",
        "author_known": "stated",
        "kind": kind,
        "about": about,
        "data": data or {},
        "replaces": None,
        "reason": "",
        "revision": None,
        "entry_key": str(sequence),
        "previous": NO_LINE,
        "hash": NO_LINE,
    }
    return Line(**{**fields, **more})


def test_no_lines_are_an_empty_state() -> None:
    assert state_of([]) == State()
    assert state_of([]).latest_revision is None


def test_parts_stand_with_their_revision_as_built_until_an_alteration_is_recorded() -> None:
    state = state_of(
        [
            line(1, "placed", "M01", {"type_revision": "A"}),
            line(2, "placed", "M02", {"type_revision": "A"}, author="X"),
            line(3, "altered", "M01", {"type_revision": "B"}),
            line(4, "altered", "M99", {"type_revision": "C"}),
        ]
    )
    one, two = state.placed["M01"], state.placed["M02"]
    assert (one.type_revision, one.time, one.by, len(one.alterations)) == (
        "B",
        "2031-05-04T09:00:01Z",
        "F. Foreman",
        1,
    )
    assert (two.type_revision, two.by) == ("A", "X")
    assert list(state.altered) == ["M01", "M99"]
    assert "M99" not in state.placed


def test_a_cap_is_on_until_it_is_taken_off() -> None:
    lines = [
        line(1, "capped", "S1"),
        line(2, "capped", "S2"),
        line(3, "uncapped", "S1"),
        line(4, "uncapped", "S9"),
    ]
    assert list(state_of(lines).capped) == ["S2"]
    assert list(state_of(lines[:2]).capped) == ["S1", "S2"]


def test_a_connection_keeps_all_that_was_recorded_about_it() -> None:
    kinds = ["made", "inspected", "released", "covered", "opened", "made"]
    lines = [
        line(n, kind, "C1", {"passed": True} if kind == "inspected" else {})
        for n, kind in enumerate(kinds, 1)
    ]

    def states() -> Iterator[tuple[bool, bool, bool, bool]]:
        for number in range(1, len(lines) + 1):
            c = state_of(lines[:number]).connections["C1"]
            yield c.is_made, c.is_inspected, c.is_released, c.is_covered

    assert list(states()) == [
        (True, False, False, False),
        (True, True, False, False),
        (True, True, True, False),
        (True, True, True, True),
        (True, True, False, False),
        (True, False, False, False),
    ]
    assert [event.line for event in state_of(lines).connections["C1"].made] == [1, 6]


def test_a_failed_inspection_stays_visible_and_is_no_inspection() -> None:
    lines = [line(1, "made", "C1"), line(2, "inspected", "C1", {"passed": False})]
    connection = state_of(lines).connections["C1"]
    assert not connection.is_inspected
    assert len(connection.inspected) == 1


def test_covered_is_recorded_with_or_without_a_release() -> None:
    connection = state_of([line(1, "covered", "C1")]).connections["C1"]
    assert (connection.is_covered, connection.is_released, connection.is_made) == (True, False, False)


def test_the_latest_measuring_time_holds_and_all_measurements_are_kept() -> None:
    at = [
        "2031-05-04T08:00+00:00",
        "2031-05-04T09:30+02:00",  # earlier than the first, though its text sorts after it
        "2031-05-04T10:00+02:00",  # the same moment as the first: the later line holds
    ]
    lines = [
        line(n, "measured", "S1", {**SURVEY, "x_m": n, "measured_at": time}) for n, time in enumerate(at, 1)
    ]
    assert state_of(lines[:2]).measured["S1"].line == 1
    state = state_of(lines)
    assert state.measured["S1"].x_m == 3
    assert [m.x_m for m in state.measurements["S1"]] == [1, 2, 3]


def test_without_a_measuring_time_the_devices_time_counts_and_then_the_servers() -> None:
    lines = [
        line(1, "measured", "S1", SURVEY),
        line(2, "measured", "S1", SURVEY, device_time="2031-05-04T07:00+00:00"),
    ]
    assert state_of(lines).measured["S1"].line == 1
    assert [m.measured_at for m in state_of(lines).measurements["S1"]] == [
        "2031-05-04T09:00:01Z",
        "2031-05-04T07:00+00:00",
    ]


def test_an_acceptance_names_reason_author_and_what_it_rests_on() -> None:
    data = {"finding": "J01:C1", "rests_on": {"C1": "ab"}}
    state = state_of(
        [
            line(1, "accepted", "J01:C1", data, reason="by design"),
            line(2, "accepted", "J01:C1", data, reason="again"),
        ]
    )
    held = state.accepted["J01:C1"]
    assert (held.reason, held.by, dict(held.rests_on), held.line) == ("again", "F. Foreman", {"C1": "ab"}, 2)


def test_a_confirmed_rule_row_is_the_last_word_until_it_is_withdrawn() -> None:
    row, figures = "code:drains:4 in", {"load": "180 dfu"}
    lines = [
        line(1, "confirmed", row, {"evidence": "first print", "figures": figures}),
        line(2, "confirmed", row, {"evidence": "second print", "figures": figures}),
    ]
    held = state_of(lines).confirmed[row]
    assert (held.evidence, held.by, held.line) == ("second print", "F. Foreman", 2)
    assert dict(held.figures) == figures
    lines += [
        line(3, "correction", "", {"withdrawn": True}, replaces=1, reason="wrong page"),
        line(4, "correction", "", {"withdrawn": True}, replaces=2, reason="wrong page"),
    ]
    assert state_of(lines).confirmed == {}


def test_revisions_are_found_by_number_and_the_last_one_taken_is_the_latest() -> None:
    lines = [
        line(1, "revision", "", {"number": 1, "contents": {"parts.csv": "ab"}, "note": "first"}),
        line(2, "revision", "", {"number": 2, "contents": {"parts.csv": "cd"}}),
    ]
    state = state_of(lines)
    assert (state.revisions[1].note, state.revisions[1].contents["parts.csv"]) == ("first", "ab")
    assert state.latest_revision == state.revisions[2]


def test_photos_and_test_events_are_kept_with_their_thing() -> None:
    lines = [
        line(1, "photo", "C1", {"content": "ab"}),
        line(2, "filling", "T1"),
        line(3, "reading", "T1", {"kpa": 3}),
    ]
    state = state_of(lines)
    assert [event.kind for event in state.tests["T1"]] == ["filling", "reading"]
    assert [event.kind for event in state.attached["C1"]] == ["photo"]


def test_a_full_replacement_stands_at_the_place_of_the_old_line_and_the_old_one_stays_visible() -> None:
    lines = [
        line(1, "made", "C1"),
        line(2, "opened", "C2"),
        line(3, "made", "C2", replaces=1, reason="wrong id", author="E. Engineer"),
    ]
    state = state_of(lines)
    assert "C1" not in state.connections
    event = state.connections["C2"].made[0]
    assert (event.place, event.line, event.by, event.time) == (1, 3, "E. Engineer", "2031-05-04T09:00:03Z")
    assert [old.sequence for old in state.history["C1"]] == [1]
    assert state.replaced == {1: 3}
    assert state.lines == 3


def test_a_correction_keeps_who_and_when_and_changes_only_the_fields_it_names() -> None:
    lines = [
        line(1, "measured", "S1", {**SURVEY, "instrument": "T7"}),
        line(2, "correction", "S1", {"fields": {"x_m": 1.5}}, replaces=1, reason="typed wrongly", author="X"),
        line(3, "correction", "S1", {"fields": {"y_m": 9}}, replaces=2, reason="that too", author="Y"),
    ]
    held = state_of(lines).measured["S1"]
    assert (held.x_m, held.y_m, held.z_m, held.instrument, held.by, held.line) == (
        1.5,
        9,
        3.0,
        "T7",
        "F. Foreman",
        3,
    )
    assert len(state_of(lines).measurements["S1"]) == 1


def test_a_withdrawn_line_does_not_stand_until_a_correction_brings_it_back() -> None:
    lines = [
        line(1, "made", "C1", {"crew": "one"}),
        line(2, "correction", "C1", {"withdrawn": True}, replaces=1, reason="slip"),
        line(3, "correction", "C1", {"fields": {"crew": "two"}}, replaces=2, reason="no slip"),
    ]
    assert state_of(lines[:2]).connections == {}
    assert state_of(lines).connections["C1"].made[0].data == {"crew": "two"}


def test_the_order_of_lines_decides_and_not_their_times() -> None:
    lines = [
        line(1, "capped", "S1", time="2031-05-04T09:00:00Z"),
        line(2, "uncapped", "S1", time="2031-05-02T09:00:00Z"),
    ]
    assert state_of(lines).capped == {}


def test_a_line_of_a_kind_from_a_newer_riser_changes_nothing_and_stays_visible() -> None:
    state = state_of([line(1, "teleported", "M01")])
    assert list(state.history) == ["M01"]
    assert state.placed == {}


KINDS = st.sampled_from(["made", "covered", "opened", "capped", "uncapped", "placed"])


@settings(max_examples=50, deadline=None)
@given(st.lists(st.tuples(KINDS, st.sampled_from("AB"), st.integers(0, 8)), max_size=12))
def test_the_state_is_that_of_the_lines_as_if_each_had_been_right_at_once(
    chosen: list[tuple[str, str, int]],
) -> None:
    """Replacing lines one by one gives the state of the list in which each stands corrected at once."""
    lines: list[Line] = []
    right: dict[int, Line] = {}
    latest: dict[int, int] = {}
    for sequence, (kind, about, back) in enumerate(chosen, start=1):
        target = sequence - back
        data = {"type_revision": str(sequence)} if kind == "placed" else {}
        place = next((p for p, last in latest.items() if last == target), None)
        if back and place is not None and right[place].kind == kind:
            lines.append(line(sequence, kind, about, data, replaces=target, reason="r"))
        else:
            place = sequence
            lines.append(line(sequence, kind, about, data))
        latest[place] = sequence
        right[place] = line(place, kind, about, data)
    expected = [(e.place, e.kind, e.about, e.data) for e in standing_events(right[p] for p in sorted(right))]
    assert [(e.place, e.kind, e.about, e.data) for e in standing_events(lines)] == expected
    assert list(state_of(lines).capped) == list(state_of([right[p] for p in sorted(right)]).capped)


def test_the_lines_are_read_once(filled: Store) -> None:
    lines = list(filled.lines())
    once = iter(lines)
    assert state_of(once) == state_of(lines)
    assert next(once, None) is None


def test_the_state_of_a_store_is_that_of_its_lines(filled: Store) -> None:
    state = state_of(filled.lines())
    assert list(state.connections) == ["C1", "C2", "C3", "C4"]
    assert state.connections["C1"].is_covered
    assert state.placed["M01"].type_revision == "A"
    assert state.latest_revision is not None
    assert filled.content(state.latest_revision.contents["parts.csv"]) == b"part,type\n"
    assert [each.kind for each in state.history["C5"]] == ["made", "correction"]


@pytest.mark.soak
def test_a_million_lines_are_added_up_in_time_that_grows_with_their_number() -> None:
    seconds = {}
    for number in (100_000, 1_000_000):
        lines = [line(1, "made", "C0")]
        lines += [
            line(n, "correction", "C0", {"fields": {"crew": "x"}}, replaces=n - 1, reason="r")
            if n % 2
            else line(n, "made", f"C{n % 5000}")
            for n in range(2, number + 1)
        ]
        started = time.perf_counter()
        state_of(lines)
        seconds[number] = time.perf_counter() - started
    assert seconds[1_000_000] < 25 * seconds[100_000]
