# SPDX-License-Identifier: Apache-2.0
"""One line of the records, and the entry it is made from.

A line is written once as canonical JSON (RFC 8785). Those bytes are what is stored, hashed (SHA-256) and
handed out; each line carries the hash of the line before it, so that the lines form one chain. Nothing is
ever written a second time in another form: whoever checks a line hashes the stored bytes.
"""

from __future__ import annotations

import hashlib
import json
import math
import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from riser.records.errors import WrongEntry

FORM = 1
NO_LINE = "0" * 64
"""What the first line carries in the place of a previous hash."""
AUTHOR_KNOWN = ("stated", "signed in", "signed on glass", "device")
WHOLE_MAX = 2**53 - 1
DEPTH_MAX = 24


@dataclass(frozen=True, slots=True)
class Entry:
    """What a person or device wants recorded: everything of a line that is not the server's to say.

    `entry_key` makes sending safe to repeat: the same key with the same content gives the same line back.
    A caller that may send twice must choose it; left out, every entry is a new one.
    """

    kind: str
    about: str = ""
    author: str = ""
    author_known: str = "stated"
    data: Mapping[str, Any] = field(default_factory=dict, hash=False)
    device_time: str | None = None
    replaces: int | None = None
    reason: str = ""
    revision: int | None = None
    entry_key: str = field(default_factory=lambda: uuid.uuid4().hex)


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the records.

    `sequence` is the order; `time` the server's UTC time; `device_time` what the device's clock said.
    `author_known` says how the author is known. `about` is the id of the thing, or "". `replaces` is the
    sequence of the line this one stands for, with a `reason`. `previous` and `hash` are hex SHA-256.
    """

    sequence: int
    time: str
    device_time: str | None
    author: str
    author_known: str
    kind: str
    about: str
    data: Mapping[str, Any] = field(hash=False)
    replaces: int | None
    reason: str
    revision: int | None
    entry_key: str
    previous: str
    hash: str

    def as_json(self) -> dict[str, object]:
        """One JSON object; keys are the field names."""
        return {name: getattr(self, name) for name in self.__slots__}


class StoredLine(NamedTuple):
    """A row of the store as it stands there: the line's bytes, their hash, and what the database files it
    by."""

    sequence: int
    entry_key: str
    about: str
    replaces: int | None
    body: bytes
    hash: str


def line_bytes(entry: Entry, sequence: int, time: str, previous: str) -> bytes:
    """The canonical bytes of the line an entry becomes at that place in the chain."""
    body = {
        **entry_content(entry),
        "form": FORM,
        "sequence": sequence,
        "time": time,
        "entry_key": entry.entry_key,
        "previous": previous,
    }
    return canonical_bytes(body)


def entry_content(entry: Entry) -> dict[str, Any]:
    """What must be equal for two entries with one key to be the same entry."""
    return {
        "kind": entry.kind,
        "about": entry.about,
        "author": entry.author,
        "author_known": entry.author_known,
        "data": entry.data,
        "device_time": entry.device_time,
        "replaces": entry.replaces,
        "reason": entry.reason,
        "revision": entry.revision,
    }


_CONTENT = tuple(entry_content(Entry("made")))


def is_same_content(entry: Entry, body: bytes) -> bool:
    """Whether the stored line says exactly what the entry says."""
    stored = json_object(body)
    return canonical_bytes(entry_content(entry)) == canonical_bytes({k: stored[k] for k in _CONTENT})


def line_from_bytes(body: bytes, digest: str | None = None) -> Line:
    """The line that stored bytes hold; ValueError when they are not a line.

    `digest` is their hash, where the caller has computed it already.
    """
    fields = json_object(body)
    if fields.pop("form", None) != FORM:
        raise ValueError("not written in a form that this riser knows")
    try:
        return Line(**fields, hash=digest or hash_of(body))
    except TypeError:
        raise ValueError("not the fields of a line") from None


def hash_of(stored: bytes) -> str:
    """The SHA-256 of stored bytes, in hex."""
    return hashlib.sha256(stored).hexdigest()


def canonical_bytes(value: Any) -> bytes:
    """RFC 8785 canonical JSON; refuses what I-JSON (RFC 7493) cannot carry, naming the place."""
    import rfc8785

    return rfc8785.dumps(_plain(value, "", 0))


def json_object(stored: bytes) -> dict[str, Any]:
    """The JSON object in stored bytes; ValueError for anything else, a key that comes twice, or NaN."""
    found = _DECODER.decode(stored.decode("utf-8"))
    if not isinstance(found, dict):
        raise ValueError("not a JSON object")  # noqa: TRY004  (bytes of the wrong content)
    return found


def _once_each(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise ValueError("a key comes twice")
    return found


def _no_number(text: str) -> float:
    raise ValueError(f"{text} is not a number that JSON can carry")


_DECODER = json.JSONDecoder(object_pairs_hook=_once_each, parse_constant=_no_number)


def _plain(value: Any, place: str, depth: int) -> Any:
    """The value as plain JSON types. Checked here, not by the writer, so that an error names its place."""
    if depth > DEPTH_MAX:
        raise WrongEntry(f"{place}: nested more than {DEPTH_MAX} deep. Put it in an attachment.")
    if value is None or isinstance(value, bool):
        return value
    if isinstance(value, str):
        return _plain_text(value, place)
    if isinstance(value, int | float):
        return _plain_number(value, place)
    if isinstance(value, Mapping):
        return _plain_mapping(value, place, depth)
    if isinstance(value, list | tuple):
        return [_plain(item, f"{place}[{n}]", depth + 1) for n, item in enumerate(value)]
    raise WrongEntry(f"{place}: a {type(value).__name__} cannot be recorded. Give text, a number, true or "
                     "false, a list, or named values.")  # fmt: skip


def _plain_mapping(value: Mapping[Any, Any], place: str, depth: int) -> dict[str, Any]:
    for name in value:
        if not isinstance(name, str):
            raise WrongEntry(f"{place}: the name {name!r} is not text. Every value is named by text.")
    inside = f"{place}." if place else ""
    return {_plain_text(k, place): _plain(v, f"{inside}{k}", depth + 1) for k, v in value.items()}


def _plain_text(value: str, place: str) -> str:
    try:
        value.encode("utf-8")
    except UnicodeEncodeError:
        raise WrongEntry(f"{place}: holds half a character. Type the text again.") from None
    return str(value)


def _plain_number(value: float, place: str) -> int | float:
    if isinstance(value, float) and not math.isfinite(value):
        raise WrongEntry(f"{place}: {value} is not a number. Leave it out if it was not read.")
    # A float from 2^53 to 1e21 would be printed, and read back, as a whole number that readers may round.
    if abs(value) > WHOLE_MAX and (isinstance(value, int) or abs(value) < 1e21):
        raise WrongEntry(f"{place}: {value} is beyond {WHOLE_MAX}, where readers may round. Give it as text.")
    return int(value) if isinstance(value, int) else float(value)
