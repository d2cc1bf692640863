# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

from typing import Any

import pytest

from riser.errors import RecordError
from riser.records import KINDS, Entry, Store
from riser.records.errors import WrongEntry
from riser.records.kinds import check_entry, contents_named
from riser.records.state import STEPS, TEST_KINDS

HASH = "ab" * 32


def test_all_kinds_of_the_job_are_there_with_a_meaning() -> None:
    wanted = {
        *("revision", "placed", "capped", "uncapped", "made", "inspected", "covered", "opened", "released"),
        *("accepted", "altered", "confirmed", "measured", "photo", "attachment", "correction", "key", "mark"),
        *("test planned", "permit", "filling", "settling", "holding", "reading", "ended", "judged"),
        *("witnessed", "waived"),
    }
    assert set(KINDS) == wanted
    for kind in KINDS.values():
        assert kind.meaning.endswith("."), kind.name


def test_every_kind_has_a_step_or_changes_no_state_on_purpose() -> None:
    assert set(KINDS) - set(STEPS) == {"correction", "key", "mark"}
    assert set(TEST_KINDS) == {kind.name for kind in KINDS.values() if kind.open_data}


def test_an_unknown_kind_is_refused_naming_the_kinds() -> None:
    with pytest.raises(WrongEntry, match=r"no record kind 'mad'. Kinds: revision, placed") as refused:
        check_entry(Entry("mad", "C1", "F. Foreman"))
    assert isinstance(refused.value, RecordError)


@pytest.mark.parametrize(
    ("entry", "says"),
    [
        (Entry("made", "C1", ""), "nobody is named"),
        (Entry("made", "C1", "F", "guessed"), "One of: stated, signed in, signed on glass, device"),
        (Entry("made", "", "F"), "Give the id of the connection"),
        (Entry("placed", "M1", "F"), r"type_revision is missing. Must have: type_revision \(text\)"),
        (
            Entry("made", "C1", "F", data={"colour": "red"}),
            "no field 'colour'. Must have: none. May have: crew",
        ),
        (Entry("inspected", "C1", "F", data={"passed": 1}), "passed is 1. Give true or false"),
        (Entry("released", "C1", "F", data={"number": True}), "whole number"),
        (Entry("made", "C1", "F", data={"crew": " "}), "Give text"),
        (Entry("accepted", "J01:C1", "F", data={"finding": "J01:C1", "rests_on": {}}), "needs a reason"),
        (Entry("made", "C1", "F", replaces=3), "needs a reason"),
        (
            Entry("made", "C1", "F", device_time="11:30"),
            "device_time is '11:30'. Give a time with its offset",
        ),
        (Entry("made", "C1", "F", revision=-1), "not a whole number"),
        (Entry("made", "C\x00", "F"), "control character"),
        (Entry("made", "C1", "F" * 201), "author is longer than 200"),
        (Entry("made", "C" * 501, "F"), "about is longer than 500"),
        (Entry("made", "C1", "F", entry_key=""), "entry key is empty"),
        (Entry("mark", "C1", "F"), "not about a thing"),
        (Entry("correction", "C1", "F", reason="x", data={"fields": {}}), "names no line"),
        (Entry("correction", "C1", "F", reason="x", replaces=1), "either fields"),
        (
            Entry("correction", "C1", "F", reason="x", replaces=1, data={"fields": {}, "withdrawn": True}),
            "either fields",
        ),
        (Entry("made", "C1", "F", data=[("a", 1)]), "Give named values"),  # type: ignore[arg-type]
    ],
)
def test_a_wrong_entry_is_refused_saying_what_is_allowed(entry: Entry, says: str) -> None:
    with pytest.raises(WrongEntry, match=says):
        check_entry(entry)


STUB = {"x_m": 1.0, "y_m": 2, "z_m": 3.5, "uncertainty_m": 0.002}


@pytest.mark.parametrize(
    "change", [{"uncertainty_m": -0.1}, {"x_m": "1"}, {"x_m": True}, {"measured_at": "noon"}]
)
def test_a_measurement_needs_numbers_in_metres_and_a_time_with_offset(change: dict[str, Any]) -> None:
    good = Entry("measured", "M1/S1", "S. Surveyor", data={**STUB, "measured_at": "2031-05-04T07:10+08:00"})
    check_entry(good)
    with pytest.raises(WrongEntry):
        check_entry(Entry("measured", "M1/S1", "S. Surveyor", data={**STUB, **change}))


def test_an_acceptance_may_be_about_a_thing_or_not() -> None:
    data = {"finding": "J01:C1", "rests_on": {"C1": "ab"}}
    check_entry(Entry("accepted", "", "E. Engineer", data=data, reason="by design"))
    check_entry(Entry("accepted", "C1", "E. Engineer", data=data, reason="by design"))


def test_the_longest_texts_fit_the_database(store: Store) -> None:
    store.append([Entry("made", "\U00020000" * 500, "F" * 200, entry_key="\U00020000" * 500)])
    assert store.line_with_key("\U00020000" * 500) == store.lines_about("\U00020000" * 500)[0]


def test_names_and_reasons_may_be_written_in_any_script() -> None:
    check_entry(Entry("opened", "接头-07", "施工员\u3000甲", reason="漏水\nsecond row"))


def test_kinds_of_tests_take_any_named_values_and_all_kinds_take_notes_and_details() -> None:
    check_entry(Entry("reading", "T1", "C. Lead", data={"gauge": "G1", "pressure_pa": 600_000.0}))
    check_entry(Entry("made", "C1", "F", data={"note": "n", "photos": [HASH], "details": {"torque_nm": 9}}))


def test_the_contents_that_a_line_names_are_found_wherever_they_stand() -> None:
    assert list(contents_named("photo", {"content": HASH})) == [HASH]
    assert list(contents_named("revision", {"number": 1, "contents": {"a": HASH}})) == [HASH]
    assert list(contents_named("made", {"photos": [HASH, HASH]})) == [HASH, HASH]
    assert list(contents_named("correction", {"fields": {"photos": [HASH]}})) == [HASH]
    assert list(contents_named("made", {"crew": HASH})) == []
    assert list(contents_named("nothing known", {"content": HASH})) == []
