# SPDX-License-Identifier: Apache-2.0
"""Derivations keep everything that made a figure, and survive the way through JSON."""

from __future__ import annotations

import json

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riser.audit import (
    Assumed,
    Clause,
    Derived,
    Given,
    InFile,
    InRules,
    Node,
    Rejected,
    Status,
    decided_by,
    node_from_json,
    nodes,
    origins,
)

CLAUSE = Clause("IPC", "2021", "Table 710.1(2)", "invented page", Status.READ)
words = st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=8)
numbers = st.floats(allow_nan=False, allow_infinity=False)
clauses = st.builds(Clause, words, words, words, words, st.sampled_from(Status))
any_origin = st.one_of(
    st.builds(InFile, words, st.integers(0, 99), words),
    st.builds(InRules, words, words, words, words, words, clauses),
    st.builds(Assumed, words),
)
leaves = st.builds(Given, words, st.one_of(numbers, words), words, any_origin)


def derived_from(children: st.SearchStrategy[Node]) -> st.SearchStrategy[Node]:
    rejected = st.lists(st.builds(Rejected, words, words), max_size=2).map(tuple)
    inputs = st.lists(children, max_size=3).map(tuple)
    return st.builds(Derived, words, numbers, words, words, inputs, words, words, rejected)


def cell(row: str, status: Status, column: str = "stack") -> Given:
    clause = Clause("IPC", "2021", "Table 710.1(2)", "invented page", status)
    return Given(f"cell {row}", 48.0, "dfu", InRules("ipc", "stacks", row, column, "48", clause))


@settings(max_examples=60)
@given(st.recursive(leaves, derived_from, max_leaves=8))
def test_a_derivation_comes_back_unchanged_through_json_text(node: Node) -> None:
    text = json.dumps(node.as_json(), sort_keys=True)
    again = node_from_json(json.loads(text))
    assert again == node
    assert json.dumps(again.as_json(), sort_keys=True) == text


def test_numpy_scalars_become_plain_numbers() -> None:
    figure = Given("flow", np.float32(0.5), "m3/s", Assumed("trial"))  # type: ignore[arg-type]
    assert type(figure.value) is float
    assert figure == Given("flow", 0.5, "m3/s", Assumed("trial"))


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), -float("inf")])
def test_a_figure_that_is_no_number_is_refused(bad: float) -> None:
    with pytest.raises(ValueError, match="flow is not a finite number"):
        Given("flow", bad, "m3/s", Assumed("trial"))
    with pytest.raises(ValueError, match="flow is not a finite number"):
        Derived("flow", bad, "m3/s", "flow = 0", (), "trial")


def test_a_text_is_not_silently_used_as_a_number() -> None:
    with pytest.raises(TypeError, match="kind is a text"):
        _ = Given("kind", "lavatory", "-", InFile("fixtures.csv", 4, "kind")).number


def test_symbols_must_match_the_inputs_one_to_one() -> None:
    with pytest.raises(ValueError, match="2 symbols for 1 inputs"):
        Derived("x", 1.0, "m", "x = a + b", (cell("3", Status.READ),), "trial", symbols=("a", "b"))


def test_origins_lists_each_place_once_in_order_of_use() -> None:
    first, second = InFile("runs.csv", 2, "pipe"), Assumed("no entry in project.toml")
    a, b = Given("a", 1.0, "m", first), Given("b", 2.0, "m", second)
    inner = Derived("inner", 3.0, "m", "inner = a + b", (a, b), "trial", symbols=("a", "b"))
    outer = Derived("outer", 4.0, "m", "outer = a + b", (inner, a), "trial", symbols=("a", "b"))
    assert origins(outer) == (first, second)
    assert [node.name for node in nodes(outer)] == ["outer", "inner", "a", "b", "a"]


def test_decided_by_counts_each_row_once_at_the_least_sure_of_its_cells() -> None:
    figure = Derived(
        "size",
        0.1,
        "m",
        "first row not less",
        (
            cell("3", Status.READ),
            cell("3", Status.MEMORY, column="branch"),
            cell("4", Status.READ),
            cell("6", Status.CONFLICT),
            cell("8", Status.LOCAL),
            Given("load", 44.0, "dfu", InFile("fixtures.csv", 2, "kind")),
        ),
        "IPC 2021",
    )
    counted = decided_by(figure)
    assert (counted.read, counted.unverified, counted.conflict, counted.local) == (1, 1, 1, 1)
    assert counted.text == "decided by: 1 rows read, 1 unverified, 1 conflicts, 1 local"


def test_clauses_and_origins_read_as_a_person_cites_them() -> None:
    assert CLAUSE.text == "IPC 2021, Table 710.1(2)"
    assert InRules("ipc", "stacks", "4 in", "stack", "500 dfu", CLAUSE).text == (
        "IPC 2021, Table 710.1(2), row 4 in (prints 500 dfu)"
    )
    assert InFile("runs.csv", 7, "pipe").text == "runs.csv, row 7, pipe"
    assert InFile("project.toml", 0, "design.k").text == "project.toml, design.k"
    assert Assumed("no entry").text == "assumed: no entry"


def test_an_unknown_kind_of_origin_is_refused_by_name() -> None:
    data = Given("a", 1.0, "m", Assumed("x")).as_json()
    data["origin"]["kind"] = "hearsay"
    with pytest.raises(ValueError, match="hearsay"):
        node_from_json(data)
