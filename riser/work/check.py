# SPDX-License-Identifier: Apache-2.0
"""Checking a job: every finding of every part of the program, weighed, accepted and folded."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace

from riser import joints, layout, sizing
from riser.audit.finding import Finding, Severity
from riser.network.model import Model
from riser.records import State
from riser.records.state import Acceptance
from riser.rules import Rules
from riser.work import records_findings
from riser.work.job import Job

# Which rule set decides how much a finding weighs, by family; joints, records and the model weigh as they do.
SUBJECT_OF_FAMILY = {"D": "drainage", "S": "supply", "F": "fire", "P": "tests"}
ORDER = (Severity.ERROR, Severity.WARNING, Severity.NOTE)


@dataclass(frozen=True)
class CheckResult:
    """All findings of one check, sorted by floor and system; `accepted` by finding key.

    An acceptance counts only while every item it rests on has the hash it had then; `lapsed` names the
    accepted findings that have come back.
    """

    findings: list[Finding]
    accepted: dict[str, Acceptance]
    lapsed: dict[str, Acceptance]
    site: bool

    @property
    def roots(self) -> list[Finding]:
        """Findings that are nobody's consequence."""
        return [f for f in self.findings if f.because is None]

    @property
    def standing_errors(self) -> list[Finding]:
        """Root errors that nobody has accepted: they make a check exit with 1."""
        return [f for f in self.roots if f.severity is Severity.ERROR and f.key not in self.accepted]

    @property
    def counts(self) -> dict[str, int]:
        """Root findings per severity, the accepted ones apart."""
        count = Counter(str(f.severity) for f in self.roots if f.key not in self.accepted)
        return {str(s): count[str(s)] for s in ORDER} | {"accepted": len(self.accepted)}


def _weighed(finding: Finding, rules: Rules) -> Finding:
    subject = SUBJECT_OF_FAMILY.get(finding.code[0])
    if subject is None:
        return finding
    return replace(finding, severity=rules.severity(subject, finding.code, finding.severity))


def folded(findings: list[Finding]) -> list[Finding]:
    """Consequences under the root of their chain; a cause that is not among the findings is none."""
    by_key = {f.key: f for f in findings}
    result = []
    for finding in findings:
        cause, seen = finding.because, {finding.key}
        while cause in by_key and cause not in seen and by_key[cause].because is not None:
            seen.add(cause)
            cause = by_key[cause].because
        result.append(finding.caused_by(cause if cause in by_key and cause not in seen else None))
    return result


def _split_acceptances(
    findings: list[Finding], state: State
) -> tuple[dict[str, Acceptance], dict[str, Acceptance]]:
    accepted: dict[str, Acceptance] = {}
    lapsed: dict[str, Acceptance] = {}
    for finding in findings:
        acceptance = state.accepted.get(finding.key)
        if acceptance is not None:
            holds = dict(acceptance.rests_on) == dict(finding.rests_on)
            (accepted if holds else lapsed)[finding.key] = acceptance
    return accepted, lapsed


# What the site check asks of the layout; the rest is the design check's (docs/decisions/0004).
ASKED_ON_SITE = frozenset({"D04", "F01"})


def _layout_findings(model: Model, rules: Rules) -> list[Finding]:
    found = layout.findings(model, rules)
    return [f for f in found if f.code in ASKED_ON_SITE] if model.site else found


def _all_findings(model: Model, drawn: Model, rules: Rules, state: State) -> list[Finding]:
    """Every package that yields findings, in an explicit list."""
    found = [
        *joints.findings(model),
        *_layout_findings(model, rules),
    ]
    if not model.site:
        found += sizing.findings(model, rules)
    return [*found, *records_findings.findings(drawn, state)]


def check(job: Job, *, site: bool = False) -> CheckResult:
    """Check the design, or what stands on site."""
    model = job.site if site else job.design
    found = _all_findings(model, job.design, job.rules, job.state)
    unique = list({f.key: _weighed(f, job.rules) for f in found}.values())
    findings = folded(unique)
    floors = job.design.placed.floors
    rank = {key: n for n, key in enumerate(zip(floors.building, floors.name, strict=True))}
    findings.sort(
        key=lambda f: (
            rank.get((f.building, f.floor), -1),
            f.system,
            ORDER.index(f.severity),
            f.key,
        )
    )
    accepted, lapsed = _split_acceptances(findings, job.state)
    return CheckResult(findings, accepted, lapsed, site)
