# SPDX-License-Identifier: Apache-2.0
"""What stands after corrections: each replaced line gives way, at its own place in the order.

A full new line of the same kind speaks with its own author and time. A line of kind `correction` keeps who
and when and changes only the fields it names, or withdraws the line. The replaced line itself stays in the
records.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from riser.records.line import Line

CORRECTION = "correction"


@dataclass(frozen=True, slots=True)
class Event:
    """What is held to have happened: a line, or what stands in its place.

    `place` is the sequence of the first line, which is the order; `line` the sequence of the line that last
    shaped it; `time` the server's time of the line that speaks, `by` its author.
    """

    place: int
    line: int
    kind: str
    about: str
    time: str
    device_time: str | None
    by: str
    by_known: str
    data: Mapping[str, Any] = field(hash=False)
    reason: str
    revision: int | None
    withdrawn: bool = False


def event_of(line: Line, place: int) -> Event:
    """The line as an event at that place in the order."""
    return Event(
        place,
        line.sequence,
        line.kind,
        line.about,
        line.time,
        line.device_time,
        line.author,
        line.author_known,
        line.data,
        line.reason,
        line.revision,
    )


def corrected(event: Event, correction: Line) -> Event:
    """The event after a line of kind `correction`."""
    if correction.data.get("withdrawn"):
        return replace(event, line=correction.sequence, withdrawn=True)
    data = {**event.data, **correction.data.get("fields", {})}
    return replace(event, line=correction.sequence, withdrawn=False, data=data)


def standing_events(lines: Iterable[Line]) -> list[Event]:
    """The events that stand, in order; one pass over the lines."""
    place_of: dict[int, int] = {}
    events: dict[int, Event] = {}
    for line in lines:
        if line.replaces is None:
            events[line.sequence] = event_of(line, line.sequence)
            continue
        place = place_of[line.sequence] = place_of.get(line.replaces, line.replaces)
        if line.kind != CORRECTION:
            events[place] = event_of(line, place)
        elif place in events:
            events[place] = corrected(events[place], line)
    return [event for event in events.values() if not event.withdrawn]
