# SPDX-License-Identifier: Apache-2.0
"""How many figures of a job each row of a rule set decides, counted over the derivations themselves."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from riser.audit import InRules, Node, origins
from riser.errors import NotInRules
from riser.sizing import fixture_units
from riser.sizing.fixture_units.deciding_rows import sized_point
from riser.sizing.procedures import drainage_procedure
from riser.work.job import Job

RowId = tuple[str, str, str]
COUNTED = ("drainage",)


@dataclass(frozen=True)
class DecidedFigures:
    """By rule row (set, table, label) how many figures it decides; `figures` were looked at.

    `silent` says, by subject, why nothing was counted there.
    """

    by_row: Counter[RowId]
    figures: int
    silent: dict[str, str]


def decided_figures(job: Job) -> DecidedFigures:
    """The figures of a job by the rows that decide them: the least sizes of drains and vents."""
    counts: Counter[RowId] = Counter()
    silent = {
        subject: "no derivations to count yet" for subject in job.rules.by_subject if subject not in COUNTED
    }
    figures = 0
    try:
        for tree in _drain_and_vent_sizes(job):
            figures += 1
            rows = {(o.rule_set, o.table, o.row) for o in origins(tree) if isinstance(o, InRules)}
            counts.update(rows)
    except NotInRules as reason:
        silent["drainage"] = str(reason)
    return DecidedFigures(counts, figures, silent)


def _drain_and_vent_sizes(job: Job) -> Iterator[Node]:
    """The derivation of every least size of a run or joint; NotInRules where the set cannot size."""
    rule_set = job.rules.subject("drainage")
    if drainage_procedure(rule_set).sizes is not fixture_units.sizes:
        raise NotInRules("no derivations to count yet")
    building = fixture_units.building_sizes(job.design, rule_set)
    drains, vents = building.drain_sheets(brief=True), building.vent_sheets(brief=True)
    rows = zip(building.drain_point.tolist(), building.vent_point.tolist(), building.least_m, strict=True)
    for drain, vent, least in rows:
        if np.isnan(least) or (drain < 0 and vent < 0):
            continue
        try:
            yield drains.least_size(drain) if drain >= 0 else vents.least_size(sized_point(building, vent))
        except NotInRules:
            continue
