# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

from riser.records import Entry, Store, standing_events
from riser.records.standing import event_of


def test_what_stands_comes_in_the_order_of_first_lines(filled: Store) -> None:
    events = standing_events(filled.lines())
    assert [event.place for event in events] == sorted(event.place for event in events)
    assert 8 not in {event.place for event in events}


def test_an_event_says_everything_that_its_line_says(store: Store) -> None:
    entry = Entry(
        "opened", "C1", "F", "device", {"note": "n"}, "2031-05-04T09:00+08:00", reason="leak", revision=4
    )
    line = store.append([entry])[0]
    event = event_of(line, line.sequence)
    for name in ("kind", "about", "time", "device_time", "data", "reason", "revision"):
        assert getattr(event, name) == getattr(line, name)
    assert (event.by, event.by_known, event.line, event.place) == ("F", "device", 1, 1)


def test_a_correction_of_a_line_that_is_not_there_changes_nothing(store: Store) -> None:
    store.append([Entry("made", "C1", "F"), Entry("made", "C2", "F")])
    store.append([Entry("correction", "C1", "F", data={"withdrawn": True}, replaces=1, reason="slip")])
    assert [event.about for event in standing_events(store.lines(after=1))] == ["C2"]
