# SPDX-License-Identifier: Apache-2.0
"""The planted faults, read from planted.toml: planting them in sound files, undoing one in planted files."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from .edits import Edit, Files, toml_value

PLANTED_FILE = "planted.toml"


@dataclass(frozen=True)
class Fault:
    """One planted fault.

    `key` is the key of the finding it must give; `check` is design or site, `records` the state of the
    records in which a site fault shows; `where` and `story` say in words where it is and how it got there.
    """

    id: str
    code: str
    key: str
    check: str
    records: str
    where: str
    story: str
    edits: tuple[Edit, ...]


def planted_faults(folder: Path) -> list[Fault]:
    """All planted faults of a demo folder."""
    table = tomllib.loads((folder / PLANTED_FILE).read_text(encoding="utf-8"))
    return [
        Fault(**{name: value for name, value in row.items() if name != "edits"},
              edits=tuple(Edit(**edit) for edit in row["edits"]))
        for row in table["fault"]
    ]  # fmt: skip


def _files_of(folder: Path, faults: Iterable[Fault]) -> Files:
    names = {edit.file for fault in faults for edit in fault.edits}
    files: Files = {}
    for name in names:
        with (folder / name).open(encoding="utf-8", newline="") as file:
            files[name] = file.read()
    return files


def _write(folder: Path, files: Files) -> None:
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8", newline="")


def apply(folder: Path, fault_ids: Iterable[str] | None = None) -> None:
    """Plant these faults (all, if none are named) in the sound files of a folder."""
    wanted = None if fault_ids is None else set(fault_ids)
    faults = [f for f in planted_faults(folder) if wanted is None or f.id in wanted]
    files = _files_of(folder, faults)
    for fault in faults:
        for edit in fault.edits:
            edit.plant(files)
    _write(folder, files)


def undo(folder: Path, fault_id: str) -> None:
    """Take one planted fault back in the planted files of a folder."""
    fault = next(f for f in planted_faults(folder) if f.id == fault_id)
    files = _files_of(folder, [fault])
    for edit in fault.edits:
        edit.undo(files)
    _write(folder, files)


# What the rules in force leave unjudged about this building, by the keys of its findings.
CANNOT_BE_JUDGED = ("M03:ipc_2021:private fan coil",)


def cannot_be_judged(folder: Path) -> list[str]:
    """The keys of what cannot be judged about the demo."""
    table = tomllib.loads((folder / PLANTED_FILE).read_text(encoding="utf-8"))
    return list(table["cannot_be_judged"])


def toml_text(faults: Iterable[Fault]) -> str:
    """planted.toml."""
    lines = [
        "# SPDX-License-Identifier: Apache-2.0",
        "# What is wrong with Larkspur Quay on purpose. Written by `python -m demo_project.build`; each",
        "# fault is undone by its edits, from the planted side to the sound side.",
        "# What nobody planted but the rules in force leave open stands first.",
        f"cannot_be_judged = [{', '.join(toml_value(key) for key in CANNOT_BE_JUDGED)}]",
    ]
    for fault in faults:
        lines += ["", "[[fault]]"]
        for name in ("id", "code", "key", "check", "records", "where", "story"):
            lines.append(f"{name} = {toml_value(getattr(fault, name))}")
        lines.append("edits = [")
        lines += [f"  {toml_value(edit.as_dict())}," for edit in fault.edits]
        lines.append("]")
    return "\n".join(lines) + "\n"
