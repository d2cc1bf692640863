# SPDX-License-Identifier: Apache-2.0
"""What the lines add up to: the state of the job, worked out from the lines alone, the same every time.

Each kind of line has one small step here that changes the state by one event. A kind without a step changes
nothing and is in `history` all the same. A later chapter adds its own steps and its own field to `State`;
until then the events of tests are kept together by test in `tests`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from riser.records.line import Line
from riser.records.standing import Event, standing_events
from riser.records.times import instant


@dataclass(frozen=True, slots=True)
class PlacedPart:
    """A part that stands in the building, as built: type revision, server time, by whom."""

    part: str
    type_revision: str
    time: str
    by: str
    event: Event
    alterations: tuple[Event, ...] = ()


@dataclass(slots=True)
class ConnectionEvents:
    """What was recorded about one connection, each list in order."""

    made: list[Event] = field(default_factory=list)
    inspected: list[Event] = field(default_factory=list)
    released: list[Event] = field(default_factory=list)
    covered: list[Event] = field(default_factory=list)
    opened: list[Event] = field(default_factory=list)

    @property
    def is_made(self) -> bool:
        """Whether it was made at least once."""
        return bool(self.made)

    @property
    def is_inspected(self) -> bool:
        """Whether it was found in order after it was last made."""
        last = self.inspected[-1] if self.inspected else None
        return last is not None and last.data.get("passed") is True and last.place > _place(self.made)

    @property
    def is_covered(self) -> bool:
        """Whether it cannot be seen: covered, and not opened up since."""
        return _place(self.covered) > _place(self.opened)

    @property
    def is_released(self) -> bool:
        """Whether permission to cover was given after it was last made or opened up."""
        return _place(self.released) > max(_place(self.made), _place(self.opened))


@dataclass(frozen=True, slots=True)
class Acceptance:
    """An accepted finding: why, by whom, on which item hashes it rests, and the line that says so."""

    finding: str
    reason: str
    by: str
    time: str
    rests_on: Mapping[str, str] = field(hash=False)
    line: int


@dataclass(frozen=True, slots=True)
class Confirmation:
    """A row of a rule set compared with the standard in print: by whom, with what, for which figures."""

    row: str
    evidence: str
    by: str
    time: str
    figures: Mapping[str, str] = field(hash=False)
    line: int


@dataclass(frozen=True, slots=True)
class Measurement:
    """One measured stub position in world coordinates."""

    stub: str
    x_m: float
    y_m: float
    z_m: float
    uncertainty_m: float
    measured_at: str
    by: str
    line: int
    instrument: str = ""


@dataclass(frozen=True, slots=True)
class Revision:
    """The engineer's files as they were taken in: name -> SHA-256 of the content."""

    number: int
    contents: Mapping[str, str] = field(hash=False)
    note: str
    by: str
    time: str
    line: int


@dataclass(slots=True)
class State:
    """The state of the job after its lines. Keys are the ids of the things; dicts are in order of first
    event.

    `placed` part -> PlacedPart with the revision it is built to now; `capped` stub -> the event that capped
    it; `connections` id -> ConnectionEvents; `accepted` finding key -> Acceptance; `confirmed` rule row
    SET:TABLE:ROW -> its last Confirmation; `altered` part -> events; `measured` stub -> Measurement with the
    latest measuring time, `measurements` stub -> all of them; `revisions` number -> Revision; `tests` test
    id -> its events; `attached` id -> photos and attachments; `history` id -> all lines about it, replaced
    ones too; `replaced` line -> the line that replaced it.
    """

    placed: dict[str, PlacedPart] = field(default_factory=dict)
    capped: dict[str, Event] = field(default_factory=dict)
    connections: dict[str, ConnectionEvents] = field(default_factory=dict)
    accepted: dict[str, Acceptance] = field(default_factory=dict)
    confirmed: dict[str, Confirmation] = field(default_factory=dict)
    altered: dict[str, list[Event]] = field(default_factory=dict)
    measured: dict[str, Measurement] = field(default_factory=dict)
    measurements: dict[str, list[Measurement]] = field(default_factory=dict)
    revisions: dict[int, Revision] = field(default_factory=dict)
    tests: dict[str, list[Event]] = field(default_factory=dict)
    attached: dict[str, list[Event]] = field(default_factory=dict)
    history: dict[str, list[Line]] = field(default_factory=dict)
    replaced: dict[int, int] = field(default_factory=dict)
    lines: int = 0

    @property
    def latest_revision(self) -> Revision | None:
        """The revision taken in last."""
        return next(reversed(self.revisions.values()), None)


