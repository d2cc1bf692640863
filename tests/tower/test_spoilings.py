# SPDX-License-Identifier: Apache-2.0
"""Spoilt towers: what was spoilt is what is found, no more and no less."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from random import Random

import pytest
from hypothesis import Phase, given, note, settings
from hypothesis import strategies as st

from benchmarks.spoilable import Job, Target
from benchmarks.spoilings import (
    SPOILINGS,
    by_joint,
    checked,
    spoilt_apart,
    spoilt_together,
    targets,
    tower_job,
)

# Floors and modules per floor. In the second every kind of spoiling has a place.
SMALL = ((5, 6), (4, 18), (6, 12))
LARGE = (60, 24)
LARGE_ROUNDS, SPOILT_AT_ONCE = 60, 40
SMALL_ROUNDS = 1000

# Hypothesis takes minutes to explain a failure that its example tells anyway.
PHASES = (Phase.explicit, Phase.generate, Phase.shrink)
small = settings(max_examples=9, deadline=None, derandomize=True, database=None, phases=PHASES)
picks = st.lists(st.tuples(st.sampled_from(sorted(SPOILINGS)), st.integers(0, 9999)), min_size=1, max_size=6)


@cache
def tower(size: tuple[int, int]) -> tuple[Job, dict[str, list[Target]], dict[str, list[Target]]]:
    job = tower_job(*size)
    places = targets(job)
    return job, places, by_joint(places)


def expect_exactly_their_roots(size: tuple[int, int], wanted: list[tuple[str, int]]) -> int:
    job, places, _ = tower(size)
    files, chosen = spoilt_apart(job, places, [pick for pick in wanted if pick[0] in places])
    found = {finding.key for finding in checked(files).roots}
    expected = {key for target in chosen for key in target.keys}
    spoilt = [(target.kind, target.at) for target in chosen]
    assert found == expected, f"{size} {spoilt}: missing {expected - found}, besides {found - expected}"
    return len(chosen)


def expect_each_named(
    size: tuple[int, int], choose: Callable[[list[Target]], list[Target]], joint: int
) -> int:
    job, _, at_joint = tower(size)
    names = sorted(at_joint)
    files, chosen = spoilt_together(job, choose(at_joint[names[joint % len(names)]]))
    ids = {item for finding in checked(files).findings for item in finding.items}
    unnamed = [(target.kind, target.at) for target in chosen if not target.is_named_by(ids)]
    spoilt = [(target.kind, target.at) for target in chosen]
    assert not unnamed, f"{size} {spoilt}: nothing names {unnamed}"
    return len(chosen)


@pytest.mark.parametrize("kind", sorted(SPOILINGS))
def test_a_single_spoiling_gives_exactly_its_root_findings(kind: str) -> None:
    size = next(size for size in SMALL if kind in tower(size)[1])
    assert expect_exactly_their_roots(size, [(kind, len(tower(size)[1][kind]) // 2)]) == 1


@given(st.sampled_from(SMALL), picks)
@small
def test_spoilings_at_least_one_joint_apart_give_exactly_their_root_findings(
    size: tuple[int, int], wanted: list[tuple[str, int]]
) -> None:
    note(f"{wanted}")
    expect_exactly_their_roots(size, wanted)


@given(st.sampled_from(SMALL), st.integers(0, 9999), st.randoms(use_true_random=False))
@small
def test_of_spoilings_that_overlap_each_is_named_by_a_finding(
    size: tuple[int, int], joint: int, chance: Random
) -> None:
    expect_each_named(size, lambda places: some_of(places, chance), joint)


def some_of(places: list[Target], chance: Random) -> list[Target]:
    return chance.sample(places, min(len(places), chance.randint(2, 4)))


@pytest.mark.soak
def test_many_sets_of_spoilings_on_small_towers(record_property: Callable[[str, object], None]) -> None:
    chance, count = Random(1), 0
    for number in range(SMALL_ROUNDS):
        wanted = [(chance.choice(sorted(SPOILINGS)), chance.randrange(10000)) for _ in range(6)]
        count += expect_exactly_their_roots(SMALL[number % len(SMALL)], wanted)
    record_property("count", count)


@pytest.mark.soak
def test_many_overlapping_spoilings_on_small_towers(record_property: Callable[[str, object], None]) -> None:
    chance, count = Random(2), 0
    for number in range(SMALL_ROUNDS):
        joint = chance.randrange(10000)
        count += expect_each_named(SMALL[number % len(SMALL)], lambda places: some_of(places, chance), joint)
    record_property("count", count)


@pytest.mark.soak
def test_many_spoilings_at_once_in_a_tower_of_sixty_floors(
    record_property: Callable[[str, object], None],
) -> None:
    chance, count = Random(3), 0
    for _ in range(LARGE_ROUNDS):
        wanted = [(chance.choice(sorted(SPOILINGS)), chance.randrange(10**6)) for _ in range(SPOILT_AT_ONCE)]
        count += expect_exactly_their_roots(LARGE, wanted)
    record_property("count", count)


@pytest.mark.soak
def test_overlapping_spoilings_in_a_tower_of_sixty_floors(
    record_property: Callable[[str, object], None],
) -> None:
    chance, count = Random(4), 0
    for _ in range(LARGE_ROUNDS):
        joint = chance.randrange(10**6)
        count += expect_each_named(LARGE, lambda places: some_of(places, chance), joint)
    record_property("count", count)
