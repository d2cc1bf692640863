# SPDX-License-Identifier: Apache-2.0
"""`riser size` and `riser explain`: required against drawn size, and where each number comes from."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Annotated, Any

import typer

from riser.cli.shell import (
    ERRORS_STAND,
    AsJson,
    JobPath,
    OtherRules,
    Records,
    answering,
    opened,
    print_json,
    working,
)

if TYPE_CHECKING:
    from riser.proving.required import RequiredTest
    from riser.sizing import SizeTable
    from riser.work.job import Job

MAIN_KINDS = ("stack", "horizontal offset", "building drain", "stack vent", "vent stack", "vent header")


def _plain(value: Any) -> Any:
    """A value for JSON: numbers that are not known become null."""
    if hasattr(value, "item"):
        value = value.item()
    return None if isinstance(value, float) and not math.isfinite(value) else value


def _rows(table: SizeTable) -> list[dict[str, Any]]:
    frame = table.frame()
    return [{str(name): _plain(value) for name, value in row.items()} for row in frame.to_dict("records")]


def _number(value: Any) -> str:
    return "" if value is None else f"{value:.4g}"


def _decided(row: dict[str, Any]) -> str:
    """How many rule rows decided the size, by how they are known."""
    parts = [f"{row[word]} {word}" for word in ("read", "unverified", "conflict", "local") if row[word]]
    return ", ".join(parts)


def _size_lines(row: dict[str, Any]) -> str:
    """One pipe in two lines: the comparison, and what it rests on."""
    load = f"{_number(row['load'])} {row['load_unit']}".strip()
    margin = f"; margin {_number(row['margin'])} {row['margin_unit']}" if row["margin"] is not None else ""
    verdict = "" if row["verdict"] == "large enough" else f" - {row['verdict'].upper()}"
    place = f"{row['building']}/{row['floor']}"
    head = f"{row['id']}  ({place}, {row['system']} {row['kind']}){verdict}"
    sizes = f"load {load or 'unknown'}; required {row['least_text'] or 'unknown'}; drawn {row['drawn_text']}"
    rests = ", ".join(part for part in (row["clause"], _decided(row)) if part)
    why = f"\n    {row['why']}" if row["why"] else ""
    return f"{head}\n    {sizes}{margin}\n    {rests}{why}"


def _test_rows(job: Job) -> list[dict[str, Any]]:
    from riser.proving.required import required_tests

    return [_test_row(test) for test in required_tests(job.design, job.rules)]


def _test_row(test: RequiredTest) -> dict[str, Any]:
    span = test.span
    return {
        "riser": span.riser,
        "system": span.system.label,
        "building": span.building,
        "floor": span.floor,
        "test": test.test,
        "stage": test.stage,
        "medium": test.medium,
        "bottom_level_m": _plain(span.bottom_level_m),
        "top_level_m": _plain(span.top_level_m),
        "gauge_level_m": _plain(span.gauge_level_m),
        "water_level_m": _plain(test.water_level_m),
        **{f"{place}_kpa_gauge": _plain(value / 1000.0) for place, value in test.pressure_pa.items()},
        "head_met_everywhere": test.head_met,
        "hold_min": _plain(test.hold_s / 60.0),
        "reference_point": test.reference_point,
        "pass_rule": test.pass_rule,
        "clause": test.clause,
        "within_rating": test.within_rating,
        "refused": test.refused,
    }


def _test_lines(row: dict[str, Any]) -> str:
    """One required test in three lines: which, the still pressures, and the rule."""
    where = f"{row['building']}/{row['floor']}" if row["floor"] else "whole riser"
    pressures = ", ".join(
        f"{place} {_number(row[f'{place}_kpa_gauge']) or 'not known'}" for place in ("top", "bottom", "gauge")
    )
    remark = row["refused"] or ("" if row["head_met_everywhere"] else "head not met at every joint here")
    return (
        f"{row['riser']} {row['system']}, {where}: {row['test'].replace('_', ' ')} ({row['medium']})\n"
        f"    still pressure, kPa gauge: {pressures}; hold {_number(row['hold_min'])} min\n"
        f"    {row['pass_rule']}; {row['clause']}" + (f"\n    {remark}" if remark else "")
    )


def _size_command(app: typer.Typer) -> None:
    @app.command("size")
    def size_command(
        job: JobPath,
        everything: Annotated[
            bool, typer.Option("--all", help="Every pipe, not only stacks, drains and what is wrong.")
        ] = False,
        tests: Annotated[
            bool, typer.Option("--tests", help="The test each riser and floor needs, with still pressures.")
        ] = False,
        as_json: AsJson = False,
        rules: OtherRules = None,
        records: Records = "",
    ) -> None:
        """Required against drawn size of drains and vents; exit 1 if one is too small."""
        with answering(as_json):
            opened_job = opened(job, records, rules)
            with working("sizing"):
                from riser.sizing import sizes

                rows = _rows(sizes(opened_job.design, opened_job.rules))
                proofs = _test_rows(opened_job) if tests else []
            if as_json:
                print_json(opened_job, {"sizes": rows, **({"tests": proofs} if tests else {})})
            else:
                _show(rows, proofs, everything)
            if any(row["verdict"] == "too small" for row in rows):
                raise typer.Exit(ERRORS_STAND)


def _show(rows: list[dict[str, Any]], proofs: list[dict[str, Any]], everything: bool) -> None:
    wanted = [
        row
        for row in rows
        if everything or row["kind"] in MAIN_KINDS or row["verdict"] in ("too small", "cannot be judged")
    ]
    for row in wanted:
        if not row["is_joint"] or row["verdict"] == "too small":
            typer.echo(_size_lines(row))
    few = sum(row["verdict"] == "too small" for row in rows)
    doubt = sum(row["verdict"] == "cannot be judged" for row in rows)
    typer.echo(f"\n{len(rows)} pipes and joints: {few} too small, {doubt} cannot be judged.")
    if proofs:
        typer.echo("\nTests, still pressures by level; follow the local code and the licensed engineer:")
        for proof in proofs:
            typer.echo(_test_lines(proof))


def _explain_command(app: typer.Typer) -> None:
    @app.command("explain")
    def explain_command(
        job: JobPath,
        item: Annotated[str, typer.Argument(metavar="ID", help="A run, joint, fixture or named stack.")],
        figure: Annotated[
            str, typer.Option("--figure", help="size, load, drawn, capacity, margin, length, fall, flow ...")
        ] = "size",
        as_json: AsJson = False,
        rules: OtherRules = None,
        records: Records = "",
    ) -> None:
        """The worked derivation of a figure: every input, formula, rule row, and the rows passed over."""
        with answering(as_json):
            opened_job = opened(job, records, rules)
            from riser.audit import decided_by
            from riser.audit.sheet_text import sheet_text
            from riser.sizing import explain

            derived = explain(opened_job.design, opened_job.rules, item, figure)
            if as_json:
                print_json(
                    opened_job, {"derivation": derived.as_json(), "decided_by": decided_by(derived).text}
                )
            else:
                typer.echo(sheet_text(derived))
                typer.echo(f"\n{decided_by(derived).text}")


def add_to(app: typer.Typer) -> None:
    """Register the commands."""
    _size_command(app)
    _explain_command(app)
