# SPDX-License-Identifier: Apache-2.0
"""Signing keys (Ed25519): kept outside the job folder, made known and changed by lines of kind `key`.

Whoever can write the records must not be able to sign for them: so the key file lies elsewhere, at a path
that the caller gives. A new key is signed for by the one before it; where that one is lost the line says
so, and `verify` repeats it as a note every time.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from riser.errors import RecordError
from riser.records.chain import Fault
from riser.records.line import Entry, Line

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    from riser.records.store import Store


@dataclass(frozen=True, slots=True)
class KeyHistory:
    """The keys that the records name: public key -> (first line, line of its successor or None)."""

    keys: dict[str, tuple[int, int | None]] = field(default_factory=dict)
    current: str | None = None
    faults: tuple[Fault, ...] = ()
    notes: tuple[Fault, ...] = ()


def make_key(path: Path, job_folder: Path | None = None) -> str:
    """Make a signing key in a new file that only its owner can read; returns the public key in hex.

    RecordError when the file is there already, or lies in the job folder.
    """
    from cryptography.hazmat.primitives import serialization
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    _refuse_inside(path, job_folder)
    key = Ed25519PrivateKey.generate()
    text = key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        raise RecordError(f"{path}: there is a file already. Give another name for the new key.") from None
    with os.fdopen(handle, "wb") as file:
        file.write(text)
        file.flush()
        os.fsync(file.fileno())
    return public_key_of(key)


def load_key(path: Path) -> Ed25519PrivateKey:
    """The signing key in a file; RecordError where there is none."""
    from cryptography.hazmat.primitives import serialization
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    try:
        key = serialization.load_pem_private_key(path.read_bytes(), password=None)
    except FileNotFoundError:
        raise RecordError(f"{path}: there is no signing key here. Make one, or give its place.") from None
    except (ValueError, TypeError) as error:
        raise RecordError(f"{path}: not a signing key ({error}). Give the right file.") from None
    if not isinstance(key, Ed25519PrivateKey):
        raise RecordError(f"{path}: not an Ed25519 key. Give the file that was made for signing.")
    return key


def public_key_of(key: Ed25519PrivateKey) -> str:
    """The public key, 32 bytes in hex."""
    return key.public_key().public_bytes_raw().hex()


def signs(public_key: str, message: bytes, signature: str) -> bool:
    """Whether the signature over the message was made with that key."""
    from cryptography.exceptions import InvalidSignature
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

    try:
        Ed25519PublicKey.from_public_bytes(bytes.fromhex(public_key)).verify(
            bytes.fromhex(signature), message
        )
    except (InvalidSignature, ValueError):
        return False
    return True


def endorsement_text(public_key: str, previous_key: str) -> bytes:
    """What the key before signs, so that a new one follows it."""
    return f"riser key\n{public_key}\n{previous_key}\n".encode()


def introduce_key(store: Store, path: Path, *, author: str, author_known: str = "stated") -> Line:
    """Record the key in that file as the first signing key; gives the same line back when it already is."""
    _refuse_inside(path, store.path.parent if store.path else None)
    public_key = public_key_of(load_key(path))
    history = recorded_keys(store)
    if history.current not in {None, public_key}:
        raise RecordError(f"{store.where}: signs with another key already. Change the key instead.")
    entry = Entry("key", "", author, author_known, {"public_key": public_key}, entry_key=f"key {public_key}")
    return store.line_with_key(entry.entry_key) or store.append([entry])[0]


def change_key(store: Store, path: Path, previous: Path | None, *, author: str, reason: str,
               author_known: str = "stated") -> Line:  # fmt: skip
    """Record the key in `path` as the one that signs from now on, signed for by the one in `previous`.

    `previous` None says that it is lost; `verify` will say so for ever.
    """
    _refuse_inside(path, store.path.parent if store.path else None)
    public_key = public_key_of(load_key(path))
    old_public = recorded_keys(store).current
    if old_public is None:
        raise RecordError(f"{store.where}: there is no signing key to change. Introduce the first one.")
    data: dict[str, object] = {"public_key": public_key, "previous_key": old_public}
    if previous is None:
        data["lost"] = True
    else:
        old = load_key(previous)
        if public_key_of(old) != old_public:
            raise RecordError(f"{previous}: not the key in use now. Give the file of that key.")
        data["endorsement"] = old.sign(endorsement_text(public_key, old_public)).hex()
    return store.append(
        [Entry("key", "", author, author_known, data, reason=reason, entry_key=f"key {public_key}")]
    )[0]


def recorded_keys(store: Store) -> KeyHistory:
    """The signing keys that the store's lines name."""
    return key_history(store.lines_about(""))


def key_history(lines: Iterable[Line]) -> KeyHistory:
    """The signing keys in the order in which they were recorded, and what is wrong with that order."""
    keys: dict[str, tuple[int, int | None]] = {}
    current: str | None = None
    faults, notes = [], []
    for line in lines:
        if line.kind != "key":
            continue
        public_key = str(line.data.get("public_key"))
        if current is not None:
            keys[current] = (keys[current][0], line.sequence)
            if line.data.get("lost") is True:
                notes.append(Fault(line.sequence, "the signing key was changed without the one before"))
            elif not _is_endorsed(line, public_key, current):
                faults.append(Fault(line.sequence, "a signing key that the one before did not sign for"))
        keys.setdefault(public_key, (line.sequence, None))
        current = public_key
    return KeyHistory(keys, current, tuple(faults), tuple(notes))


def _is_endorsed(line: Line, public_key: str, current: str) -> bool:
    endorsement = line.data.get("endorsement")
    return (
        line.data.get("previous_key") == current
        and isinstance(endorsement, str)
        and signs(current, endorsement_text(public_key, current), endorsement)
    )


def _refuse_inside(path: Path, job_folder: Path | None) -> None:
    if job_folder is not None and path.resolve().is_relative_to(job_folder.resolve()):
        raise RecordError(
            f"{path}: a signing key must not lie in the job folder, where whoever can change the records "
            "could sign for the change. Keep it elsewhere."
        )
