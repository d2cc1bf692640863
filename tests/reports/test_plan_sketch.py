# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

import re
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riser.network.systems import System
from riser.reports.layout_check import layout_faults, svg_page
from riser.reports.plan_sketch import Frame, Mark, merged, plan_svg
from riser.reports.symbols import SIGNS, sign_svg

OUTLINE = np.array([[0.0, 0.0], [1.2, 0.0], [1.2, 0.6], [0.0, 0.6]])
SIZE = (124.0, 45.0)


def texts(svg: str) -> list[str]:
    return [
        element.text or "" for element in ElementTree.fromstring(svg).iter() if element.tag.endswith("text")
    ]


def marks(places: list[tuple[float, float]]) -> tuple[Mark, ...]:
    return tuple(Mark(x, y, n % len(System), str(n + 1)) for n, (x, y) in enumerate(places))


@settings(max_examples=30, deadline=None)
@given(st.lists(st.tuples(st.floats(0, 1.2), st.floats(0, 0.6)), min_size=1, max_size=9))
def test_wherever_nine_pipes_stand_no_sign_or_number_covers_another(
    places: list[tuple[float, float]],
) -> None:
    svg = plan_svg([Frame("Shaft S1", OUTLINE, marks(places))], *SIZE)
    assert layout_faults(svg_page(svg), edge_mm=0.0) == []
    assert {str(n + 1) for n in range(len(places))} <= set(texts(svg))


def test_pipes_at_one_place_are_set_aside_with_a_line_to_it() -> None:
    apart = plan_svg([Frame("S", OUTLINE, marks([(0.1, 0.1), (0.9, 0.4)]))], *SIZE)
    together = plan_svg([Frame("S", OUTLINE, marks([(0.5, 0.3), (0.5, 0.3)]))], *SIZE)
    lines = [len(re.findall(r'stroke-width="0.15"/>', svg)) for svg in (apart, together)]
    assert lines[1] > lines[0]


def test_the_scale_is_the_largest_at_which_the_shaft_fits_and_is_written_on_it() -> None:
    svg = plan_svg([Frame("S", OUTLINE, ())], *SIZE)
    scale = next(float(t[2:]) for t in texts(svg) if t.startswith("1:"))
    polygon = re.search(r'<polygon points="(.*?)"', svg)
    assert polygon is not None
    corners = np.array([pair.split(",") for pair in polygon[1].split()], dtype=float)
    assert np.ptp(corners[:, 0]) == pytest.approx(1200 / scale, abs=0.02)
    assert corners.min() >= 0
    assert (corners.max(axis=0) <= SIZE).all()


def test_y_runs_up_the_page_and_x_to_the_right() -> None:
    svg = plan_svg([Frame("S", np.zeros((0, 2)), (Mark(0, 0, 0, "1"), Mark(1, 1, 0, "2")))], *SIZE)
    dots = [tuple(map(float, p)) for p in re.findall(r'<circle cx="(.*?)" cy="(.*?)" r="0.6"/>', svg)]
    assert dots[1][0] > dots[0][0]
    assert dots[1][1] < dots[0][1]


def test_numbered_corners_count_along_the_outline() -> None:
    assert {"1", "2", "3", "4"} <= set(texts(plan_svg([Frame("S", OUTLINE, (), numbered=True)], *SIZE)))
    assert "4" not in texts(plan_svg([Frame("S", OUTLINE, ())], *SIZE))


def test_names_that_people_gave_cannot_break_the_picture() -> None:
    svg = plan_svg([Frame("<S&1>", OUTLINE, (Mark(0.1, 0.1, 0, "<1>"),))], *SIZE)
    assert {"<S&1>", "<1>"} <= set(texts(svg))


def test_marks_of_one_system_at_one_place_become_one() -> None:
    found = merged([Mark(1, 1, 0, "1"), Mark(1.0004, 1, 0, "2"), Mark(1, 1, 5, "3"), Mark(2, 1, 0, "4")])
    assert [(m.system, m.label) for m in found] == [(0, "1,2"), (5, "3"), (0, "4")]


def test_every_system_has_its_own_letters_and_fire_stands_out_in_black() -> None:
    assert set(SIGNS) == set(System)
    assert len({sign.letters for sign in SIGNS.values()}) == len(System)
    black = [system for system in System if 'fill="black"' in sign_svg(system).split("<text")[0]]
    assert black == [System.FIRE]
    assert "?" in sign_svg(-1)
    colours = {c for system in System for c in re.findall(r'(?:fill|stroke)="(\w+)"', sign_svg(system))}
    assert colours <= {"black", "white", "none"}
