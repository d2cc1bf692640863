# SPDX-License-Identifier: Apache-2.0
"""The kinds of record line: what each means, what it is about, and which data it must and may carry.

Adding a kind is adding a row here; how it changes the state of the job is said in `riser.records.state`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from riser.records.errors import WrongEntry
from riser.records.line import AUTHOR_KNOWN, WHOLE_MAX, Entry
from riser.records.times import is_time_with_offset

_HASH = re.compile(r"[0-9a-f]{64}")
_SIGNATURE = re.compile(r"[0-9a-f]{128}")
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f]")
LONGEST = {"about": 500, "entry_key": 500, "author": 200, "reason": 2000}
"""Characters that a text of an entry may have; PostgreSQL indexes no more than some 2700 bytes."""


@dataclass(frozen=True, slots=True)
class Form:
    """How a data field must look: in words, and as a test."""

    words: str
    holds: Callable[[Any], bool]


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _is_whole(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and 0 <= value <= WHOLE_MAX


def _is_hash(value: Any) -> bool:
    return isinstance(value, str) and _HASH.fullmatch(value) is not None


def _maps(inner: Callable[[Any], bool]) -> Callable[[Any], bool]:
    return lambda value: isinstance(value, Mapping) and all(inner(v) for v in value.values())


def _lists(inner: Callable[[Any], bool]) -> Callable[[Any], bool]:
    return lambda value: isinstance(value, list | tuple) and all(inner(v) for v in value)


def _is_text(value: Any) -> bool:
    return isinstance(value, str)


TEXT = Form("text", lambda v: isinstance(v, str) and v.strip() != "")
NUMBER = Form("a number", _is_number)
NOT_NEGATIVE = Form("a number not below zero", lambda v: _is_number(v) and v >= 0)
WHOLE = Form("a whole number not below zero", _is_whole)
YES_NO = Form("true or false", lambda v: isinstance(v, bool))
TIME = Form(
    "a time with its offset, such as 2031-05-04T11:30+02:00",
    lambda v: isinstance(v, str) and is_time_with_offset(v),
)
HASH = Form("a SHA-256 in 64 hex digits", _is_hash)
SIGNATURE = Form(
    "an Ed25519 signature in 128 hex digits",
    lambda v: isinstance(v, str) and _SIGNATURE.fullmatch(v) is not None,
)
CONTENT = Form("the SHA-256 of a stored content", _is_hash)
CONTENTS = Form("the SHA-256 of a stored content for each name", _maps(_is_hash))
CONTENT_LIST = Form("a list of SHA-256 of stored contents", _lists(_is_hash))
HASHES = Form("a hash for each item id", _maps(_is_text))
TEXTS = Form("a list of texts", _lists(_is_text))
VALUES = Form("named values", lambda v: isinstance(v, Mapping))

COMMON: Mapping[str, Form] = {"note": TEXT, "photos": CONTENT_LIST, "details": VALUES}
"""Fields that every kind may carry."""


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of line.

    `about` says what the id names, "" if nothing; `about_free` lets the id be given or left out; `open_data`
    allows further fields.
    """

    name: str
    meaning: str
    about: str = ""
    required: Mapping[str, Form] = field(default_factory=dict)
    optional: Mapping[str, Form] = field(default_factory=dict)
    about_free: bool = False
    open_data: bool = False
    needs_reason: bool = False
    may_be_replaced: bool = True

    def form_of(self, name: str) -> Form | None:
        """How the field must look, or None when this kind has no such field."""
        return self.required.get(name) or self.optional.get(name) or COMMON.get(name)


