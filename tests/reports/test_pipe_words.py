# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riser.network.systems import SYSTEMS, System
from riser.reports.pipe_words import (
    bare_millimetres,
    is_tested,
    level_text,
    make_up_short,
    make_up_words,
    millimetres,
    pipe_words,
    works_of,
)
from tests.building import model_of, two_storeys, with_rows, without_rows


def words_of(joint: str, rows: list[dict[str, Any]]) -> str:
    job = without_rows(two_storeys(), "closures", joint=joint)
    model = model_of(with_rows(job, "closures", *({"joint": joint, **row} for row in rows)) if rows else job)
    return make_up_words(model, model.joints.number[joint], pipe_words(model.placed.tables))


COUPLING = {"kind": "coupling", "family": "NH"}


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ([], "make-up not given"),
        ([{**COUPLING, "order": 1}], "one NH coupling"),
        (
            [
                {**COUPLING, "order": 1},
                {"order": 2, "kind": "pipe", "pipe": "CI100", "length_m": 0.497},
                {**COUPLING, "order": 3},
            ],
            "spool 497 mm DN100 cast iron between two NH couplings",
        ),
        (
            [
                {**COUPLING, "order": 1},
                {"order": 2, "kind": "reducer", "pipe": "CI100", "to_pipe": "CI75", "length_m": 0.09},
                {**COUPLING, "order": 3},
                {"order": 4, "kind": "offset", "pipe": "CI75", "length_m": 0.2, "offset_m": 0.05},
                {"order": 5, "kind": "coupling", "family": "SL"},
            ],
            "NH coupling, reducer DN100 cast iron to DN75 cast iron, 90 mm, NH coupling,"
            " offset piece DN75 cast iron, 200 mm long, 50 mm across, SL coupling",
        ),
        ([{"order": 1, "kind": "cap", "family": "GF"}], "closed end: GF cap"),
    ],
)
def test_a_make_up_is_told_in_order_with_its_lengths(rows: list[dict[str, Any]], words: str) -> None:
    assert words_of("J4", rows) == words


def test_a_printed_row_tells_the_make_up_in_few_words_and_leaves_no_piece_out() -> None:
    model = model_of(two_storeys())
    pipes = pipe_words(model.placed.tables)
    shown = {name: make_up_short(model, number, pipes) for name, number in model.joints.number.items()}
    assert shown["J4"] == "2 × NH, 497 mm DN100 cast iron"
    assert shown["J2"] == "1 × SL"
    rows = [
        {"joint": "J4", "order": 1, "kind": "coupling", "family": "NH"},
        {"joint": "J4", "order": 2, "kind": "pipe", "pipe": "CI100", "length_m": 0.497},
        {"joint": "J4", "order": 3, "kind": "coupling", "family": "SL"},
    ]
    for given_rows, words in (
        (rows, "NH, 497 mm DN100 cast iron, SL"),
        ([{"joint": "J4", "order": 1, "kind": "cap", "family": "GF"}], "GF cap"),
        ([], "make-up not given"),
    ):
        job = without_rows(two_storeys(), "closures", joint="J4")
        model = model_of(with_rows(job, "closures", *given_rows) if given_rows else job)
        assert make_up_short(model, model.joints.number["J4"], pipes) == words


@settings(max_examples=100)
@given(st.floats(-3, 3))
def test_millimetres_are_never_farther_off_than_their_last_digit(length_m: float) -> None:
    shown = float(bare_millimetres(length_m)) / 1e3
    assert abs(shown - length_m) <= (0.00005 if abs(length_m) < 0.00995 else 0.0005) + 1e-9
    assert not bare_millimetres(length_m).startswith("-0 ")


def test_no_figure_is_a_dash_and_minus_nothing_is_nothing() -> None:
    assert (millimetres(float("nan")), level_text(float("nan"))) == ("-", "-")
    assert (millimetres(-0.00001), bare_millimetres(0.012, sign=True)) == ("0 mm", "+12")
    assert level_text(-0.0) == "+0.000"


def test_gates_may_name_a_joint_by_its_system_or_its_family() -> None:
    assert works_of(System.VENT) == {"joint", "vent", "drain"}
    assert works_of(System.FIRE) == {"joint", "fire", "pressure"}
    assert works_of(System.DATA) == {"joint", "data", "containment"}
    assert works_of(-1) == {"joint"}


def test_every_system_but_power_and_data_is_proven_by_a_test() -> None:
    assert {s for n, s in enumerate(SYSTEMS) if not is_tested(n)} == {"power", "data"}
