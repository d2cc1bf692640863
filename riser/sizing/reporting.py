# SPDX-License-Identifier: Apache-2.0
"""Making a finding about pipes of one size: a stretch of runs, told once from its first to its last."""

from __future__ import annotations

from riser.audit.finding import Finding, FindingKind
from riser.network.items import rests_on
from riser.network.model import Model
from riser.network.where import Place
from riser.rules import Rules

# A finding rests on this many pipes at most; a longer stretch is told by its ends and count.
RESTS_ON = 50


def sizing_finding(
    model: Model,
    rules: Rules,
    kind: FindingKind,
    place: Place,
    items: tuple[str, ...],
    says: str,
    *,
    basis: str = "",
    remedy: str = "",
    because: str | None = None,
    runs: tuple[int, ...] = (),
    nodes: tuple[int, ...] = (),
) -> Finding:
    """A finding under the drainage rules; `runs` and `nodes` are what it rests on."""
    return Finding(
        code=kind.code,
        name=kind.name,
        severity=rules.severity("drainage", kind.code, kind.severity),
        items=items,
        floor=place.floor,
        building=place.building,
        system=place.system,
        where=place.words,
        says=says,
        remedy=remedy or kind.remedy,
        basis=basis or kind.basis,
        because=because,
        rests_on=rests_on(model, runs=runs[:RESTS_ON], nodes=nodes[:RESTS_ON]),
    )