_TEST = "the test"
_ALL = (
    Kind("revision", "The engineer's files as they stood, kept by hash, under a number.", "",
         {"number": WHOLE, "contents": CONTENTS}, may_be_replaced=False),
    Kind("placed", "A part stands in the building, built to a revision of its type.", "the part",
         {"type_revision": TEXT},
         {"type": TEXT, "x_m": NUMBER, "y_m": NUMBER, "z_m": NUMBER, "yaw_rad": NUMBER}),
    Kind("altered", "A part already placed was changed to another revision of its type.", "the part",
         {"type_revision": TEXT}, {"type": TEXT}),
    Kind("capped", "An open stub was closed by a temporary cap.", "the stub", {}, {"cap": TEXT}),
    Kind("uncapped", "The temporary cap was taken off a stub.", "the stub", {}, {"cap": TEXT}),
    Kind("measured", "The position of a stub was measured.", "the stub",
         {"x_m": NUMBER, "y_m": NUMBER, "z_m": NUMBER, "uncertainty_m": NOT_NEGATIVE},
         {"measured_at": TIME, "instrument": TEXT}),
    Kind("made", "A connection was made.", "the connection", {}, {"crew": TEXT, "items": HASHES}),
    Kind("inspected", "A connection was looked at: in order or not.", "the connection", {"passed": YES_NO}),
    Kind("released", "Permission to cover a connection was given, under a number.", "the connection",
         {"number": WHOLE}, {"because": TEXTS, "items": HASHES}),
    Kind("covered", "A connection can no longer be seen.", "the connection", {}, {"behind": TEXT}),
    Kind("opened", "A covered connection was opened up again.", "the connection"),
    Kind("accepted", "A finding was accepted, for a reason, as long as what it rests on stays the same.",
         "", {"finding": TEXT, "rests_on": HASHES}, about_free=True, needs_reason=True),
    Kind("confirmed", "A row of a rule set was compared with the print.", "the row, SET:TABLE:ROW",
         {"evidence": TEXT, "figures": VALUES}),
    Kind("photo", "A picture of a thing, kept by hash.", "the thing shown", {"content": CONTENT},
         {"name": TEXT, "media_type": TEXT}),
    Kind("attachment", "A file about a thing, kept by hash.", "the thing", {"content": CONTENT},
         {"name": TEXT, "media_type": TEXT}),
    Kind("correction", "The line it replaces was wrong: other values for some fields, or withdrawn.", "",
         {}, {"fields": VALUES, "withdrawn": YES_NO}, about_free=True, needs_reason=True),
    Kind("key", "A signing key begins to be used; each later one is signed for by the one before.", "",
         {"public_key": HASH}, {"previous_key": HASH, "endorsement": SIGNATURE, "lost": YES_NO},
         may_be_replaced=False),
    Kind("mark", "A latest mark was given out.", "",
         {"marked_sequence": WHOLE, "marked_hash": HASH, "marked_time": TEXT, "public_key": HASH,
          "signature": SIGNATURE}, {"given_to": TEXT}, may_be_replaced=False),
    Kind("test planned", "A test of a section is to be made.", _TEST, open_data=True),
    Kind("permit", "Permission to put the section under test was given.", _TEST, open_data=True),
    Kind("filling", "The section is being filled.", _TEST, open_data=True),
    Kind("settling", "The section is filled and left to settle.", _TEST, open_data=True),
    Kind("holding", "The test pressure or level is reached and held.", _TEST, open_data=True),
    Kind("reading", "A gauge, level or thermometer was read.", _TEST, open_data=True),
    Kind("ended", "The hold is over and the section let down.", _TEST, open_data=True),
    Kind("judged", "The test was judged: pass, fail, void or inconclusive.", _TEST, open_data=True),
    Kind("witnessed", "Somebody saw the test and says so.", _TEST, open_data=True),
    Kind("waived", "A witness was invited and did not come, or gave up the right to see it.", _TEST,
         open_data=True),
)  # fmt: skip
KINDS: Mapping[str, Kind] = {kind.name: kind for kind in _ALL}


