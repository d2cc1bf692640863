# SPDX-License-Identifier: Apache-2.0
"""The straight pieces of runs in the building."""

import numpy as np

from riser.network.straights import straights
from tests.building import model_of, two_storeys, with_cells

BASE = two_storeys()
CORNERS = [(1.0, 0.5, 0.4), (1.0, 0.8, 0.4)]
VIA = "; ".join(" ".join(str(v) for v in corner) for corner in CORNERS)


def pieces(job):
    placed = model_of(job).placed
    runs = np.arange(len(placed.run_part))
    return placed, *straights(placed, runs)


def test_the_straights_of_a_run_lead_from_its_beginning_to_its_end():
    placed, run, start, end = pieces(with_cells(BASE, "runs", {"type": "MA", "run": "S1"}, via_m=VIA))
    assert set(run.tolist()) == set(range(len(placed.run_part)))
    for number in np.unique(run).tolist():
        mine = run == number
        nodes = placed.point_node[[placed.run_from_point[number], placed.run_to_point[number]]]
        assert np.allclose(start[mine][0], placed.node_xyz_m[nodes[0]])
        assert np.allclose(end[mine][-1], placed.node_xyz_m[nodes[1]])
        assert np.allclose(start[mine][1:], end[mine][:-1])


def test_corners_are_mirrored_turned_and_moved_with_their_part():
    job = with_cells(BASE, "runs", {"type": "MA", "run": "S1"}, via_m=VIA)
    job = with_cells(job, "parts", {"part": "M2"}, mirror="x", yaw_rad=np.pi / 2, x_m=10.0, y_m=20.0, z_m=3.0)
    placed, run, _, end = pieces(job)
    number = next(n for n in range(len(placed.run_part)) if placed.run_id(n) == "M2/S1")
    x, y, z = CORNERS[0]
    # Mirrored, x turns its sign; a quarter turn anticlockwise takes (-x, y) to (-y, -x).
    assert np.allclose(end[run == number][0], (10.0 - y, 20.0 - x, 3.0 + z))
    assert np.count_nonzero(run == number) == 3
