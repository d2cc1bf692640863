# SPDX-License-Identifier: Apache-2.0
"""Write the demo's job folder: `python -m demo_project.build [FOLDER]`.

Everything but this package's own code and the words of README.md is written here; a test writes it again
and compares.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path

from .edits import Files
from .faults import PLANTED_FILE, Fault, toml_text
from .faults_in_joints import JOINT_FAULTS
from .faults_in_layout import LAYOUT_FAULTS
from .faults_on_site import SITE_FAULTS
from .larkspur import larkspur_quay
from .planting import planned_faults
from .records_story import job_of, jsonl, state_file, story
from .writing import job_files, write_files

HOME = Path(__file__).parent
TABLE_STARTS, TABLE_ENDS = "<!-- planted faults: written by build.py -->", "<!-- end of planted faults -->"
KITCHEN_OF_REVISION_2 = "A07-11"


@dataclass(frozen=True)
class Demo:
    """The files of the demo without a fault and with all of them, and the faults between the two."""

    sound: Files
    planted: Files
    faults: tuple[Fault, ...]


def demo() -> Demo:
    """The whole demo: job files, records and faults."""
    sound = job_files(larkspur_quay())
    drawn = planned_faults([*JOINT_FAULTS, *LAYOUT_FAULTS], sound)
    planted = dict(sound)
    for fault in drawn:
        _plant(fault, planted)
    states = {state_file(name): jsonl(said) for name, said in story(job_of(sound, planted)).items()}
    faults = planned_faults([*JOINT_FAULTS, *LAYOUT_FAULTS, *SITE_FAULTS], sound)
    planted |= states
    sound |= states
    for fault in faults[len(drawn) :]:
        for edit in fault.edits:
            edit.undo(sound)
    return Demo(sound, planted, tuple(faults))


def _plant(fault: Fault, files: Files) -> None:
    for edit in fault.edits:
        edit.plant(files)


def revision_1(made: Demo) -> Files:
    """The files that differed before revision 2: a kitchen of revision A, a spool of the right length."""
    files = dict(made.planted)
    for fault in made.faults:
        if fault.key == "J11:A08-RW1":
            for edit in fault.edits:
                edit.undo(files)
    for name in ("parts.csv", "types.csv"):
        files[name] = _without_kitchen_b(name, files[name])
    return {name: text for name, text in files.items() if text != made.planted[name]}


def _without_kitchen_b(name: str, text: str) -> str:
    """parts.csv and types.csv as they were while the kitchen A07-11 was one like all the others."""
    lines = text.splitlines(keepends=True)
    if name == "types.csv":
        return "".join(line for line in lines if not line.startswith("KL,B,"))
    old, new = f"{KITCHEN_OF_REVISION_2},KL,B,", f"{KITCHEN_OF_REVISION_2},KL,A,"
    return "".join(line.replace(old, new) for line in lines)


def demo_files() -> Files:
    """Every file that is written, by its name in the demo's folder."""
    made = demo()
    files = dict(made.planted)
    files[PLANTED_FILE] = toml_text(made.faults)
    return files | {f"revisions/1/{name}": text for name, text in revision_1(made).items()}


def fault_table(faults: tuple[Fault, ...]) -> str:
    """The planted faults as a table for README.md."""
    lines = ["| id | finding | where | how it got there |", "|---|---|---|---|"]
    for fault in faults:
        shown = f"`{fault.code}`" + (" (site)" if fault.check == "site" else "")
        lines.append(f"| {fault.id} | {shown} | {fault.where} | {fault.story} |")
    return "\n".join(lines)


def readme(text: str, faults: tuple[Fault, ...]) -> str:
    """README.md with its table of faults brought up to date."""
    before, _, rest = text.partition(TABLE_STARTS)
    _, _, after = rest.partition(TABLE_ENDS)
    return f"{before}{TABLE_STARTS}\n{fault_table(faults)}\n{TABLE_ENDS}{after}"


def main(arguments: list[str]) -> None:
    """Write the demo's files into a folder, by default its own."""
    folder = Path(arguments[0]) if arguments else HOME
    write_files(demo_files(), folder)
    text = (HOME / "README.md").read_text(encoding="utf-8")
    write_files({"README.md": readme(text, demo().faults)}, folder)


if __name__ == "__main__":
    main(sys.argv[1:])
