# SPDX-License-Identifier: Apache-2.0
"""The planner against brute force: every connected set of cells under every line that could matter."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riser.proving.section_cover import (
    Barrier,
    Cells,
    fewest_sections,
    highest_standing_m,
    least_tests,
    section_cells,
    stands_at_the_top,
    trimmed,
)

EPS = 1e-4


def cells_of(limit, reach, cuts, cut_limit, place_cell, demand) -> Cells:
    ends = np.array(cuts, np.int32).reshape(-1, 2)
    return Cells(
        np.array(limit, float),
        np.array(reach, float),
        ends[:, 0],
        ends[:, 1],
        np.array(cut_limit, float),
        np.array(place_cell, np.int32),
        np.array(demand, float),
    )


def connected(chosen, cuts) -> bool:
    todo, seen = [min(chosen)], {min(chosen)}
    while todo:
        here = todo.pop()
        for a, b in cuts:
            for u, v in ((a, b), (b, a)):
                if u == here and v in chosen and v not in seen:
                    seen.add(v)
                    todo.append(v)
    return seen == set(chosen)


def brute_sections(cells: Cells) -> set[frozenset[int]]:
    """What each section that may exist proves, by the words of the rule and nothing else."""
    cuts = list(zip(cells.cut_a.tolist(), cells.cut_b.tolist(), strict=True))
    sets = [
        set(chosen)
        for size in range(1, len(cells) + 1)
        for chosen in combinations(range(len(cells)), size)
        if connected(chosen, cuts)
    ]
    found = set()
    for line in np.unique(cells.demand).tolist():
        for chosen in sets:
            fits = all(cells.limit[c] >= line - EPS for c in chosen)
            fits &= max(cells.reach[c] for c in chosen) >= line - EPS
            for (a, b), bears in zip(cuts, cells.cut_limit.tolist(), strict=True):
                if (a in chosen) != (b in chosen):
                    fits &= bears >= line - EPS
            if fits:
                proves = frozenset(
                    x
                    for x in range(len(cells.demand))
                    if cells.place_cell[x] in chosen and cells.demand[x] <= line + EPS
                )
                found.add(proves)
    return found


def brute_fewest(cells: Cells) -> tuple[int, set[int]]:
    sections = [s for s in brute_sections(cells) if s]
    sections = [s for s in sections if not any(s < t for t in sections)]
    provable = set().union(*sections) if sections else set()
    for count in range(len(provable) + 1):
        for chosen in combinations(sections, count):
            if set().union(*chosen) == provable:
                return count, provable
    raise AssertionError


@st.composite
def networks(draw, most: int, loops: bool = True) -> Cells:
    """Cells in a tree, sometimes with one more cut that makes a loop; coarse figures, so that they tie."""
    count = draw(st.integers(1, 5))
    figure = st.integers(0, 12).map(float)
    cuts = [(draw(st.integers(0, n - 1)), n) for n in range(1, count)]
    if loops and count > 2 and draw(st.booleans()):
        cuts.append((0, count - 1))
    places = draw(st.integers(1, most))
    many = {"min_size": count, "max_size": count}
    return cells_of(
        draw(st.lists(figure, **many)),
        draw(st.lists(st.one_of(figure, st.just(-np.inf), st.just(np.inf)), **many)),
        cuts,
        [draw(st.one_of(figure, st.just(np.inf))) for _ in cuts],
        [draw(st.integers(0, count - 1)) for _ in range(places)],
        [draw(figure) for _ in range(places)],
    )


def check_against_brute_force(cells: Cells) -> None:
    fewest, provable = brute_fewest(cells)
    cover = fewest_sections(cells)
    assert len(cover.sections) == fewest == cover.bound
    proven = {int(x) for s in cover.sections for x in np.flatnonzero(s.proves)}
    assert proven == provable
    assert set(cover.barriers) == set(range(len(cells.demand))) - provable
    assert sum(int(s.proves.sum()) for s in cover.sections) == len(proven)


@settings(max_examples=150, deadline=None)
@given(networks(7))
def test_the_cuts_equal_brute_force_for_up_to_seven_connections(cells: Cells) -> None:
    check_against_brute_force(cells)


@pytest.mark.soak
@settings(max_examples=2000, deadline=None)
@given(networks(12))
def test_the_cuts_equal_brute_force_for_up_to_twelve_connections(cells: Cells) -> None:
    check_against_brute_force(cells)


@settings(max_examples=100, deadline=None)
@given(networks(7))
def test_no_section_overloads_a_cell_or_a_cut_and_each_is_connected(cells: Cells) -> None:
    for section in fewest_sections(cells).sections:
        for chosen in (section.cells, trimmed(cells, section, lambda c: int(c.sum()))):
            assert np.all(cells.limit[chosen] >= section.line_m - EPS)
            edge = chosen[cells.cut_a] != chosen[cells.cut_b]
            assert np.all(cells.cut_limit[edge] >= section.line_m - EPS)
            assert np.max(cells.reach[chosen]) >= section.line_m - EPS
            cuts = list(zip(cells.cut_a.tolist(), cells.cut_b.tolist(), strict=True))
            assert connected(set(np.flatnonzero(chosen).tolist()), cuts)
            assert np.all(chosen[cells.place_cell[section.proves]])
            assert np.all(cells.demand[section.proves] <= section.line_m + EPS)


@settings(max_examples=100, deadline=None)
@given(networks(7))
def test_the_highest_line_can_stand_and_nothing_above_it(cells: Cells) -> None:
    for cell in range(len(cells)):
        line = highest_standing_m(cells, cell)
        if np.isfinite(line):
            assert section_cells(cells, line, cell)[1] is None
        for higher in np.arange(0.0, 13.0, 0.5):
            if higher > line + 2 * EPS and np.isfinite(cells.limit[cell]):
                assert section_cells(cells, float(higher), cell)[1] is not None


@settings(max_examples=100, deadline=None)
@given(networks(7))
def test_the_bound_from_the_connections_alone_is_never_above_the_plan(cells: Cells) -> None:
    cover = fewest_sections(cells)
    provable = np.array([x not in cover.barriers for x in range(len(cells.demand))], bool)
    bears = cells.limit[cells.place_cell]
    assert least_tests(cells.demand[provable], bears[provable]) <= len(cover.sections)


def stack(levels, head: float, bears: float, plugs) -> Cells:
    """A plain stack: one connection per level, cut at the plugs, open at the top."""
    cell = np.searchsorted(np.array(plugs), np.array(levels), side="right")
    count = len(plugs) + 1
    low = [min([z for z, c in zip(levels, cell, strict=True) if c == n], default=0.0) for n in range(count)]
    reach = [-np.inf] * (count - 1) + [max(levels) + 10.0]
    cuts = [(n, n + 1) for n in range(count - 1)]
    return cells_of(
        [z + bears for z in low], reach, cuts, [p + bears for p in plugs], cell, [z + head for z in levels]
    )


def test_two_couplings_of_one_spool_fall_on_different_sides_by_a_centimetre() -> None:
    """3.05 m of head under a cap of 9.14 m leave 6.09 m: 6.08 m above the lowest is proven, 6.10 m is not."""
    near = fewest_sections(stack([0.0, 6.08], 3.05, 9.14, []))
    far = fewest_sections(stack([0.0, 6.08, 6.10], 3.05, 9.14, []))
    assert len(near.sections) == 1
    assert not near.barriers
    assert far.barriers == {2: Barrier.RATING}


def test_a_plug_between_makes_the_upper_joint_provable_in_a_second_test() -> None:
    cover = fewest_sections(stack([0.0, 6.0, 7.0], 3.05, 9.14, [5.0]))
    assert not cover.barriers
    assert [s.line_m for s in cover.sections] == [10.05, 3.05]


def test_a_cut_that_cannot_be_shut_against_the_line_ties_the_cell_to_its_weak_neighbour() -> None:
    cells = cells_of([5.0, 20.0], [-np.inf, 20.0], [(0, 1)], [8.0], [1, 1], [10.0, 5.0])
    assert fewest_sections(cells).barriers == {0: Barrier.NEIGHBOUR}
    assert highest_standing_m(cells, 1) == 8.0
    assert not stands_at_the_top(cells, 1, 8.0)


def test_water_that_cannot_stand_high_enough_is_the_reason_at_the_top() -> None:
    cells = cells_of([20.0], [6.0], [], [], [0], [7.0])
    assert fewest_sections(cells).barriers == {0: Barrier.REACH}
    assert highest_standing_m(cells, 0) == 6.0
    assert stands_at_the_top(cells, 0, 6.0)


def test_trimming_leaves_out_a_cell_that_proves_nothing_and_costs_plugs() -> None:
    cells = cells_of([9.0, 9.0], [9.0, 9.0], [(0, 1)], [9.0], [0], [5.0])
    (section,) = fewest_sections(cells).sections
    assert section.cells.tolist() == [True, True]
    assert trimmed(cells, section, lambda c: 3 * int(c[1]) + 1).tolist() == [True, False]
