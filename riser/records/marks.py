# SPDX-License-Identifier: Apache-2.0
"""The latest mark: number and hash of the newest line, signed. Who holds one can prove what came before it.

A mark travels away from the records: printed on certificates and sheets, in exports, on each device.
Rewriting the records then needs every copy of every mark.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from riser.errors import RecordError
from riser.records.chain import Fault
from riser.records.errors import MarkUnreadable
from riser.records.keys import KeyHistory, load_key, public_key_of, recorded_keys, signs
from riser.records.line import Entry, Line
from riser.records.times import is_server_time

if TYPE_CHECKING:
    from riser.records.store import Store


@dataclass(frozen=True, slots=True)
class Mark:
    """Number and hash of the newest line at a server time, the public key, and the signature over the
    rest."""

    sequence: int
    hash: str
    time: str
    public_key: str
    signature: str

    def as_json(self) -> dict[str, Any]:
        """One JSON object; keys are the field names."""
        return asdict(self)


def signed_text(sequence: int, digest: str, time: str) -> bytes:
    """What a mark's signature is made over."""
    return f"riser mark\n{sequence}\n{digest}\n{time}\n".encode()


def latest_mark(store: Store, key: Path, clock: Callable[[], str]) -> Mark:
    """The newest line, signed with the key in that file; RecordError unless the records name that key."""
    private = load_key(key)
    public_key = public_key_of(private)
    if recorded_keys(store).current != public_key:
        raise RecordError(f"{key}: not the key that these records sign with. Introduce it, or change to it.")
    sequence, digest = store.latest()
    time = clock()
    if not is_server_time(time):
        raise RecordError(f"the clock gave {time!r}; a server time is UTC, such as 2031-05-04T09:30:00.125Z")
    return Mark(sequence, digest, time, public_key, private.sign(signed_text(sequence, digest, time)).hex())


def mark_entry(mark: Mark, *, author: str, given_to: str, author_known: str = "stated") -> Entry:
    """The entry that records that a mark was given out."""
    data = {
        "marked_sequence": mark.sequence,
        "marked_hash": mark.hash,
        "marked_time": mark.time,
        "public_key": mark.public_key,
        "signature": mark.signature,
        "given_to": given_to,
    }
    return Entry("mark", "", author, author_known, data)


def mark_of_line(line: Line) -> Mark:
    """The mark that a line of kind `mark` says was given out."""
    data = line.data
    return Mark(
        data["marked_sequence"],
        data["marked_hash"],
        data["marked_time"],
        data["public_key"],
        data["signature"],
    )


def mark_from_json(data: Mapping[str, Any]) -> Mark:
    """The mark in a JSON object; MarkUnreadable when fields are missing or of the wrong kind."""
    try:
        mark = Mark(**data)
    except TypeError:
        raise MarkUnreadable("not a mark: it has sequence, hash, time, public_key and signature") from None
    if not isinstance(mark.sequence, int) or not all(
        isinstance(text, str) for text in (mark.hash, mark.time, mark.public_key, mark.signature)
    ):
        raise MarkUnreadable("not a mark: sequence is a whole number, everything else text")
    return mark


def mark_faults(mark: Mark, hash_at: Callable[[int], str | None], keys: KeyHistory) -> list[Fault]:
    """What a mark shows to be wrong with the records, or with the mark itself."""
    faults = []
    if not signs(mark.public_key, signed_text(mark.sequence, mark.hash, mark.time), mark.signature):
        return [Fault(mark.sequence, "a mark for this line has a signature that is not its key's: forged")]
    first, successor = keys.keys.get(mark.public_key, (None, None))
    if first is None or mark.sequence < first:
        faults.append(Fault(mark.sequence, "a mark for this line is signed with a key that no line names"))
    elif successor is not None and mark.sequence >= successor:
        faults.append(Fault(mark.sequence, "a mark for this line is signed with a key given up before it"))
    found = hash_at(mark.sequence)
    if found is None:
        faults.append(Fault(mark.sequence, "a mark names this line, and the records do not have it"))
    elif found != mark.hash:
        what = "a mark was given for another line here: this line or one before it was rewritten"
        faults.append(Fault(mark.sequence, what))
    return faults
