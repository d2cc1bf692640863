# SPDX-License-Identifier: Apache-2.0
"""Findings as values."""

from __future__ import annotations

from dataclasses import replace

from riser.audit import COMMON_PRACTICE, Finding, Severity, roots

ROOT = Finding(
    code="D03",
    name="drain narrows",
    severity=Severity.ERROR,
    items=("M07-03/R2", "M07-03/R1"),
    floor="7",
    building="A",
    system="soil",
    where="shaft S1",
    says="DN 100 follows DN 150.",
    remedy="Use DN 150.",
    basis=COMMON_PRACTICE,
    rests_on=(("M07-03/R1", "ab"),),
)


def test_the_key_does_not_depend_on_the_order_of_the_items() -> None:
    assert ROOT.key == "D03:M07-03/R1:M07-03/R2"
    assert replace(ROOT, items=ROOT.items[::-1]).key == ROOT.key


def test_a_consequence_is_not_a_root() -> None:
    consequence = replace(ROOT, code="D05").caused_by(ROOT.key)
    assert roots([ROOT, consequence]) == [ROOT]
    assert consequence.caused_by(None).because is None


def test_json_holds_the_key_and_plain_values() -> None:
    data = ROOT.as_json()
    assert (data["key"], data["severity"], data["items"]) == (ROOT.key, "error", list(ROOT.items))
    assert data["rests_on"] == {"M07-03/R1": "ab"}
