# SPDX-License-Identifier: Apache-2.0
"""Rows of rule sets that somebody on the job has compared with the standard in print, from the records."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from riser.project.settings import zone_of
from riser.records import State
from riser.rules import Confirmed


def confirmations(state: State, settings: Mapping[str, Any]) -> dict[str, Confirmed]:
    """What the records confirm, by `SET:TABLE:ROW`; days are those of the site."""
    zone = zone_of(settings)
    return {
        name: Confirmed(
            said.by,
            datetime.fromisoformat(said.time).astimezone(zone).date().isoformat(),
            said.evidence,
            said.figures,
        )
        for name, said in state.confirmed.items()
    }
