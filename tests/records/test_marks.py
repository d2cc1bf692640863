# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

import random
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riser.errors import RecordError
from riser.records import (
    Entry,
    Mark,
    Store,
    latest_mark,
    mark_entry,
    mark_from_json,
    mark_from_text,
    mark_text,
    utc_now,
    verify,
)
from riser.records.errors import MarkUnreadable

HEX32 = st.binary(min_size=32, max_size=32).map(bytes.hex)
MARKS = st.builds(
    Mark,
    sequence=st.integers(1, 10**9),
    hash=HEX32,
    time=st.sampled_from(["2031-05-04T09:00:00Z", "2031-12-31T23:59:59.999Z"]),
    public_key=HEX32,
    signature=st.binary(min_size=64, max_size=64).map(bytes.hex),
)
ONE = Mark(1207, "9f" * 32, "2031-05-04T09:00:00.125Z", "07" * 32, "c4" * 64)


def test_a_mark_names_the_newest_line_and_holds_while_lines_are_added(filled: Store, key: Path) -> None:
    mark = latest_mark(filled, key, utc_now)
    assert (mark.sequence, mark.hash) == filled.latest()
    filled.append([mark_entry(mark, author="Q. Lead", given_to="certificate 7")])
    filled.append([Entry("opened", "C1", "F. Foreman")])
    verification = verify(filled, [mark])
    assert (verification.is_whole, verification.marks_held, verification.lines) == (True, 1, 14)


def test_a_mark_needs_a_server_time(filled: Store, key: Path) -> None:
    with pytest.raises(RecordError, match="a server time is UTC"):
        latest_mark(filled, key, lambda: "today")


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"signature": "ab" * 64}, "forged"),
        ({"sequence": 5}, "forged"),
        ({"hash": "ab" * 32}, "forged"),
        ({"time": "2031-05-04T09:00:00Z"}, "forged"),
        ({"public_key": "ab" * 32}, "forged"),
    ],
)
def test_a_mark_with_any_field_changed_is_forged(
    filled: Store, key: Path, change: dict[str, object], says: str
) -> None:
    mark = replace(latest_mark(filled, key, utc_now), **change)  # type: ignore[arg-type]
    faults = verify(filled, [mark]).faults
    assert len(faults) == 1
    assert says in faults[0].what


def test_a_mark_by_a_key_that_no_line_names_is_refused(filled: Store, tmp_path: Path) -> None:
    from riser.records.keys import load_key, make_key
    from riser.records.marks import signed_text

    public_key = make_key(tmp_path / "stranger")
    sequence, digest = filled.latest()
    signature = load_key(tmp_path / "stranger").sign(signed_text(sequence, digest, "2031-05-04T09:00:00Z"))
    mark = Mark(sequence, digest, "2031-05-04T09:00:00Z", public_key, signature.hex())
    assert [fault.what for fault in verify(filled, [mark]).faults] == [
        "a mark for this line is signed with a key that no line names"
    ]


def test_a_mark_goes_through_json() -> None:
    assert mark_from_json(ONE.as_json()) == ONE


@pytest.mark.parametrize(
    "data", [{}, {"sequence": 1}, {**ONE.as_json(), "sequence": "1"}, {**ONE.as_json(), "x": 1}]
)
def test_json_that_is_no_mark_is_refused(data: dict[str, object]) -> None:
    with pytest.raises(MarkUnreadable, match="not a mark"):
        mark_from_json(data)


@settings(max_examples=40, deadline=None)
@given(MARKS)
def test_a_printed_mark_reads_back_in_any_case_and_spacing(mark: Mark) -> None:
    text = mark_text(mark)
    assert mark_from_text(text) == mark
    assert mark_from_text("\n\n" + text.lower().replace(" ", "  ").replace("\n", " \n\n") + "\n") == mark
    first, rest = text.split("\n", 1)
    assert mark_from_text(first + "\n" + rest.replace(" ", "-")) == mark
    assert mark_from_text(first + "\n" + rest.replace("1", "l").replace("0", "o")) == mark


def test_a_printed_mark_is_short_rows_of_letters_that_cannot_be_confused() -> None:
    first, *rows = mark_text(ONE).split("\n")
    assert first == "RISER MARK 1207 2031-05-04T09:00:00.125Z"
    assert len(rows) == 8
    for row in rows:
        assert len(row) <= 40
        assert not set(row) & set("ILOU")


@settings(max_examples=60, deadline=None)
@given(MARKS, st.randoms(use_true_random=False))
def test_a_slip_in_copying_is_found_in_its_row(mark: Mark, chance: random.Random) -> None:
    rows = mark_text(mark).split("\n")
    at = chance.randrange(1, len(rows))
    letters = [n for n, letter in enumerate(rows[at]) if letter != " "]
    place = chance.choice(letters[:25])
    other = chance.choice([c for c in "0123456789ABCDEFGHJKMNPQRSTVWXYZ" if c != rows[at][place]])
    # The 26th letter of a row carries three bits; the unused two may differ without saying anything else.
    rows[at] = rows[at][:place] + other + rows[at][place + 1 :]
    with pytest.raises(MarkUnreadable, match=f"row {at + 1} was copied wrongly"):
        mark_from_text("\n".join(rows))


@pytest.mark.parametrize(
    "spoil",
    [
        lambda rows: rows[1:],
        lambda rows: rows[:-1],
        lambda rows: [*rows, rows[-1]],
        lambda rows: [rows[0], rows[2], rows[1], *rows[3:]],
        lambda rows: [rows[0].replace("1207", "1208"), *rows[1:]],
        lambda rows: [rows[0].replace("1207", "0"), *rows[1:]],
        lambda _: [],
        lambda rows: [rows[0], "?? !!", *rows[2:]],
        lambda rows: [rows[0], "É" + rows[1][1:], *rows[2:]],
    ],
)
def test_rows_left_out_exchanged_or_changed_are_refused(spoil: object) -> None:
    rows = mark_text(ONE).split("\n")
    with pytest.raises(MarkUnreadable):
        mark_from_text("\n".join(spoil(rows)))  # type: ignore[operator]
