# SPDX-License-Identifier: Apache-2.0
"""Check an exported file of record lines without riser: python -I verify_export.py FILE [options]

Needs Python 3.11 and, for marks, the package `cryptography` (one call). Prints what is wrong, or "whole".
Exit code 0 when whole, 1 when not, 2 when the file cannot be read.
  --mark FILE      a mark you hold, as JSON (sequence, hash, time, public_key, signature); may be repeated
  --hash N:HEX     number and hash of a line you hold on paper; may be repeated
  --key HEX        the first public key, if it was given to you by another way
  --contents DIR   a folder with the contents, each named by its SHA-256
"""

from __future__ import annotations

import argparse
import hashlib
import json
import sys
from pathlib import Path
from typing import Any

Lines = list[tuple[str, dict[str, Any]]]
START, MIDDLE = b'{"hash":"', b'","line":'
END = len(START) + 64
WRONG: list[str] = []


def json_of(text: bytes) -> dict[str, Any]:
    """A JSON object; one in which a key comes twice is refused: two readers could read it differently."""

    def once_each(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        if len(dict(pairs)) != len(pairs):
            raise ValueError("a key comes twice")
        return dict(pairs)

    return dict(json.loads(text, object_pairs_hook=once_each))


def signed_by(public_key: str, message: str, signature: str) -> bool:
    """Whether that key made the signature: the one call that is not the standard library's."""
    from cryptography.exceptions import InvalidSignature
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

    try:
        key = Ed25519PublicKey.from_public_bytes(bytes.fromhex(public_key))
        key.verify(bytes.fromhex(signature), message.encode())
    except (InvalidSignature, ValueError):
        return False
    return True


def rows_of(content: bytes) -> tuple[Lines, list[dict[str, Any]]]:
    """The lines, each with its stored hash, and the marks that stand after them."""
    lines, marks = Lines(), []
    *rows, rest = content.split(b"\n")
    WRONG.extend(["the last row is cut off"] if rest else [])
    for number, raw in enumerate(rows, start=1):
        if raw.startswith(b'{"mark":'):
            marks.append(json_of(raw)["mark"])
            continue
        digest, body = raw[len(START) : END].decode(), raw[END + len(MIDDLE) : -1]
        if raw != START + digest.encode() + MIDDLE + body + b"}" or marks:
            WRONG.append(f"row {number}: is not where or what a line of records is")
        elif hashlib.sha256(body).hexdigest() != digest:
            WRONG.append(f"row {number}: its bytes do not give its hash")
        lines.append((digest, json_of(body)))
    return lines, marks


def check_chain(lines: Lines) -> None:
    """Numbers without a gap, each line following the one before, no entry twice, none replaced twice."""
    previous, keys, replaced = "0" * 64, set(), {None}
    for number, (digest, line) in enumerate(lines, start=1):
        if line["sequence"] != number or line["previous"] != previous:
            WRONG.append(f"line {number}: does not follow the line before it (it says {line['sequence']})")
        if line["entry_key"] in keys:
            WRONG.append(f"line {number}: the same entry stands earlier")
        if line["replaces"] is not None and (line["replaces"] in replaced or line["replaces"] >= number):
            WRONG.append(f"line {number}: replaces a line that is not there, or was replaced before")
        keys.add(line["entry_key"])
        replaced.add(line["replaces"])
        previous = digest


def key_history(lines: Lines, first_key: str | None) -> dict[str, list[int]]:
    """Public key -> the line that begins it and the line that ends it; each signed for by the one before."""
    keys, current = dict[str, list[int]](), None
    for number, line in ((n, line) for n, (_, line) in enumerate(lines, start=1) if line["kind"] == "key"):
        data, new = line["data"], line["data"]["public_key"]
        if current is not None:
            keys[current][1] = number
            if data.get("lost") is True:
                print(f"note: line {number}: the signing key was changed without the one before")
            elif not signed_by(current, f"riser key\n{new}\n{current}\n", data.get("endorsement", "")):
                WRONG.append(f"line {number}: a signing key that the one before did not sign for")
        keys.setdefault(new, [number, len(lines) + 1])
        current = new
    if first_key is not None and next(iter(keys), None) != first_key.lower():
        WRONG.append("the first signing key is not the one that was given to you")
    return keys


def check_mark(mark: dict[str, Any], lines: Lines, keys: dict[str, list[int]]) -> None:
    """A mark is signed by a key in use at its line, and names that line by its hash."""
    number, digest, key = mark["sequence"], mark["hash"], mark["public_key"]
    if not signed_by(key, f"riser mark\n{number}\n{digest}\n{mark['time']}\n", mark["signature"]):
        WRONG.append(f"mark for line {number}: its signature is not its key's (forged)")
    elif key not in keys or not keys[key][0] <= number < keys[key][1]:
        WRONG.append(f"mark for line {number}: signed with a key that was not in use then")
    check_hash(number, digest, lines)


def check_hash(number: int, digest: str, lines: Lines) -> None:
    """A line whose hash somebody holds must be there, and be that line."""
    if not 0 < number <= len(lines) or lines[number - 1][0] != digest:
        WRONG.append(f"mark for line {number}: that line is not there now: the records were rewritten")


def check_contents(lines: Lines, folder: Path) -> None:
    """Every content that a line names is in the folder, and its bytes give its name."""
    for number, (_, line) in enumerate(lines, start=1):
        for data in (line["data"], line["data"].get("fields", {})):
            single = [data["content"]] if "content" in data else []
            for name in [*single, *data.get("photos", []), *data.get("contents", {}).values()]:
                file = folder / Path(name).name
                if not file.is_file() or hashlib.sha256(file.read_bytes()).hexdigest() != name:
                    WRONG.append(f"line {number}: its content {name} is missing or was changed")


reader = argparse.ArgumentParser(description="Check exported record lines.")
reader.add_argument("file", type=Path)
reader.add_argument("--mark", type=Path, action="append", default=[])
reader.add_argument("--hash", action="append", default=[])
reader.add_argument("--key")
reader.add_argument("--contents", type=Path)
if __name__ == "__main__":
    given = reader.parse_args()
    try:
        lines, marks = rows_of(given.file.read_bytes())
        check_chain(lines)
        keys = key_history(lines, given.key)
        for mark in marks + [json_of(file.read_bytes()) for file in given.mark]:
            check_mark(mark, lines, keys)
        for number, digest in (text.split(":") for text in given.hash):
            check_hash(int(number), digest.lower(), lines)
        check_contents(lines if given.contents else [], given.contents)
    except (OSError, ValueError, KeyError, TypeError, AttributeError) as error:
        print("\n".join([*WRONG, f"cannot be read on: {error!r}"]))
        sys.exit(2)
    print("\n".join(WRONG) or f"whole: {len(lines)} lines, latest hash {lines[-1][0] if lines else 'none'}")
    sys.exit(1 if WRONG else 0)
