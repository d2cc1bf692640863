# SPDX-License-Identifier: Apache-2.0
"""`riser rules`: the rule sets, what is in them, what is left to confirm, and how two differ."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from riser.cli.shell import AsJson, By, JobPath, Records, answering, opened, print_json, working

if TYPE_CHECKING:
    from riser.rules import RuleSet
    from riser.work.job import Job

SetName = Annotated[str, typer.Argument(metavar="SET", help="A rule set, as `riser rules list` names it.")]
OfJob = Annotated[
    Path | None,
    typer.Option("--job", help="The set as this job has it: with local amendments and confirmed rows."),
]
MOST = 30


def _print_job_json(job: Job, content: dict[str, Any]) -> None:
    """One JSON object whose `rules` is the list asked for; what the job chose stands under `chosen`."""
    print_json(job, {"chosen": job.rule_ids, **content})


def _set_of(name: str, job: Path | None, records: str) -> RuleSet:
    from riser.rules import confirmed_set, load_set

    if job is None:
        return load_set(name)
    from riser.work.confirmed_rows import confirmations

    opened_job = opened(job, records)
    said = confirmations(opened_job.state, opened_job.tables.settings)
    return confirmed_set(load_set(name, opened_job.tables.amendments), said)


def _list_command(app: typer.Typer) -> None:
    @app.command("list")
    def list_command(as_json: AsJson = False) -> None:
        """The rule sets that come with riser: what each covers and how sure its figures are."""
        with answering(as_json):
            with working("reading rule sets"):
                from riser.reports.rule_set_text import set_json, set_list_text
                from riser.rules import load_set, set_names

                sets = [load_set(name) for name in set_names()]
            if as_json:
                print_json(None, {"rules": [set_json(rule_set) for rule_set in sets]})
            else:
                typer.echo(set_list_text(sets))


def _show_command(app: typer.Typer) -> None:
    @app.command("show")
    def show_command(
        rule_set: SetName,
        table: Annotated[str, typer.Argument(metavar="[TABLE]", help="Only this table, row by row.")] = "",
        job: OfJob = None,
        records: Records = "",
        as_json: AsJson = False,
    ) -> None:
        """One rule set, or one of its tables row by row with certainty and source."""
        with answering(as_json):
            found = _set_of(rule_set, job, records)
            if table:
                _show_table(found, table, as_json)
            else:
                _show_set(found, as_json)


def _show_set(found: RuleSet, as_json: bool) -> None:
    from riser.reports.rule_set_text import set_json, set_text, table_json

    if not as_json:
        typer.echo(set_text(found))
        return
    tables = [table_json(table) for table in found.tables.values()]
    print_json(None, {**set_json(found), "left_out": list(found.left_out), "rules": tables})


def _show_table(found: RuleSet, name: str, as_json: bool) -> None:
    from riser.reports.rule_set_text import row_json, table_text
    from riser.work.confirm_row import table_named

    table = table_named(found, name)
    if as_json:
        rows = [row_json(table, row) for row in table.rows]
        print_json(None, {"set": found.id, "table": table.name, "rules": rows})
    else:
        typer.echo(table_text(table))


def _todo_command(app: typer.Typer) -> None:
    @app.command("todo")
    def todo_command(
        job: JobPath,
        everything: Annotated[bool, typer.Option("--all", help=f"All rows, not the first {MOST}.")] = False,
        records: Records = "",
        as_json: AsJson = False,
    ) -> None:
        """Rows not yet compared with the standard in print, by how many figures of the job they decide."""
        with answering(as_json):
            opened_job = opened(job, records)
            with working("counting what each row decides"):
                from riser.work.rules_todo import rules_todo, todo_text

                todo = rules_todo(opened_job)
            if as_json:
                content = {"rules": [row.as_json() for row in todo.rows], "confirmed": todo.confirmed}
                counted = {"figures_counted": todo.decided.figures, "not_counted": todo.decided.silent}
                _print_job_json(opened_job, {**counted, **content})
            else:
                typer.echo(todo_text(todo, len(todo.rows) if everything else MOST))


def _confirm_command(app: typer.Typer) -> None:
    @app.command("confirm")
    def confirm_command(
        job: JobPath,
        rule_set: SetName,
        table: Annotated[str, typer.Argument(metavar="TABLE", help="The table of the row.")],
        row: Annotated[str, typer.Argument(metavar="ROW", help="The row, as `riser rules show` names it.")],
        by: By,
        evidence: Annotated[
            str, typer.Option("--evidence", help="What was held against it: print, page, copy number.")
        ],
        records: Records = "",
        as_json: AsJson = False,
    ) -> None:
        """Record that a row is as the standard prints it; from then on it counts as read on this job."""
        with answering(as_json):
            opened_job = opened(job, records)
            from riser.work.confirm_row import confirm_row

            done = confirm_row(opened_job, rule_set, table, row, by=by, evidence=evidence)
            if as_json:
                row_said = {"row": done.name, "figures": done.figures, "line": done.line.as_json()}
                _print_job_json(opened_job, {"rules": [row_said], "warnings": done.warnings})
                return
            figures = ", ".join(f"{column} {text}" for column, text in done.figures.items())
            typer.echo(f"line {done.line.sequence}: {done.name} confirmed by {done.line.author}")
            typer.echo(f"    {figures}")
            for warning in done.warnings:
                typer.echo(f"Note: {warning}", err=True)


def _diff_command(app: typer.Typer) -> None:
    @app.command("diff")
    def diff_command(
        set_a: Annotated[str, typer.Argument(metavar="SET_A", help="The first set, called a.")],
        set_b: Annotated[str, typer.Argument(metavar="SET_B", help="The other set, called b.")],
        as_json: AsJson = False,
    ) -> None:
        """What is different between two rule sets: tables, rows and figures."""
        with answering(as_json):
            from riser.reports.rule_set_text import differences_text
            from riser.rules import load_set, rule_differences

            a, b = load_set(set_a), load_set(set_b)
            found = rule_differences(a, b)
            if as_json:
                print_json(None, {"a": a.id, "b": b.id, "rules": [each.as_json() for each in found]})
            else:
                typer.echo(differences_text(a, b, found))


def add_to(app: typer.Typer) -> None:
    """Register the commands."""
    rules = typer.Typer(no_args_is_help=True, rich_markup_mode=None)
    for add in (_list_command, _show_command, _todo_command, _confirm_command, _diff_command):
        add(rules)
    app.add_typer(rules, name="rules", help="The rule sets: list, show, todo, confirm, diff.")
