# SPDX-License-Identifier: Apache-2.0
"""What must hold for every building, whatever its fixtures."""

from dataclasses import replace
from itertools import pairwise
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from riser.network.model import Model
from riser.rules import Rules
from riser.sizing import (
    Verdict,
    branch_size,
    branch_vent_size,
    building_drain_size,
    sizes,
    stack_size,
    stack_vent_size,
)
from riser.sizing.fixture_units import building_sizes, size_table
from riser.sizing.fixture_units.drain_sizes import narrowing_excluded

INCH = 0.0254
FIXTURES = st.sampled_from(["wc", "lav", "bath", "shower", "sink", "floor_drain"])
FLOOR = st.lists(FIXTURES, min_size=1, max_size=6)
STACK = st.lists(FLOOR, min_size=2, max_size=7)
BUILDING = st.lists(STACK, min_size=1, max_size=3)
SAMPLE = settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
SOAK = settings(max_examples=1000, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
LOAD = st.floats(0.5, 3000.0)
FALL = st.floats(1 / 16 / 12, 0.2)


def is_not_smaller(larger: Any, smaller: Any) -> Any:
    """Beyond the table counts as larger than anything in it."""
    return np.isnan(larger) or larger >= smaller


@given(load=LOAD, more=st.floats(0.0, 500.0), fall=FALL)
def test_more_load_never_gives_a_smaller_drain(rules: Rules, load: Any, more: Any, fall: Any) -> None:
    rule_set = rules.subject("drainage")
    assert is_not_smaller(branch_size(rule_set, load + more), branch_size(rule_set, load))
    assert is_not_smaller(
        building_drain_size(rule_set, load + more, fall), building_drain_size(rule_set, load, fall)
    )


@given(load=LOAD, steeper=st.floats(1.0, 8.0), fall=FALL)
def test_a_steeper_drain_is_never_larger(rules: Rules, load: Any, steeper: float, fall: Any) -> None:
    # Printed figures rise with the fall for every size that both columns hold; the smallest sizes stand only
    # in the steeper columns.
    rule_set = rules.subject("drainage")
    flat = building_drain_size(rule_set, load, fall)
    assume(not np.isnan(flat))
    assert building_drain_size(rule_set, load, fall * steeper) <= flat


@given(load=LOAD, more=st.floats(0.0, 500.0), one=st.floats(0.0, 300.0), intervals=st.integers(1, 60))
def test_more_load_never_gives_a_smaller_stack(
    rules: Rules, load: Any, more: Any, one: Any, intervals: int
) -> None:
    rule_set = rules.subject("drainage")
    size = stack_size(rule_set, load, intervals, one)
    assert is_not_smaller(stack_size(rule_set, load + more, intervals, one), size)
    assert is_not_smaller(stack_size(rule_set, load, intervals, one + more), size)


@given(
    stack=st.sampled_from([2, 3, 4, 5, 6, 8]),
    load=st.floats(0.5, 900.0),
    more=st.floats(0.0, 500.0),
    length=st.floats(1.0, 200.0),
    longer=st.floats(0.0, 100.0),
)
def test_a_longer_vent_or_more_load_never_gives_a_smaller_vent(
    rules: Rules, stack: Any, load: Any, more: Any, length: float, longer: float
) -> None:
    rule_set = rules.subject("drainage")
    size = stack_vent_size(rule_set, stack * INCH, load, length)
    assume(not np.isnan(size))
    assert is_not_smaller(stack_vent_size(rule_set, stack * INCH, load, length + longer), size)
    assert is_not_smaller(
        branch_vent_size(rule_set, stack * INCH, length + longer),
        branch_vent_size(rule_set, stack * INCH, length),
    )
    assert is_not_smaller(stack_vent_size(rule_set, stack * INCH, load + more, length), size)


@given(load=st.lists(LOAD, min_size=1, max_size=20), fall=st.lists(FALL, min_size=1, max_size=20))
def test_arrays_and_single_figures_agree(rules: Rules, load: Any, fall: Any) -> None:
    rule_set = rules.subject("drainage")
    n = min(len(load), len(fall))
    loads, falls = np.array(load[:n]), np.array(fall[:n])
    many = building_drain_size(rule_set, loads, falls)
    one = [building_drain_size(rule_set, a, b) for a, b in zip(loads.tolist(), falls.tolist(), strict=True)]
    np.testing.assert_array_equal(many, one)


def never_narrows(model: Model, rules: Rules) -> None:
    building = building_sizes(model, rules.subject("drainage"))
    way, least = building.drains.way, building.drain_sizes.least_m
    onward = np.flatnonzero(way.next_point >= 0)
    assert np.all(least[way.next_point[onward]] >= least[onward])


@SAMPLE
@given(building=BUILDING)
def test_least_sizes_never_fall_downstream(build: SimpleNamespace, rules: Rules, building: Any) -> None:
    never_narrows(build.model_of(build.stacked(building)), rules)


@pytest.mark.soak
@SOAK
@given(building=BUILDING, offset=st.integers(0, 6))
def test_least_sizes_never_fall_downstream_in_many_buildings(
    build: SimpleNamespace, rules: Rules, building: Any, offset: int
) -> None:
    never_narrows(build.model_of(build.stacked(building, offset_above=offset)), rules)


@SAMPLE
@given(building=BUILDING, seed=st.randoms(use_true_random=False))
def test_the_order_of_rows_and_branches_does_not_matter(
    build: SimpleNamespace, rules: Rules, building: Any, seed: Any
) -> None:
    job = build.stacked(building, vent_stacks=True)
    nodes, runs = (
        frame.sample(frac=1.0, random_state=seed.randint(0, 2**31)) for frame in (job.nodes, job.runs)
    )
    mixed = replace(job, nodes=nodes.reset_index(drop=True), runs=runs.reset_index(drop=True))
    one, other = (sizes(build.model_of(j), rules) for j in (job, mixed))
    assert set(one.id) == set(other.id)
    for n, item in enumerate(one.id.tolist()):
        m = other.number[item]
        for column in ("load", "least_m", "length_m", "margin", "kind", "verdict", "unverified", "clause"):
            a, b = getattr(one, column)[n], getattr(other, column)[m]
            same = a == pytest.approx(b, rel=1e-12, nan_ok=True) if isinstance(a, float) else a == b
            assert same, (item, column)


@SAMPLE
@given(building=BUILDING)
def test_a_mirrored_building_has_the_same_sizes(build: SimpleNamespace, rules: Rules, building: Any) -> None:
    job = build.stacked(building, vent_stacks=True)
    parts = job.parts.assign(mirror="x", yaw_rad=1.0, x_m=7.0)
    one, other = (sizes(build.model_of(j), rules) for j in (job, replace(job, parts=parts)))
    np.testing.assert_array_equal(one.least_m, other.least_m)
    np.testing.assert_array_equal(one.kind, other.kind)
    np.testing.assert_allclose(one.length_m, other.length_m, rtol=1e-9)


@SAMPLE
@given(building=BUILDING, floor=st.integers(0, 6), extra=FIXTURES)
def test_one_more_fixture_never_gives_a_smaller_pipe(
    build: SimpleNamespace, rules: Rules, building: Any, floor: Any, extra: str
) -> None:
    # The number of branch intervals stays as it is: a fourth interval would open a column that takes more.
    stack = [list(fixtures) for fixtures in building[0]]
    before = sizes(build.model_of(build.stacked(building)), rules)
    stack[floor % len(stack)].append(extra)
    after = sizes(build.model_of(build.stacked([stack, *building[1:]])), rules)
    for n, item in enumerate(before.id.tolist()):
        if before.kind[n] < 6 and not np.isnan(before.least_m[n]):
            assert after.least_m[after.number[item]] >= before.least_m[n], item


@SAMPLE
@given(building=BUILDING, sizes_in=st.permutations([2, 3, 4, 5, 6, 8]))
def test_a_larger_pipe_never_fails_where_a_smaller_passes(
    build: SimpleNamespace, rules: Rules, building: Any, sizes_in: list[int]
) -> None:
    verdicts = {}
    for size in sizes_in[:3]:
        name = f"P{size}"
        pipes = {"stack": name, "branch": name, "fixture": name, "drain": name}
        table = sizes(build.model_of(build.stacked(building, pipes=pipes)), rules)
        drains = table.kind < 6
        verdicts[size] = table.verdict[drains]
        assert np.all(np.isnan(table.margin[drains]) | (table.margin[drains] >= 0) | (verdicts[size] == 1))
    ordered = [verdicts[size] == Verdict.LARGE_ENOUGH for size in sorted(verdicts)]
    for smaller, larger in pairwise(ordered):
        assert np.all(larger | ~smaller)


def test_what_flows_in_is_the_larger_of_all_and_named_once(build: SimpleNamespace, rules: Rules) -> None:
    tree = building_sizes(build.model_of(build.tower(3)), rules.subject("drainage")).drains
    own = np.full(len(tree.way.edge), np.nan)
    upper = tree.way.leaving[tree.way.edge[tree.way.edge >= 0]]
    own[upper[::2]] = 0.05
    least, origin = narrowing_excluded(tree.way, own)
    assert np.all(least[tree.way.has_way][least[tree.way.has_way] > 0] == 0.05)
    assert np.all(own[origin[least > 0]] == 0.05)


def test_a_tower_of_sixty_floors_is_sized_like_its_stack_alone(build: SimpleNamespace, rules: Rules) -> None:
    tower, single = (build.model_of(build.tower(60, stacks=n)) for n in (12, 1))
    rule_set = rules.subject("drainage")
    many, one = (size_table(building_sizes(m, rule_set)) for m in (tower, single))
    for stack in (0, 11):
        mine = [n for n, item in enumerate(many.id.tolist()) if item.startswith(f"M{stack}-")]
        alone = [n for n, item in enumerate(one.id.tolist()) if item.startswith("M0-")]
        np.testing.assert_array_equal(many.least_m[mine], one.least_m[alone])
        np.testing.assert_array_equal(many.load[mine], one.load[alone])
