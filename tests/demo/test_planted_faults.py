# SPDX-License-Identifier: Apache-2.0
"""Every planted fault is found as a root, nothing else is; undoing one takes it away with what it causes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping

import pytest

from demo_project.build import HOME, Demo
from demo_project.faults import Fault, cannot_be_judged, planted_faults
from riser.audit import Finding, Severity

Check = Callable[[Mapping[str, str]], dict[str, Finding]]
DESIGN_FAULTS = [fault for fault in planted_faults(HOME) if fault.check == "design"]
# Faults with consequences, and some of each family; all of them are undone in the soak.
SAMPLE = {
    "J01:A05-07/CWL+A05-09/CW",
    "J02:A09-CW1",
    "J08:A08-03-NP",
    "J19:BG/SS1",
    "D06:BRF-01/SS-VT:BRF-01/WS-VT",
    "D08:BG/soil-10:BG/soil-23",
    "S01:P01-04/BF2",
    "M02:A12-11/hot-3:A12-11/power-1",
}


def test_at_least_25_faults_of_at_least_18_kinds_are_planted() -> None:
    faults = planted_faults(HOME)
    assert len(faults) >= 25
    assert len({fault.code for fault in faults}) >= 18
    assert len({fault.key for fault in faults}) == len({fault.id for fault in faults}) == len(faults)
    assert all(fault.where and fault.story and fault.edits for fault in faults)


def test_the_roots_are_the_planted_faults_and_what_cannot_be_judged(
    planted_findings: dict[str, Finding],
) -> None:
    roots = {key for key, finding in planted_findings.items() if finding.because is None}
    assert roots == {fault.key for fault in DESIGN_FAULTS} | set(cannot_be_judged(HOME))


def test_only_planted_faults_are_errors_or_warnings(planted_findings: dict[str, Finding]) -> None:
    heavy = {
        key
        for key, finding in planted_findings.items()
        if finding.because is None and finding.severity is not Severity.NOTE
    }
    assert heavy == {fault.key for fault in DESIGN_FAULTS}


def test_the_cut_riser_the_capped_stacks_and_others_have_consequences(
    planted_findings: dict[str, Finding],
) -> None:
    count = Counter(f.because for f in planted_findings.values() if f.because is not None)
    assert count["J02:A09-CW1"] > 20
    assert count["D06:BRF-01/SS-VT:BRF-01/WS-VT"] > 40
    assert {"J03:A09-06-FR", "J08:A08-03-NP", "J19:BG/SS1"} <= set(count)


@pytest.mark.parametrize(
    "fault",
    [
        pytest.param(fault, id=fault.id, marks=() if fault.key in SAMPLE else pytest.mark.soak)
        for fault in DESIGN_FAULTS
    ],
)
def test_undoing_one_fault_removes_its_root_and_its_consequences_and_nothing_else(
    fault: Fault, demo: Demo, planted_findings: dict[str, Finding], check: Check
) -> None:
    files = dict(demo.planted)
    for edit in fault.edits:
        edit.undo(files)
    now = check(files)
    its_own = {key for key, f in planted_findings.items() if fault.key in (key, f.because)}
    assert set(planted_findings) - set(now) == its_own
    assert set(now) <= set(planted_findings)
    assert all(now[key].says == planted_findings[key].says for key in now)
