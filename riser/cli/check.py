# SPDX-License-Identifier: Apache-2.0
"""`riser check`: findings by floor and system."""

from __future__ import annotations

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
    from riser.audit.finding import Finding
    from riser.work.check import CheckResult


def _as_json(result: CheckResult) -> dict[str, Any]:
    rows = []
    for finding in result.findings:
        row = finding.as_json()
        if finding.key in result.accepted:
            acceptance = result.accepted[finding.key]
            row["accepted"] = {"by": acceptance.by, "reason": acceptance.reason, "line": acceptance.line}
        if finding.key in result.lapsed:
            row["acceptance_lapsed"] = {"line": result.lapsed[finding.key].line}
        rows.append(row)
    return {"check": "site" if result.site else "design", "counts": result.counts, "findings": rows}


def result_text(result: CheckResult) -> str:
    """All root findings by place, and the counts."""
    consequences: dict[str, list[Finding]] = {}
    for finding in result.findings:
        if finding.because is not None:
            consequences.setdefault(finding.because, []).append(finding)
    text, heading = list[str](), ""
    for finding in result.roots:
        place = f"{finding.building} floor {finding.floor}".strip() if finding.floor else "The whole job"
        if place != heading:
            heading = place
            text.append(f"\n{place}")
        text.append(_lines(finding, result, consequences.get(finding.key, [])))
    counts = [_count(word, n) for word, n in result.counts.items()]
    text.append(f"\n{', '.join(counts)}; {sum(map(len, consequences.values()))} consequences.")
    return "\n".join(text).lstrip("\n")


def _count(word: str, number: int) -> str:
    """`1 error`, `2 errors`, `3 accepted`."""
    return f"{number} {word}" if number == 1 or word == "accepted" else f"{number} {word}s"


def _lines(finding: Finding, result: CheckResult, consequences: list[Finding]) -> str:
    head = f"  {finding.code} {finding.name} [{finding.severity}] {finding.system}".rstrip()
    text = [head, f"     {finding.says}", f"     Do: {finding.remedy} ({finding.basis})"]
    if finding.key in result.accepted:
        acceptance = result.accepted[finding.key]
        text.append(f"     Accepted by {acceptance.by}: {acceptance.reason}")
    if finding.key in result.lapsed:
        text.append("     Was accepted; what it rests on has changed since, so it is back.")
    if consequences:
        kinds = {f.name for f in consequences}
        text.append(f"     Because of this: {len(consequences)} more ({', '.join(sorted(kinds))}).")
    text.append(f"     Key: {finding.key}")
    return "\n".join(text)


def add_to(app: typer.Typer) -> None:
    """Register the command."""

    @app.command("check")
    def check_command(
        job: JobPath,
        site: Annotated[bool, typer.Option("--site", help="Only what is recorded as placed.")] = False,
        as_json: AsJson = False,
        rules: OtherRules = None,
        records: Records = "",
    ) -> None:
        """Findings, by floor and system; exit 1 where errors stand that nobody has accepted."""
        with answering(as_json):
            opened_job = opened(job, records, rules)
            with working("checking"):
                from riser.work.check import check

                result = check(opened_job, site=site)
            if as_json:
                print_json(opened_job, _as_json(result))
            else:
                typer.echo(result_text(result))
            if result.standing_errors:
                raise typer.Exit(ERRORS_STAND)
