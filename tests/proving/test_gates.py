# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from riser.proving.gates import (
    DEFAULT_GATES,
    FACT_WORDS,
    Gate,
    WorkState,
    fact_words,
    gates_from,
    in_order,
    lacking_until,
    next_gate,
)

SOIL = frozenset({"joint", "soil", "drain"})
FIRE = frozenset({"joint", "fire", "pressure"})
LADDER = ("placed", "made", "inspected", "proven", "released")


def state(works: frozenset[str], *facts: str) -> WorkState:
    return WorkState(works, frozenset(facts))


def test_nothing_known_stops_at_the_first_gate_and_says_what_it_lacks() -> None:
    found = next_gate(DEFAULT_GATES, state(SOIL))
    assert found is not None
    gate, lacking = found
    assert (gate.id, lacking) == ("G2", ("placed",))


def test_each_fact_opens_the_next_gate() -> None:
    passed = []
    for n in range(len(LADDER)):
        found = next_gate(DEFAULT_GATES, state(SOIL, *LADDER[:n]))
        assert found is not None
        passed.append(found[0].id)
    assert passed == ["G2", "G4", "G5", "G6", "G8"]
    assert next_gate(DEFAULT_GATES, state(SOIL, *LADDER)) is None


def test_the_fire_riser_holds_up_the_hoist_and_a_drain_does_not() -> None:
    fire, soil = (next_gate(DEFAULT_GATES, state(w, "placed")) for w in (FIRE, SOIL))
    assert fire is not None
    assert soil is not None
    assert (fire[0].id, fire[0].kind, fire[0].opens) == ("G3", "hold", "hoisting the next floor")
    assert soil[0].id == "G4"


def test_a_later_fact_does_not_jump_an_earlier_gate() -> None:
    found = next_gate(DEFAULT_GATES, state(SOIL, "placed", "proven", "released"))
    assert found is not None
    assert (found[0].id, found[1]) == ("G4", ("made",))


def test_gates_of_other_work_are_no_bar() -> None:
    gates = (Gate("A", "slab", "hold", ("poured",)), Gate("B", "joint", "self", ("made",), ("A",)))
    assert next_gate(gates, state(SOIL, "made")) is None


def test_a_gate_after_one_that_nobody_has_can_not_be_passed() -> None:
    gates = (Gate("B", "joint", "self", (), ("A",)),)
    found = next_gate(gates, state(SOIL))
    assert found is not None
    assert found[1] == ("gate A, which the job does not have",)


def test_after_goes_before_the_order_of_the_file() -> None:
    gates = (Gate("B", "joint", "self", ("b",), ("A",)), Gate("A", "joint", "self", ("a",)))
    assert [gate.id for gate in in_order(gates, SOIL)] == ["A", "B"]


def test_gates_that_wait_for_each_other_do_not_hang_the_sheet() -> None:
    gates = (Gate("A", "joint", "self", ("a",), ("B",)), Gate("B", "joint", "self", ("b",), ("A",)))
    assert {gate.id for gate in in_order(gates, SOIL)} == {"A", "B"}


def test_what_is_lacking_for_release_is_listed_in_order_with_the_release_last() -> None:
    lacking = lacking_until(DEFAULT_GATES, state(SOIL, "placed"), "released")
    assert lacking == ("made", "inspected", "proven", "released")


def test_leaving_the_release_gate_out_gives_no_permission() -> None:
    gates = (Gate("A", "joint", "self", ("made",)),)
    assert lacking_until(gates, state(SOIL, "made"), "released") == ("released",)


def test_rows_of_a_job_replace_the_defaults_and_none_keeps_them() -> None:
    row = {"id": "X1", "work": "joint", "kind": "self", "needs": ["made"], "role": "foreman"}
    assert gates_from([row]) == (Gate("X1", "joint", "self", ("made",), (), "foreman", ""),)
    assert gates_from([]) == DEFAULT_GATES


def test_default_gates_need_only_facts_that_have_words_and_come_after_gates_that_exist() -> None:
    ids = {gate.id for gate in DEFAULT_GATES}
    for gate in DEFAULT_GATES:
        assert set(gate.needs) <= set(FACT_WORDS)
        assert set(gate.after) <= ids
        assert gate.kind in {"self", "witness", "hold"}
    assert fact_words("painted") == "painted"


@settings(max_examples=60)
@given(st.sets(st.sampled_from(LADDER)), st.sampled_from([SOIL, FIRE]), st.sampled_from(LADDER))
def test_one_more_fact_never_moves_a_joint_back(facts: set[str], works: frozenset[str], more: str) -> None:
    order = [gate.id for gate in in_order(DEFAULT_GATES, works)]

    def place(known: set[str]) -> int:
        found = next_gate(DEFAULT_GATES, state(works, *known))
        return len(order) if found is None else order.index(found[0].id)

    assert place(facts | {more}) >= place(facts)
