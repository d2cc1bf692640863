# SPDX-License-Identifier: Apache-2.0
"""`riser revise` and `riser diff`: the engineer's files as numbered revisions."""

from __future__ import annotations

from typing import Annotated

import typer

from riser.cli.shell import AsJson, By, JobPath, Records, answering, opened, print_json


def _revise_command(app: typer.Typer) -> None:
    @app.command("revise")
    def revise_command(
        job: JobPath,
        by: By,
        note: Annotated[str, typer.Option("--note", help="What changed, in a few words.")],
        records: Records = "",
        as_json: AsJson = False,
    ) -> None:
        """Take the files as a new revision, kept by hash in the records."""
        with answering(as_json):
            opened_job = opened(job, records)
            from riser.work.revise import revise

            taken = revise(opened_job, by=by, note=note)
            if as_json:
                print_json(
                    opened_job,
                    {"revision": taken.number, "files": taken.files, "lines": [taken.line.as_json()]},
                )
            else:
                typer.echo(f"Revision {taken.number}: {taken.files} files kept, line {taken.line.sequence}.")


def _diff_command(app: typer.Typer) -> None:
    @app.command("diff")
    def diff_command(
        job: JobPath,
        a: Annotated[
            str,
            typer.Argument(metavar="A", help="A revision's number, or `files` for the files as they are."),
        ],
        b: Annotated[str, typer.Argument(metavar="B", help="As A.")],
        records: Records = "",
        as_json: AsJson = False,
    ) -> None:
        """What changed from A to B, item by item."""
        with answering(as_json):
            opened_job = opened(job, records)
            from riser.work.revise import diff

            changes = diff(opened_job, a, b)
            if as_json:
                print_json(opened_job, {"changes": [change.as_json() for change in changes]})
                return
            for change in changes:
                typer.echo(change.sentence())
            typer.echo(f"{len(changes)} differences from {a} to {b}.")


def add_to(app: typer.Typer) -> None:
    """Register the commands."""
    _revise_command(app)
    _diff_command(app)
