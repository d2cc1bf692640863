# SPDX-License-Identifier: Apache-2.0
"""Single bits flipped anywhere in the file: found, or in a place where nothing is stored."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from riser.errors import RecordError
from riser.records import Entry, Store, open_store, utc_now, verify
from riser.records.line import StoredLine

Dump = tuple[list[StoredLine], dict[str, bytes]]


def dump_of(store: Store) -> Dump:
    return list(store.rows()), {name: store.content(name) for name in store.content_hashes()}


@pytest.fixture
def file(tmp_path: Path) -> Path:
    with open_store(tmp_path, clock=utc_now) as store:
        chance = random.Random(1)
        pictures = [store.put_content(chance.randbytes(3000)) for _ in range(4)]
        for start in range(0, 160, 40):
            store.append(
                [
                    Entry("made", f"C{n}", "F. Foreman", data={"crew": f"{n}"})
                    for n in range(start, start + 40)
                ]
            )
        store.append([Entry("photo", "C1", "F. Foreman", data={"content": picture}) for picture in pictures])
        store.append([Entry("made", "C9", "F. Foreman", replaces=3, reason="wrong id")])
    return tmp_path / "records.sqlite"


def flips_found(file: Path, number: int, seed: int) -> int:
    """How many flips were found; the others must have left every line and content as it was."""
    whole = file.read_bytes()
    with open_store(file) as store:
        before = dump_of(store)
    spoiled = file.with_name("spoiled.sqlite")
    chance = random.Random(seed)
    found = 0
    for _ in range(number):
        at, bit = chance.randrange(len(whole)), chance.randrange(8)
        spoiled.write_bytes(whole[:at] + bytes([whole[at] ^ (1 << bit)]) + whole[at + 1 :])
        if is_found(spoiled):
            found += 1
        else:
            with open_store(spoiled) as store:
                assert dump_of(store) == before, f"byte {at}, bit {bit}"
    return found


def is_found(spoiled: Path) -> bool:
    try:
        with open_store(spoiled) as store:
            return not verify(store).is_whole
    except RecordError:
        return True


def test_two_hundred_flipped_bits_are_found_or_change_nothing(file: Path) -> None:
    assert flips_found(file, 200, seed=20) > 120


@pytest.mark.soak
def test_two_thousand_flipped_bits_are_found_or_change_nothing(file: Path) -> None:
    assert flips_found(file, 2000, seed=21) > 1200


def test_a_file_cut_off_anywhere_is_found(file: Path) -> None:
    whole = file.read_bytes()
    spoiled = file.with_name("spoiled.sqlite")
    for part in range(1, 10):
        spoiled.write_bytes(whole[: len(whole) * part // 10])
        assert is_found(spoiled), f"{part} tenths"
