# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from riser.proving.section_cover import Barrier, Cells
from riser.proving.section_low_point import sections_from_the_low_point


def chain(limit, place_cell, level, head) -> Cells:
    count = len(limit)
    return Cells(
        np.array(limit, float),
        np.full(count, np.inf),
        np.arange(count - 1, dtype=np.int32),
        np.arange(1, count, dtype=np.int32),
        np.full(count - 1, np.inf),
        np.array(place_cell, np.int32),
        np.array(level, float) + head,
    )


def test_a_riser_that_bears_it_is_one_section_from_its_foot() -> None:
    cover = sections_from_the_low_point(
        chain([200, 200, 200], [0, 1, 2], [1, 4, 7], 140), np.array([0.0, 3, 6]), 140
    )
    (section,) = cover.sections
    assert section.line_m == 140
    assert section.cells.all()


def test_a_weak_upper_zone_is_shut_off_and_tested_from_its_own_foot_only_where_it_bears_that() -> None:
    cells = chain([200, 143], [0, 1], [1, 4], 140)
    cover = sections_from_the_low_point(cells, np.array([0.0, 3.0]), 140)
    assert len(cover.sections) == 1
    weak = sections_from_the_low_point(chain([200, 139], [0, 1], [1, 4], 140), np.array([0.0, 3.0]), 140)
    assert weak.barriers == {1: Barrier.RATING}


def test_a_connection_above_the_line_is_out_of_reach() -> None:
    cover = sections_from_the_low_point(chain([200], [0], [12.0], 10.0), np.array([0.0]), 10.0)
    assert cover.barriers == {0: Barrier.REACH}


@settings(max_examples=100, deadline=None)
@given(st.data())
def test_no_cell_is_overloaded_and_a_connection_without_a_method_cannot_stand_alone(data) -> None:
    count = data.draw(st.integers(1, 5))
    figure = st.integers(0, 12).map(float)
    low = np.array([data.draw(figure) for _ in range(count)])
    limit = [data.draw(figure) + 4 for _ in range(count)]
    place = [data.draw(st.integers(0, count - 1)) for _ in range(data.draw(st.integers(1, 7)))]
    level = [low[c] + data.draw(figure) for c in place]
    cells = chain(limit, place, level, 6.0)
    cover = sections_from_the_low_point(cells, low, 6.0)
    proven = np.zeros(len(place), bool)
    for section in cover.sections:
        assert np.all(cells.limit[section.cells] >= section.line_m - 1e-4)
        assert section.line_m == low[section.cells].min() + 6.0
        inside = np.flatnonzero(section.cells)
        assert inside.max() - inside.min() + 1 == len(inside)
        proven |= section.proves
    assert cover.bound <= len(cover.sections)
    assert set(cover.barriers) == set(np.flatnonzero(~proven).tolist())
    for x in cover.barriers:
        alone = low[place[x]] + 6.0
        tops = [v for v, c in zip(level, place, strict=True) if c == place[x]]
        assert limit[place[x]] < alone or max(tops) > alone