def check_entry(entry: Entry) -> None:
    """Raise WrongEntry, naming the field and what is allowed, unless the entry may become a line."""
    kind = KINDS.get(entry.kind)
    if kind is None:
        raise WrongEntry(f"there is no record kind {entry.kind!r}. Kinds: {', '.join(KINDS)}.")
    _check_who(entry)
    if kind.about and not entry.about:
        raise WrongEntry(f"{kind.name}: says nothing it is about. Give the id of {kind.about}.")
    if entry.about and not kind.about and not kind.about_free:
        raise WrongEntry(f"{kind.name}: is not about a thing such as {entry.about!r}. Leave about empty.")
    if (kind.needs_reason or entry.replaces is not None) and not entry.reason.strip():
        raise WrongEntry(f"{kind.name}: needs a reason. Say why in a few words.")
    if entry.revision is not None and not _is_whole(entry.revision):
        raise WrongEntry(f"{kind.name}: revision {entry.revision!r} is not a whole number. Give its number.")
    check_data(kind, entry.data)
    if kind.name == "correction":
        _check_correction(entry)


def check_data(kind: Kind, data: Any) -> None:
    """Raise WrongEntry unless the data carry what a line of that kind must and only what it may."""
    if not isinstance(data, Mapping):
        raise WrongEntry(f"{kind.name}: data is a {type(data).__name__}. Give named values.")
    for name in kind.required:
        if name not in data:
            raise WrongEntry(f"{kind.name}: the field {name} is missing. {_allowed(kind)}")
    for name, value in data.items():
        form = kind.form_of(name)
        if form is None and not kind.open_data:
            raise WrongEntry(f"{kind.name}: there is no field {name!r}. {_allowed(kind)}")
        if form is not None and not form.holds(value):
            raise WrongEntry(f"{kind.name}: {name} is {value!r}. Give {form.words}.")


def contents_named(kind_name: str, data: Mapping[str, Any]) -> Iterator[str]:
    """The hashes of stored contents that a line of that kind refers to."""
    if kind_name == "correction" and isinstance(data.get("fields"), Mapping):
        yield from contents_named("photo", data["fields"])
    for name, form in _CONTENT_FIELDS.get(kind_name, ()):
        if name not in data or not form.holds(data[name]):
            continue
        if form is CONTENT:
            yield data[name]
        else:
            yield from data[name].values() if form is CONTENTS else data[name]


_CONTENT_FIELDS = {
    kind.name: tuple(
        (name, form)
        for name, form in {**kind.required, **kind.optional, **COMMON}.items()
        if form in (CONTENT, CONTENTS, CONTENT_LIST)
    )
    for kind in KINDS.values()
}


def _check_who(entry: Entry) -> None:
    if not entry.author.strip():
        raise WrongEntry(f"{entry.kind}: nobody is named. Give the author's name.")
    if entry.author_known not in AUTHOR_KNOWN:
        raise WrongEntry(
            f"{entry.kind}: the author is known as {entry.author_known!r}. One of: {', '.join(AUTHOR_KNOWN)}."
        )
    if entry.device_time is not None and not is_time_with_offset(entry.device_time):
        raise WrongEntry(f"{entry.kind}: device_time is {entry.device_time!r}. Give {TIME.words}.")
    for name, longest in LONGEST.items():
        text = getattr(entry, name)
        if _CONTROL.search(text):
            raise WrongEntry(f"{entry.kind}: {name} holds a control character. Type it again.")
        if len(text) > longest:
            raise WrongEntry(f"{entry.kind}: {name} is longer than {longest} characters. Shorten it.")
    if not entry.entry_key:
        raise WrongEntry(f"{entry.kind}: the entry key is empty. Leave it out or give one.")


def _check_correction(entry: Entry) -> None:
    if entry.replaces is None:
        raise WrongEntry("correction: names no line. Give the number of the line it replaces.")
    if ("fields" in entry.data) == (entry.data.get("withdrawn") is True):
        raise WrongEntry("correction: give either fields, the other values, or withdrawn = true.")


def _allowed(kind: Kind) -> str:
    must = "; ".join(f"{name} ({form.words})" for name, form in kind.required.items()) or "none"
    may = "; ".join(f"{name} ({form.words})" for name, form in {**kind.optional, **COMMON}.items())
    return f"Must have: {must}. May have: {may}."
