# SPDX-License-Identifier: Apache-2.0
"""M02: containment keeps away from wet pipes."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from riser.layout.clearance import distances_m


def test_a_tray_beside_a_pipe_is_told_once_for_each_part_with_the_gap(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.nodes("MX", "PA guide 0.8 0.5 0.5\nPB guide 0.8 0.5 2.6")
    (finding,) = house.found()
    assert finding.key == "M02:M02-1/C2:M02-1/P1"
    assert finding.says == (
        "M02-1/P1 (power) and M02-1/C2 (cold) run side by side 79 mm apart, from the outside of "
        "the pipe to the "
        "axis of the containment; 150 mm is the least."
    )
    assert (finding.floor, finding.system) == ("02", "power")
    assert [item for item, _ in finding.rests_on] == ["M02-1/C2", "M02-1/P1"]


@pytest.mark.parametrize(("x", "count"), [(0.8695, 1), (0.872, 0)])
def test_the_limit_is_kept_from_the_outside_of_the_pipe(house: Any, x: float, count: int) -> None:
    # CU42 stands at x = 0.7, 21 mm to its outside; nothing else comes near.
    house.drop("nodes", type="MA", node="PA")
    house.nodes("MA", f"PA guide {x} 0.62 2.0\nPB guide {x} 0.62 2.6")
    house.nodes("MA", f"PA guide {x} 0.5 2.0\nPB guide {x} 0.5 2.6")
    assert len(house.found("M02")) == 6 * count


def test_what_crosses_is_not_side_by_side_unless_it_goes_through(house: Any) -> None:
    house.nodes("MA", "PA guide 0.75 0.2 1.6\nPB guide 0.75 2.5 1.6")
    assert house.found("M02") == []
    house.nodes("MA", "PA guide 0.71 0.45 1.6\nPB guide 0.71 2.5 1.6")
    found = house.found("M02")
    assert {f.says for f in found if "M01-1" in f.says} == {
        "M01-1/P1 (power) and M01-1/C2 (cold) go through each other."
    }


def test_a_tray_of_one_part_beside_a_pipe_of_its_neighbour_is_told(house: Any) -> None:
    house.nodes("MA", "RX stub 2.95 3.0 0.05 down DN100 rainwater\nRY stub 2.95 3.0 2.98 up DN100 rainwater")
    house.runs("MA", "RA rainwater RY RX DN100")
    house.variant("M01-2", "MX")
    # In the mirrored neighbour x runs the other way: 2.9 lies 0.10 m from the common face.
    house.nodes("MX", "PA guide 2.90 3.0 0.5\nPB guide 2.90 3.0 2.6")
    house.drop("nodes", type="MX", node="RX")
    house.drop("nodes", type="MX", node="RY")
    house.drop("runs", type="MX", run="RA")
    (finding,) = house.found("M02")
    assert finding.key == "M02:M01-1/RA:M01-2/P1"
    assert "95 mm apart" in finding.says


def test_dry_pipes_do_not_count(house: Any) -> None:
    house.nodes("MA", "VA guide 0.3 2.55 2.60\nVB guide 2.7 2.55 2.60")
    house.runs("MA", "VV vent VA VB DN50")
    assert house.found("M02") == []


def test_without_a_figure_it_cannot_be_judged(house: Any, with_rules: Any) -> None:
    found = house.found(rules=with_rules(left_out=("containment_clearance",)))
    assert [f.key for f in found] == ["M03:containment_clearance:good_practice"]


POINT = arrays(np.float64, 3, elements=st.floats(-5, 5, width=32))


@settings(max_examples=60)
@given(POINT, POINT, POINT, POINT)
def test_the_distance_of_straights_is_that_of_their_nearest_points(
    a: np.ndarray, b: np.ndarray, c: np.ndarray, d: np.ndarray
) -> None:
    rows = [p[None, :] for p in (a, b, c, d)]
    distance = float(distances_m(*rows)[0])
    s, t = np.meshgrid(np.linspace(0, 1, 81), np.linspace(0, 1, 81))
    one = a + (b - a) * s[..., None]
    other = c + (d - c) * t[..., None]
    sampled = float(np.linalg.norm(one - other, axis=-1).min())
    coarse = (np.linalg.norm(b - a) + np.linalg.norm(d - c)) / 80
    assert distance <= sampled + 1e-9
    assert distance >= sampled - coarse
    assert distance == pytest.approx(float(distances_m(rows[2], rows[3], rows[0], rows[1])[0]), abs=1e-6)