def state_of(lines: Iterable[Line]) -> State:
    """The state after these lines, in one pass over them and one over what stands."""
    state = State()

    def kept() -> Iterable[Line]:
        for line in lines:
            state.lines += 1
            state.history.setdefault(line.about, []).append(line)
            if line.replaces is not None:
                state.replaced[line.replaces] = line.sequence
            yield line

    for event in standing_events(kept()):
        step = STEPS.get(event.kind)
        if step is not None:
            step(state, event)
    return state


def _placed(state: State, event: Event) -> None:
    revision = event.data["type_revision"]
    state.placed[event.about] = PlacedPart(event.about, revision, event.time, event.by, event)


def _altered(state: State, event: Event) -> None:
    state.altered.setdefault(event.about, []).append(event)
    part = state.placed.get(event.about)
    if part is not None:
        revision = event.data["type_revision"]
        alterations = (*part.alterations, event)
        state.placed[event.about] = PlacedPart(
            part.part, revision, part.time, part.by, part.event, alterations
        )


def _capped(state: State, event: Event) -> None:
    state.capped[event.about] = event


def _uncapped(state: State, event: Event) -> None:
    state.capped.pop(event.about, None)


def _connection_event(state: State, event: Event) -> None:
    connection = state.connections.setdefault(event.about, ConnectionEvents())
    kept: list[Event] = getattr(connection, event.kind)
    kept.append(event)


def _accepted(state: State, event: Event) -> None:
    key = event.data["finding"]
    rests_on = event.data["rests_on"]
    state.accepted[key] = Acceptance(key, event.reason, event.by, event.time, rests_on, event.line)


def _confirmed(state: State, event: Event) -> None:
    data = event.data
    state.confirmed[event.about] = Confirmation(
        event.about, data["evidence"], event.by, event.time, data["figures"], event.line
    )


def _measured(state: State, event: Event) -> None:
    measurement = _measurement(event)
    state.measurements.setdefault(event.about, []).append(measurement)
    held = state.measured.get(event.about)
    if held is None or instant(measurement.measured_at) >= instant(held.measured_at):
        state.measured[event.about] = measurement


def _measurement(event: Event) -> Measurement:
    """The measuring time is the one stated, else the device's, else the server's."""
    data: Mapping[str, Any] = event.data
    return Measurement(
        event.about,
        data["x_m"],
        data["y_m"],
        data["z_m"],
        data["uncertainty_m"],
        data.get("measured_at") or event.device_time or event.time,
        event.by,
        event.line,
        data.get("instrument", ""),
    )


def _revision(state: State, event: Event) -> None:
    number, contents = event.data["number"], event.data["contents"]
    note = event.data.get("note", "")
    state.revisions[number] = Revision(number, contents, note, event.by, event.time, event.line)


def _test_event(state: State, event: Event) -> None:
    state.tests.setdefault(event.about, []).append(event)


def _attached(state: State, event: Event) -> None:
    state.attached.setdefault(event.about, []).append(event)


def _place(events: list[Event]) -> int:
    return events[-1].place if events else 0


TEST_KINDS = (
    "test planned",
    "permit",
    "filling",
    "settling",
    "holding",
    "reading",
    "ended",
    "judged",
    "witnessed",
    "waived",
)
STEPS: Mapping[str, Callable[[State, Event], None]] = {
    "placed": _placed,
    "altered": _altered,
    "capped": _capped,
    "uncapped": _uncapped,
    "made": _connection_event,
    "inspected": _connection_event,
    "released": _connection_event,
    "covered": _connection_event,
    "opened": _connection_event,
    "accepted": _accepted,
    "confirmed": _confirmed,
    "measured": _measured,
    "revision": _revision,
    "photo": _attached,
    "attachment": _attached,
    **dict.fromkeys(TEST_KINDS, _test_event),
}
"""The step of each kind. A kind that is not here changes no state."""
