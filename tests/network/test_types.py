# SPDX-License-Identifier: Apache-2.0
"""Part types as arrays."""

import numpy as np
import pytest

from riser.network.kinds import FIXTURES, KINDS
from riser.network.systems import ORDER_OF_WORK, SYSTEMS, System
from riser.network.types import corners, direction, type_library
from tests.building import two_storeys, with_cells


def test_there_are_twelve_systems_and_each_has_a_place_in_the_order_of_work():
    assert len(SYSTEMS) == 12
    assert sorted(ORDER_OF_WORK) == sorted(System)


def test_directions_are_unit_vectors_and_an_empty_cell_is_none():
    assert direction("-y") == (0.0, -1.0, 0.0)
    assert direction("3 0 4") == pytest.approx((0.6, 0.0, 0.8))
    assert np.isnan(direction("")).all()


def test_corners_of_a_run_add_to_its_length():
    library = type_library(two_storeys())
    ground = library.number["BG", "A"]
    block = slice(library.run_start[ground], library.run_start[ground] + library.run_count[ground])
    lengths = dict(zip(library.runs["run"][block], library.run_length_m[block], strict=True))
    assert lengths["C1"] == pytest.approx(2.5 + 0.93)
    assert corners("").shape == (0, 3)


def test_fall_of_a_run_is_positive_from_the_higher_end():
    library = type_library(two_storeys())
    ground = library.number["BG", "A"]
    s2 = library.run_start[ground] + 1
    assert library.runs["run"][s2] == "S2"
    assert library.run_drop_m[s2] == pytest.approx(0.10)
    assert library.run_plan_m[s2] == pytest.approx(8.0)


def test_a_basin_does_not_tie_its_connections_and_a_tee_does():
    assert KINDS["fixture"].point_of("cold") != KINDS["fixture"].point_of("waste")
    assert KINDS["fixture"].passes == ()
    assert KINDS["tee"].point_of("a") == KINDS["tee"].point_of("branch")


def test_a_valve_has_a_way_through_and_no_blank_port():
    assert KINDS["valve"].passes == ((0, 1),)
    with pytest.raises(KeyError):
        KINDS["valve"].point_of("")


def test_every_fixture_kind_asks_for_ports_that_a_fixture_has():
    for kind in FIXTURES.values():
        for need in kind.needs:
            assert need <= set(KINDS["fixture"].ports)


def test_types_keep_the_order_of_the_file_and_unused_revisions_do_no_harm():
    job = two_storeys()
    library = type_library(job)
    assert [key[0] for key in library.keys] == ["MA", "BG", "RV"]
    assert library.node_count.sum() == len(job.nodes)
    turned = type_library(with_cells(job, "runs", {"run": "S3"}, via_m="1.2 0.5 0.41"))
    row = list(turned.runs["run"]).index("S3")
    assert (turned.segment_run == row).sum() == 2
