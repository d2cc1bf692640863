# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riser.reports.joint_fit import FitLine, fits_of
from tests.building import model_of, two_storeys, with_cells, with_rows, without_rows

# Two NH couplings of 1.0 degree with a 97 mm spool between them take 97 mm * tan(1.0 degree) across: 1.69 mm;
# with the 497 mm spool of J4 it is 8.67 mm. Worked by hand from the coupling rows of the test building.
SHORT_SPOOL_TAKES_M = 0.097 * math.tan(math.radians(1.0))
LONG_SPOOL_TAKES_M = 0.497 * math.tan(math.radians(1.0))


def fit_line(joint: str, **moved: float) -> FitLine:
    """The fit of a joint when the second module stands elsewhere."""
    model = model_of(with_cells(two_storeys(), "parts", {"part": "M2"}, **moved))
    return fits_of(model).line(model.joints.number[joint])


def test_a_sound_joint_fits_as_drawn_with_both_figures_and_what_they_may_be() -> None:
    line = fit_line("J4")
    assert (line.fits, line.basis, line.verdict) == (True, "drawn", "fits as drawn")
    assert line.offset_takes_m == pytest.approx(LONG_SPOOL_TAKES_M, abs=1e-6)
    assert line.gap_words == "gap 3 mm, takes 0 to 6 mm"
    assert line.as_json()["offset_takes_mm"] == pytest.approx(LONG_SPOOL_TAKES_M * 1e3, abs=1e-3)


def test_an_offset_beyond_what_the_spool_takes_says_by_how_much() -> None:
    line = fit_line("J4", x_m=0.012)
    assert line.fits is False
    assert line.faults == ("3.3 mm too far across",)
    assert line.offset_words == "across 12 mm, takes 8.7 mm"


@pytest.mark.parametrize(("z_m", "fault"), [(3.145, "2 mm too tight"), (3.155, "2 mm too wide")])
def test_a_gap_outside_what_the_couplings_take_says_which_way(z_m: float, fault: str) -> None:
    assert fit_line("J4", z_m=z_m).faults == (fault,)


def test_a_measured_stub_is_judged_where_it_was_measured_and_the_sheet_says_so() -> None:
    measured = {
        "stub": "BG/SP1",
        "measured_at": "2031-03-02T10:15+01:00",
        "x_m": 0.506,
        "y_m": 0.496,
        "z_m": 0.1,
    }
    model = model_of(with_rows(two_storeys(), "survey", measured))
    line = fits_of(model).line(model.joints.number["J1"])
    assert line.verdict == "does not fit as measured"
    assert line.offset_m == pytest.approx(math.hypot(0.006, 0.004))
    assert line.offset_takes_m == pytest.approx(SHORT_SPOOL_TAKES_M, abs=1e-6)


def test_one_measured_stub_of_either_side_makes_the_fit_a_measured_one() -> None:
    for stub, z_m in (("BG/SP1", 0.1), ("M1/SP1", 0.2)):
        row = {"stub": stub, "measured_at": "2031-03-02T10:15+01:00", "x_m": 0.5, "y_m": 0.5, "z_m": z_m}
        model = model_of(with_rows(two_storeys(), "survey", row))
        assert fits_of(model).line(model.joints.number["J1"]).verdict == "fits as measured"
        assert fits_of(model).line(model.joints.number["J4"]).verdict == "fits as drawn"


def test_what_can_not_be_judged_says_why_and_is_never_said_to_fit() -> None:
    job = without_rows(two_storeys(), "closures", joint="J4")
    unknown = model_of(
        with_rows(job, "closures", {"joint": "J4", "order": 1, "kind": "coupling", "family": "XX"})
    )
    lost = model_of(with_cells(two_storeys(), "joints", {"joint": "J4"}, stub_b="M2/NONE"))
    apart = model_of(with_cells(two_storeys(), "parts", {"part": "M2"}, x_m=1.0))
    closed = model_of(two_storeys())
    said = {
        fits_of(unknown).line(unknown.joints.number["J4"]).verdict: "a coupling is not in the catalogue",
        fits_of(lost).line(lost.joints.number["J4"]).verdict: "a stub is missing",
        fits_of(apart).line(apart.joints.number["J4"]).verdict: "the stubs do not meet",
        fits_of(closed).line(closed.joints.number["J8"]).verdict: "closed end, nothing to fit",
    }
    assert {verdict: verdict for verdict in said.values()} == said
    assert fits_of(closed).line(closed.joints.number["J8"]).as_json()["gap_mm"] is None


@settings(max_examples=15, deadline=None)
@given(st.floats(-0.03, 0.03))
def test_a_joint_fits_exactly_as_far_across_as_the_sheet_says_it_takes(x_m: float) -> None:
    line = fit_line("J4", x_m=x_m)
    if abs(abs(x_m) - LONG_SPOOL_TAKES_M) > 1e-5:
        assert line.fits is (abs(x_m) < LONG_SPOOL_TAKES_M)
