# SPDX-License-Identifier: Apache-2.0
"""D09 under sets that keep the lowest part of a stack free of branches."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from riser.rules import choose_rules

HEAD = {
    "clause": "Table 9",
    "key": ["from", "to"],
    "lookup": "bracket",
    "columns": {"from": "count", "to": "count", "stack_vent": "m", "vent_stack": "m"},
}
# The lowest branches of the sound house stand 1.25 m above the foot of column 1, 1.15 m above the other.
ROWS = [
    {"to": 2, "stack_vent": 0.45, "vent_stack": 0.45},
    {"from": 3, "to": 4, "stack_vent": 1.20, "vent_stack": 0.75},
    {"from": 5, "to": 6, "vent_stack": 0.75},
]


def with_heights(with_rules: Callable[..., Any]) -> Any:
    return with_rules(added=(("lowest_branch", HEAD, ROWS),))


def test_a_branch_lower_than_the_least_height_is_told(house: Any, with_rules: Any) -> None:
    (finding,) = house.found(rules=with_heights(with_rules))
    assert finding.key == "D09:M01-2/S4"
    assert finding.says == (
        "M01-2/S4 joins the stack up to R2/VT 1.15 m above its foot; 1.20 m is the least with 3 storeys on "
        "it."
    )
    assert finding.basis == "Code X 1, Table 9"


def test_fewer_storeys_need_less_height(new_house: Any, with_rules: Any) -> None:
    assert new_house(2).found(rules=with_heights(with_rules)) == []


def test_a_vent_stack_allows_a_lower_branch(house: Any, with_rules: Any) -> None:
    house.nodes(
        "MA", "VA stub 0.5 0.8 0.05 down DN80 vent\nVB stub 0.5 0.8 2.98 up DN80 vent\nVT tee 0.5 0.8 2.0"
    )
    house.runs("MA", "V1 vent VA VT.a DN80\nV2 vent VT.b VB DN80\nV3 vent VT.branch ST2.branch_2 DN80")
    assert house.found("D09", rules=with_heights(with_rules)) == []


def test_where_no_height_is_printed_the_lowest_storey_drains_alone(new_house: Any, with_rules: Any) -> None:
    found = new_house(5).found(rules=with_heights(with_rules))
    assert {f.key for f in found} == {f"D09:M01-{n}/{run}" for n in (1, 2) for run in ("S4", "W3")}
    assert found[0].says.endswith("its lowest storey must drain by itself with 5 storeys on it.")
    assert found[0].basis == "Code X 1, Table 9"


def test_a_set_that_prints_such_a_table_is_asked_for_it(new_house: Any) -> None:
    # GB 50015-2019 Table 4.4.11, recalled, without a vent stack: 0.75 m up to 6 storeys, 1.2 m up to 12;
    # from 13 the lowest storey drains by itself.
    rules = choose_rules({"rules": {"drainage": "gb_50015_2019"}})
    assert new_house(6).found("D09", rules=rules) == []
    assert {f.items for f in new_house(12).found("D09", rules=rules)} == {("M01-2/S4",)}
    assert {f.items for f in new_house(13).found("D09", rules=rules)} >= {("M01-1/S4",)}
