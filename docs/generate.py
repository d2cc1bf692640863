# SPDX-License-Identifier: Apache-2.0
"""Writes the pages that are made from the program: `make docs`. A test holds the files equal to these."""

from __future__ import annotations

from pathlib import Path
from typing import Any

DOCS = Path(__file__).parent


def findings_page() -> str:
    """docs/findings.md: every kind of finding, by family."""
    from riser.work.kinds import FAMILIES, all_kinds

    lines = [
        "# Findings",
        "",
        "Faults in a building or in its records. Written by `make docs` from the kinds the program declares;"
        " do not edit. How much a finding weighs is the default here; a rule set may change it where"
        " standards disagree.",
    ]
    kinds = all_kinds()
    for letter, title in FAMILIES.items():
        family = [kind for kind in kinds if kind.code.startswith(letter)]
        if not family:
            continue
        lines += ["", f"## {letter}: {title}", ""]
        lines += [
            "| code | finding | weighs | what it means | what to do | basis |",
            "|---|---|---|---|---|---|",
        ]
        lines += [
            f"| {k.code} | {k.name} | {k.severity} | {k.meaning} | {k.remedy} | {k.basis} |" for k in family
        ]
    return "\n".join(lines) + "\n"


def commands_page() -> str:
    """docs/commands.md: every command with what it answers, its arguments and options."""
    import typer.main

    from riser.cli import app

    lines = [
        "# Commands",
        "",
        "Written by `make docs` from the command line itself; do not edit. Every command takes the job: a"
        " folder, or a workbook with the same sheets. `--json` prints one object.",
        "",
        "Exit codes: 0 fine; 1 errors stand that nobody has accepted; 2 input errors; 3 refused by a rule.",
    ]
    lines += _commands(typer.main.get_command(app), "riser")
    return "\n".join(lines) + "\n"


def _commands(command: Any, path: str) -> list[str]:
    """A command's section, or those of the commands under it."""
    if hasattr(command, "commands"):
        return [
            line for name, inner in command.commands.items() for line in _commands(inner, f"{path} {name}")
        ]
    lines = ["", f"## {path}", "", command.help or "", "", "| argument or option | meaning |", "|---|---|"]
    for parameter in command.params:
        if parameter.name == "help":
            continue
        option = parameter.param_type_name == "option"
        name = ", ".join(parameter.opts) if option else (parameter.metavar or parameter.name.upper())
        lines.append(f"| `{name}` | {parameter.help or ''} |")
    return lines


def pages() -> dict[str, str]:
    """Every generated page by its name under docs/."""
    from riser.project.job_folder_page import job_folder_page
    from riser.rules import load_set, set_names
    from riser.rules.pages import rule_page

    made = {
        "commands.md": commands_page(),
        "findings.md": findings_page(),
        "job_folder.md": job_folder_page(),
    }
    made |= {f"rules/{name}.md": rule_page(load_set(name)) for name in set_names()}
    return made


def main() -> None:
    """Write every page."""
    for name, text in pages().items():
        path = DOCS / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
        print(f"docs/{name}")


if __name__ == "__main__":
    main()
