# SPDX-License-Identifier: Apache-2.0
"""Which row of a rule table a catalogue name means."""

from typing import Any

import pytest

from riser.rules.nominal import DN_OF_NPS, inch_words, nominal_size_m, nominal_words

INCH = 0.0254


@pytest.mark.parametrize(
    ("name", "inches"),
    [
        ("DN100", 4),
        ("DN 80", 3),
        ("dn32", 1.25),
        ("4 in", 4),
        ('4"', 4),
        ("NPS 4", 4),
        ("NPS 1-1/4", 1.25),
        ("1-1/2 in", 1.5),
        ('1 1/4"', 1.25),
        ("1.5 in", 1.5),
        ("3/4", 0.75),
        ("15 in", 15),
    ],
)
def test_names_of_both_families_mean_the_row_in_inches(name: str, inches: Any) -> None:
    assert nominal_size_m(name, "in") == pytest.approx(inches * INCH, rel=1e-15)


@pytest.mark.parametrize(("name", "dn"), [("DN100", 100), ("DN75", 75), ("4 in", 100), ("2-1/2 in", 65)])
def test_names_of_both_families_mean_the_row_in_dn(name: str, dn: int) -> None:
    assert nominal_size_m(name, "mm") == pytest.approx(dn / 1000)


@pytest.mark.parametrize("name", ["22x1.0", "110", "4", "stack pipe", "", "DN75", "4 in plus", "4/0 in"])
def test_a_name_of_neither_family_is_not_guessed(name: str) -> None:
    assert nominal_size_m(name, "in") is None


def test_a_size_without_a_dn_of_its_own_has_none() -> None:
    # 15 in is a sewer size; ASME B36.10M lists 14 and 16 in (from memory).
    assert nominal_size_m("15 in", "mm") is None


def test_the_two_families_are_told_apart_and_named_together() -> None:
    assert nominal_words(4 * INCH, "in") == "4 in (DN 100)"
    assert nominal_words(0.15, "mm") == "DN 150 (6 in)"
    assert nominal_words(15 * INCH, "in") == "15 in"


def test_every_size_survives_the_way_to_words_and_back() -> None:
    for inches, dn in DN_OF_NPS.items():
        assert nominal_size_m(inch_words(inches), "mm") == pytest.approx(dn / 1000)
        assert nominal_size_m(f"DN{dn}", "in") == pytest.approx(float(inches) * INCH)
