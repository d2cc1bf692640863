# SPDX-License-Identifier: Apache-2.0
"""The demo project: its files copied out, and its story replayed into records."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any

from riser.errors import InputError, InputErrors
from riser.project import content_hash, contents
from riser.records import Entry, Store, open_store
from riser.work.ids import TYPED, unknown
from riser.work.job import records_address

# The states the demo's story stops at, in order; each has its statements in a file of its own.
STATES = ("before_first_lift", "floor_7_placed", "finished")
NOT_COPIED = (".py", ".pyc")


def _copied(source: Traversable, target: Path) -> int:
    """Copy a folder's data files; the number of files."""
    target.mkdir(parents=True, exist_ok=True)
    count = 0
    for item in source.iterdir():
        if item.is_dir():
            if item.name != "__pycache__":
                count += _copied(item, target / item.name)
        elif not item.name.endswith(NOT_COPIED):
            (target / item.name).write_bytes(item.read_bytes())
            count += 1
    return count


def state_file(state: str) -> str:
    """Where the statements of a state lie in the demo's folder."""
    return f"records/{state}.jsonl"


def _statements(file: Path) -> Iterator[dict[str, Any]]:
    with file.open(encoding="utf-8") as lines:
        yield from (json.loads(line) for line in lines)


def _kept(folder: Path, store: Store, revision: str) -> dict[str, str]:
    """Keep the job's files as they stood; files that differed lie in a folder of the revision."""
    files = dict(contents(folder))
    earlier = folder / revision
    if earlier != folder:
        for path in sorted(earlier.rglob("*")):
            if path.is_file():
                files[path.relative_to(earlier).as_posix()] = path.read_bytes()
    for data in files.values():
        store.put_content(data)
    return {name: content_hash(data) for name, data in files.items()}


def _entries(folder: Path, store: Store, state: str, number: int, said: dict[str, Any]) -> Iterator[Entry]:
    """One entry for each item; the same statement gives the same entry keys in every replay."""
    data = dict(said.get("data", {}))
    if said["kind"] == "revision":
        data["contents"] = _kept(folder, store, said["files"])
    for about in said.get("about", [""]):
        key = hashlib.sha256(f"{state} {number} {about}".encode()).hexdigest()[:32]
        yield Entry(
            said["kind"], about, said["author"], data=data, reason=said.get("reason", ""), entry_key=key
        )


def replay(folder: Path, state: str, where: Path | str) -> int:
    """Write the demo's records up to and including a state, with the times they had; the number of lines.

    `folder` holds the job's files, the statements and the files of earlier revisions.
    """
    if state not in STATES:
        raise unknown("state", state, list(STATES), f"one of {', '.join(STATES)}")
    now, lines = [""], 0
    with open_store(where, clock=lambda: now[0]) as store:
        for name in STATES[: STATES.index(state) + 1]:
            for number, said in enumerate(_statements(folder / state_file(name))):
                now[0] = said["time"]
                lines += len(store.append(list(_entries(folder, store, name, number, said))))
    return lines


def write_demo(folder: Path, state: str, *, again: bool) -> tuple[int, int]:
    """Write the demo's files and records into a folder; files and record lines written.

    InputErrors for a folder with something in it, unless `again`: then an earlier demo there is replaced.
    """
    if folder.exists() and any(folder.iterdir()):
        if not again or not (folder / "planted.toml").exists():
            remedy = "Choose another folder, or --again to replace an earlier demo."
            raise InputErrors([InputError(TYPED, None, "DIR", str(folder), "an empty folder", remedy)])
        for path in folder.glob("records.sqlite*"):
            path.unlink()
    files = _copied(resources.files("demo_project"), folder)
    return files, replay(folder, state, records_address(folder))
