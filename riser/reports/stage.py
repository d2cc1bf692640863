# SPDX-License-Identifier: Apache-2.0
"""How far a connection is: what the records and the tests say of it, the worst of a joint first."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import StrEnum

from riser.proving.gates import FACT_WORDS, WorkState
from riser.records.state import ConnectionEvents, State


class Stage(StrEnum):
    """The stages, from nothing known to closed up. Nothing is ever taken to be in order unseen."""

    NOT_YET_SEEN = "not yet seen"
    NOT_IN_ORDER = "not in order"
    MADE = "made"
    INSPECTED = "inspected"
    STALE = "proof stale"
    PROVEN = "proven"
    RELEASED = "released"
    COVERED = "covered"


RANK = {stage: place for place, stage in enumerate(Stage)}


def worst(stages: Iterable[Stage]) -> Stage:
    """The least far of several stages; `not yet seen` for none."""
    return min(stages, key=RANK.__getitem__, default=Stage.NOT_YET_SEEN)


@dataclass(frozen=True)
class Standing:
    """The state of the records, with the connections that tests have proven and whose proof is stale."""

    state: State
    proven: frozenset[str] = field(default=frozenset())
    stale: frozenset[str] = field(default=frozenset())

    def stage(self, connection: str) -> Stage:
        """How far a connection is. What was covered without a release that holds is no farther for it."""
        events = self.state.connections.get(connection)
        if events is None or not events.is_made:
            return Stage.NOT_YET_SEEN
        known = {
            Stage.NOT_IN_ORDER: _was_refused(events),
            Stage.STALE: connection in self.stale,
            Stage.COVERED: events.is_covered and events.is_released,
            Stage.RELEASED: events.is_released,
            Stage.PROVEN: connection in self.proven,
            Stage.INSPECTED: events.is_inspected,
        }
        return next((stage for stage, holds in known.items() if holds), Stage.MADE)

    def facts(self, connection: str) -> set[str]:
        """The facts that gates ask for and the records answer, for one connection.

        A gate may ask for facts of the job's own, such as "sleeve stopped": a detail of that name, set to
        true when the connection was made or inspected, says so.
        """
        events = self.state.connections.get(connection) or ConnectionEvents()
        said = {
            "made": events.is_made,
            "inspected": events.is_inspected,
            "released": events.is_released,
            "proven": connection in self.proven and connection not in self.stale,
            "photographed": self._is_photographed(connection, events),
        }
        details = {key for key, value in _details(events).items() if value is True}
        return details.difference(FACT_WORDS) | {fact for fact, holds in said.items() if holds}

    def work(self, connection: str, works: frozenset[str], facts: set[str]) -> WorkState:
        """A connection as the gates see it; `facts` are those that are known of its joint."""
        return WorkState(works, frozenset(self.facts(connection) | facts))

    def is_covered_unreleased(self, connection: str) -> bool:
        """Whether a connection was covered without permission, or its permission no longer holds."""
        events = self.state.connections.get(connection)
        return events is not None and events.is_covered and not events.is_released

    def has_placed(self, part: str) -> bool:
        """Whether the part is recorded as placed."""
        return part in self.state.placed

    def _is_photographed(self, connection: str, events: ConnectionEvents) -> bool:
        pictures = any(e.kind == "photo" for e in self.state.attached.get(connection, ()))
        return pictures or any(event.data.get("photos") for event in events.made)


def _details(events: ConnectionEvents) -> dict[str, object]:
    """What was said beside making and inspecting, the later over the earlier."""
    said: dict[str, object] = {}
    for event in sorted([*events.made, *events.inspected], key=lambda e: e.place):
        said |= event.data.get("details", {})
    return said


def _was_refused(events: ConnectionEvents) -> bool:
    """Whether it was looked at after it was last made, and found not in order."""
    last = events.inspected[-1] if events.inspected else None
    return last is not None and last.place > events.made[-1].place and last.data.get("passed") is not True
