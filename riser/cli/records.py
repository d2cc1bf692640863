# SPDX-License-Identifier: Apache-2.0
"""`riser record` and `riser verify`: what happened, and whether the records are whole."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated, Any

import typer

from riser.cli.shell import (
    ERRORS_STAND,
    AsJson,
    By,
    JobPath,
    Records,
    answering,
    opened,
    print_json,
    working,
)


def _value(text: str) -> Any:
    """A data value as typed: a number, true or false, else text."""
    try:
        return json.loads(text)
    except json.JSONDecodeError:
        return text


def _data(pairs: list[str] | None) -> dict[str, Any]:
    data = {}
    for pair in pairs or []:
        name, equals, value = pair.partition("=")
        if not equals:
            raise typer.BadParameter(f"{pair!r} is not NAME=VALUE")
        data[name] = _value(value)
    return data


def _record_command(app: typer.Typer) -> None:
    @app.command("record")
    def record_command(
        job: JobPath,
        kind: Annotated[str, typer.Argument(help="placed, capped, made, inspected, covered, accepted ...")],
        by: By,
        about: Annotated[str, typer.Argument(help="Part, stub, connection, joint or finding key.")] = "",
        reason: Annotated[str, typer.Option("--reason", help="Why.")] = "",
        data: Annotated[list[str] | None, typer.Option("--data", help="Further fields, NAME=VALUE.")] = None,
        at: Annotated[
            str | None, typer.Option("--at", help="When it happened by the device's clock, with offset.")
        ] = None,
        replaces: Annotated[int | None, typer.Option("--replaces", help="The line this corrects.")] = None,
        key: Annotated[str, typer.Option("--key", help="Entry key: sending twice records once.")] = "",
        records: Records = "",
        as_json: AsJson = False,
    ) -> None:
        """Add to the records. A joint id stands for all its connections; a typed id must exist in the job."""
        with answering(as_json):
            opened_job = opened(job, records)
            from riser.work.record import Said, record

            said = Said(kind, about, by, reason, _data(data), at, replaces, key)
            recorded = record(opened_job, said)
            if as_json:
                lines = [line.as_json() for line in recorded.lines]
                print_json(opened_job, {"lines": lines, "warnings": recorded.warnings})
                return
            for line in recorded.lines:
                typer.echo(f"line {line.sequence}: {line.kind} {line.about} by {line.author}")
            for warning in recorded.warnings:
                typer.echo(f"Note: {warning}", err=True)


def _verify_command(app: typer.Typer) -> None:
    @app.command("verify")
    def verify_command(
        job: JobPath,
        mark: Annotated[
            list[Path] | None, typer.Option("--mark", help="A file with a latest mark somebody has kept.")
        ] = None,
        records: Records = "",
        as_json: AsJson = False,
    ) -> None:
        """Recompute the records: every altered, removed, reordered or forged line is named; exit 1 then."""
        with answering(as_json):
            from riser.work.verify import verification_text, verify_records

            with working("verifying"):
                result = verify_records(job, records, mark or [])
            if as_json:
                print_json(None, {"verification": result.as_json()})
            else:
                typer.echo(verification_text(result))
            if result.faults:
                raise typer.Exit(ERRORS_STAND)


def add_to(app: typer.Typer) -> None:
    """Register the commands."""
    _record_command(app)
    _verify_command(app)
