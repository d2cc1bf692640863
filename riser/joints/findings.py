# SPDX-License-Identifier: Apache-2.0
"""All findings about joints, in one list."""

from __future__ import annotations

from riser.audit.finding import Finding
from riser.joints import covering, fit_findings, matching, measured
from riser.network.model import Model

CHECKS = (
    matching.not_scheduled,
    matching.no_stub,
    matching.apart,
    matching.not_facing,
    matching.ties,
    matching.open_ends,
    matching.two_joints,
    matching.wrong_system,
    fit_findings.makeups,
    fit_findings.fits,
    covering.no_access,
    covering.in_sleeve,
    covering.annuli,
    covering.waiting,
    measured.off_place,
)


def findings(model: Model) -> list[Finding]:
    """Every joint finding of what counts in this model. Joints are judged by catalogue and geometry, not by
    a code of practice, so no rule set is asked; severities are still the rule set's to change.
    """
    return [finding for check in CHECKS for finding in check(model)]
