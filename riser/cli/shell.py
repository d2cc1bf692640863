# SPDX-License-Identifier: Apache-2.0
"""What all commands share: the job argument, --json, errors as exit codes, and progress on slow work.

Exit codes: 0 fine; 1 unaccepted root errors stand; 2 input errors; 3 refused by a rule.
"""

from __future__ import annotations

import contextlib
import json
import sys
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from riser import __version__
from riser.errors import InputError, InputErrors, Refused, RiserError, RuleSetError

if TYPE_CHECKING:
    from rich.console import RenderableType

    from riser.work.job import Job

JobPath = Annotated[
    Path, typer.Argument(metavar="JOB", help="The job folder, or a workbook with its sheets.")
]
AsJson = Annotated[bool, typer.Option("--json", help="Print one JSON object.")]
Records = Annotated[
    str,
    typer.Option("--records", envvar="RISER_RECORDS", help="Records elsewhere: a file or a database URL."),
]
OtherRules = Annotated[
    list[str] | None,
    typer.Option("--rules", help="Use this rule set instead for the subjects it covers; repeatable."),
]
By = Annotated[str, typer.Option("--by", help="Who says so: the name that stands in the records.")]

FINE, ERRORS_STAND, BAD_INPUT, REFUSED = 0, 1, 2, 3
SLOW_S = 1.0


def print_json(job: Job | None, content: dict[str, Any]) -> None:
    """One JSON object: version, job, rules, and the list that was asked for."""
    head: dict[str, Any] = {"riser": __version__}
    if job is not None:
        head |= {"job": job.name, "rules": job.rule_ids}
    typer.echo(json.dumps({**head, **content}, ensure_ascii=False, indent=1, allow_nan=False))


@contextlib.contextmanager
def answering(as_json: bool) -> Iterator[None]:
    """Turn errors of any kind that riser raises on purpose into a sentence and an exit code."""
    try:
        yield
    except InputErrors as error:
        if as_json:
            print_json(None, {"errors": [e.as_json() for e in error.errors]})
        else:
            for e in error.errors:
                typer.echo(e.sentence(), err=True)
            typer.echo(f"{len(error.errors)} input errors; nothing was written.", err=True)
        raise typer.Exit(BAD_INPUT) from None
    except Refused as error:
        if as_json:
            print_json(None, {"refusals": error.reasons})
        else:
            for reason in error.reasons:
                typer.echo(f"Refused: {reason}", err=True)
        raise typer.Exit(REFUSED) from None
    except RuleSetError as error:
        _plain(as_json, error, {"file": error.file, "table": error.table, "row": error.row})
    except RiserError as error:
        _plain(as_json, error, {})


def _plain(as_json: bool, error: RiserError, place: dict[str, str]) -> None:
    if as_json:
        print_json(None, {"errors": [{**place, "found": str(error)}]})
    else:
        typer.echo(str(error), err=True)
    raise typer.Exit(BAD_INPUT) from None


@contextlib.contextmanager
def working(words: str) -> Iterator[None]:
    """Say what is going on once it takes longer than a second; on the error stream, so output stays clean."""
    done = threading.Event()

    told: list[int] = []

    def tell() -> None:
        while not done.wait(SLOW_S):
            told.append(len(told) + 1)
            sys.stderr.write(f"\r{words} ... {told[-1]} s ")
            sys.stderr.flush()

    teller = threading.Thread(target=tell, daemon=True)
    teller.start()
    try:
        yield
    finally:
        done.set()
        teller.join()
        if told:
            sys.stderr.write("\r\033[K" if sys.stderr.isatty() else "\n")


def opened(path: Path, records: str = "", rules: list[str] | None = None) -> Job:
    """The job, read with progress shown."""
    with working(f"reading {path.name}"):
        from riser.work.job import open_job

        return open_job(path, records=records, rules=tuple(rules or ()))


def print_rich(shown: RenderableType) -> None:
    """Print something rich can show, without colour where the output is no terminal."""
    from rich.console import Console

    Console(highlight=False).print(shown)


def write_file(path: Path, content: bytes, quiet: bool) -> None:
    """Write a sheet or list, and say so. InputErrors where it cannot be written."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    except OSError as fault:
        error = InputError(
            str(path), None, None, "no place to write", "a file that can be written", f"({fault})"
        )
        raise InputErrors([error]) from fault
    if not quiet:
        typer.echo(f"{path}: {len(content)} bytes")
