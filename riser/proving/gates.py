# SPDX-License-Identifier: Apache-2.0
"""Gates: what must be true before work may go on, and who says so.

A gate names a kind of work, the facts it needs and the gates before it. It is passed when the gates before it
are passed and all its facts hold. `self`: the crew checks itself; `witness`: somebody is called and the work
goes on if he does not come; `hold`: the work waits for a named person.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

FACT_WORDS: dict[str, str] = {
    "placed": "both parts set in place",
    "measured": "measured",
    "capped": "capped",
    "made": "made",
    "photographed": "photographed",
    "inspected": "inspected and in order",
    "proven": "proven by a test",
    "released": "released to cover",
    "fire riser made": "fire riser made up to here",
}
"""What each fact is called on a sheet; a project's gates may name further facts."""


@dataclass(frozen=True, slots=True)
class Gate:
    """One gate. `work` is a word of `WorkState.works`; `needs` are facts; `after` ids of other gates."""

    id: str
    work: str
    kind: str
    needs: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    role: str = ""
    opens: str = ""

    def as_json(self) -> dict[str, object]:
        """One JSON object."""
        return {
            name: list(v) if isinstance(v := getattr(self, name), tuple) else v for name in self.__slots__
        }


@dataclass(frozen=True, slots=True)
class WorkState:
    """One piece of work: the words by which gates name it, and the facts that hold for it."""

    works: frozenset[str]
    facts: frozenset[str]


# The usual order on site: set, make, look, test, release. The fire riser holds up the hoist, because it has
# to follow the building up. Who holds and who only witnesses is for the contract and the authority to say,
# so a job replaces these by its gates.toml. Common practice, no source.
DEFAULT_GATES: tuple[Gate, ...] = (
    Gate("G0", "stub", "hold", ("measured", "capped"), (), "setting-out engineer", "the first hoist"),
    Gate("G2", "joint", "self", ("placed",), (), "foreman", "making the joint"),
    Gate("G3", "fire", "hold", ("made",), ("G2",), "foreman", "hoisting the next floor"),
    Gate("G4", "joint", "self", ("made",), ("G2",), "foreman", "inspection"),
    Gate("G5", "joint", "witness", ("inspected",), ("G4",), "engineer", "the test"),
    Gate("G6", "drain", "hold", ("proven",), ("G5",), "inspector", "release of the joints proven"),
    Gate("G7", "pressure", "hold", ("proven",), ("G5",), "inspector", "release of the joints proven"),
    Gate("G8", "joint", "hold", ("released",), ("G5", "G6", "G7"), "quality lead", "covering"),
)


def gates_from(rows: Iterable[Mapping[str, Any]]) -> tuple[Gate, ...]:
    """The gates of gates.toml; the default gates where there are none."""
    gates = tuple(
        Gate(
            id=str(row["id"]),
            work=str(row["work"]),
            kind=str(row["kind"]),
            needs=tuple(str(need) for need in row.get("needs", ())),
            after=tuple(str(gate) for gate in row.get("after", ())),
            role=str(row.get("role", "")),
            opens=str(row.get("opens", "")),
        )
        for row in rows
    )
    return gates or DEFAULT_GATES


def in_order(gates: Iterable[Gate], works: frozenset[str]) -> list[Gate]:
    """The gates of this work, each behind the gates it comes after; otherwise in the order given.

    A gate of other work is no bar to this one. Gates that wait for each other keep the order given.
    """
    by_id = {gate.id: gate for gate in gates if gate.work in works}
    ordered: list[Gate] = []
    reached: set[str] = set()

    def place(gate: Gate) -> None:
        if gate.id in reached:
            return
        reached.add(gate.id)
        for name in gate.after:
            if name in by_id:
                place(by_id[name])
        ordered.append(gate)

    for gate in by_id.values():
        place(gate)
    return ordered


def next_gate(gates: Iterable[Gate], state: WorkState) -> tuple[Gate, tuple[str, ...]] | None:
    """The first gate this work has not passed, and the facts it lacks; None when all are passed.

    A gate may come after one that no gate of the job has: that id is lacking too, since nobody can pass it.
    """
    gates = tuple(gates)
    known = {gate.id for gate in gates}
    for gate in in_order(gates, state.works):
        lacking = [need for need in gate.needs if need not in state.facts]
        lacking += [f"gate {name}, which the job does not have" for name in gate.after if name not in known]
        if lacking:
            return gate, tuple(dict.fromkeys(lacking))
    return None


def lacking_until(gates: Iterable[Gate], state: WorkState, fact: str) -> tuple[str, ...]:
    """Everything still lacking on the way to the gate that needs `fact`, in order, `fact` itself last.

    Where no gate of this work needs `fact`, it is lacking by itself: leaving a gate out of gates.toml gives
    no permission.
    """
    lacking: dict[str, None] = {}
    for gate in in_order(gates, state.works):
        lacking.update(dict.fromkeys(need for need in gate.needs if need not in state.facts and need != fact))
        if fact in gate.needs:
            break
    if fact not in state.facts:
        lacking[fact] = None
    return tuple(lacking)


def fact_words(fact: str) -> str:
    """A fact as it stands on a sheet."""
    return FACT_WORDS.get(fact, fact)
