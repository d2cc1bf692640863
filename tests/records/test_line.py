# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

import json
import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riser.records import Entry
from riser.records.errors import WrongEntry
from riser.records.line import (
    NO_LINE,
    canonical_bytes,
    hash_of,
    is_same_content,
    json_object,
    line_bytes,
    line_from_bytes,
)

NUMBERS = st.integers(-(2**53) + 1, 2**53 - 1) | st.floats(allow_nan=False, allow_infinity=False).filter(
    lambda x: abs(x) < 2**53 - 1 or abs(x) >= 1e21
)
VALUES = st.recursive(
    st.none() | st.booleans() | NUMBERS | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
    max_leaves=12,
)


def test_canonical_bytes_are_those_of_the_rfc_8785_sample() -> None:
    # RFC 8785 (2020), sections 3.2.2 and 3.2.3, the sample object and its canonical form; from memory.
    sample = json.loads(
        r'{"numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],'
        r' "string": "\u20ac$\u000F\u000aA\u0027\u0042\u0022\u005c\\\"\/", "literals": [null, true, false]}'
    )
    assert canonical_bytes(sample).decode() == (
        r'{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],'
        r'"string":"€$\u000f\nA' + "'" + r'B\"\\\\\"/"}'
    )


def test_keys_are_sorted_by_utf_16_code_units() -> None:
    # RFC 8785 section 3.2.3: U+1F600 is written with surrogates D83D DE00 and so comes before U+FB33.
    assert canonical_bytes({"\ufb33": 1, "\U0001f600": 2, "\r": 3, "1": 4}).decode() == (
        '{"\\r":3,"1":4,"\U0001f600":2,"\ufb33":1}'
    )


@pytest.mark.parametrize(
    ("number", "text"), [(1034.0, "1034"), (-0.0, "0"), (1e21, "1e+21"), (5e-324, "5e-324"), (0.1, "0.1")]
)
def test_numbers_are_written_as_ecmascript_writes_them(number: float, text: str) -> None:
    assert canonical_bytes(number).decode() == text


@pytest.mark.parametrize(
    "value",
    [math.nan, math.inf, 2**53, -(2**53), float(2**53), 1e20, "\ud800", {1: 2}, {"a": b"x"}, {"a": {2}}],
)
def test_what_i_json_cannot_carry_is_refused(value: Any) -> None:
    with pytest.raises(WrongEntry):
        canonical_bytes({"data": value})


def test_an_error_names_the_place_in_the_data() -> None:
    with pytest.raises(WrongEntry, match=r"data\.gauge\[1\]\.kpa: nan is not a number"):
        canonical_bytes({"data": {"gauge": [1, {"kpa": math.nan}]}})


def test_too_deep_data_are_refused() -> None:
    deep: dict[str, Any] = {}
    for _ in range(40):
        deep = {"d": deep}
    with pytest.raises(WrongEntry, match="deep"):
        canonical_bytes(deep)


@pytest.mark.parametrize("text", [b'{"a":1,"a":2}', b'{"a":NaN}', b"[1]", b"\xff", b'{"a":{"b":1,"b":1}}'])
def test_reading_refuses_double_keys_and_what_is_not_a_json_object(text: bytes) -> None:
    with pytest.raises(ValueError):  # noqa: PT011  (the sort of error is the requirement)
        json_object(text)


@settings(max_examples=60, deadline=None)
@given(VALUES)
def test_canonical_bytes_read_back_equal_and_are_written_the_same_again(value: Any) -> None:
    written = canonical_bytes({"v": value})
    read = json_object(written)["v"]
    assert read == value
    assert canonical_bytes({"v": read}) == written


@settings(max_examples=40, deadline=None)
@given(st.dictionaries(st.text(), VALUES, max_size=4), st.text(min_size=1, max_size=20))
def test_a_line_reads_back_as_its_entry_with_the_hash_of_its_bytes(data: dict[str, Any], reason: str) -> None:
    entry = Entry("reading", "T1", "C. Lead", "device", data, "2031-05-04T11:00+02:00", 3, reason, 7, "k")
    body = line_bytes(entry, 9, "2031-05-04T09:00:00Z", NO_LINE)
    line = line_from_bytes(body)
    assert (line.sequence, line.data, line.reason, line.replaces, line.revision) == (9, data, reason, 3, 7)
    assert line.hash == hash_of(body)
    assert is_same_content(entry, body)


def test_every_field_of_an_entry_counts_for_being_the_same() -> None:
    entry = Entry("made", "C1", "F. Foreman", "stated", {"crew": "one"}, None, 3, "why", 1, "k")
    body = line_bytes(entry, 9, "2031-05-04T09:00:00Z", NO_LINE)
    others: list[dict[str, Any]] = [
        {"kind": "covered"},
        {"about": "C2"},
        {"author": "X"},
        {"author_known": "device"},
        {"data": {"crew": "two"}},
        {"device_time": "2031-05-04T11:00Z"},
        {"replaces": 4},
        {"reason": "other"},
        {"revision": 2},
    ]
    fields = {name: getattr(entry, name) for name in Entry.__slots__}
    assert {name for other in others for name in other} == set(fields) - {"entry_key"}
    for other in others:
        assert not is_same_content(Entry(**{**fields, **other}), body), other


@pytest.mark.parametrize("body", [b"{}", b'{"form":2}', b'{"form":1,"x":1}', b"no"])
def test_bytes_that_are_not_a_line_are_a_value_error(body: bytes) -> None:
    with pytest.raises(ValueError):  # noqa: PT011  (the sort of error is the requirement)
        line_from_bytes(body)


def test_entries_without_a_key_of_their_own_are_all_different() -> None:
    assert Entry("made", "C1").entry_key != Entry("made", "C1").entry_key


@pytest.mark.soak
@settings(max_examples=100_000, deadline=None)
@given(st.floats(allow_nan=False, allow_infinity=False))
def test_a_hundred_thousand_doubles_read_back_bit_for_bit(number: float) -> None:
    try:
        written = canonical_bytes({"n": number})
    except WrongEntry:
        assert 2**53 - 1 < abs(number) < 1e21
        return
    read = float(json_object(written)["n"])
    assert (read, math.copysign(1, read)) == (number, math.copysign(1, number) if number else 1.0)
