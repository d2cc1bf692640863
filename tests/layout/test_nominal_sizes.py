# SPDX-License-Identifier: Apache-2.0
"""Names of sizes: read, compared, and led to the rows of rule tables."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from riser.layout.nominal_sizes import NominalSize, is_smaller, nominal_size
from riser.rules.nominal import DN_OF_NPS


@pytest.mark.parametrize(
    ("text", "family", "number"),
    [
        ("DN100", "dn", 100),
        ("dn 65", "dn", 65),
        ("4 in", "dn", 100),
        ("NPS 4", "dn", 100),
        ('2-1/2"', "dn", 65),
        ("1 1/4 in", "dn", 32),
        ("1.5 in", "dn", 40),
        ("3/4", "dn", 20),
        ("22x1.0", "od", 22),
        ("110", "od", 110),
        ("d110", "od", 110),
        ("OD 110 mm", "od", 110),
    ],
)
def test_a_catalogue_name_is_read_as_the_size_it_names(text: str, family: str, number: float) -> None:
    assert nominal_size(text) == NominalSize(family, number)


@pytest.mark.parametrize("text", ["", "stack pipe", "4", "13/16 in", "DN", "22 by 1"])
def test_a_name_that_leaves_doubt_is_not_guessed(text: str) -> None:
    assert nominal_size(text) is None


def test_a_table_in_inches_is_asked_in_inches_and_one_in_millimetres_in_millimetres() -> None:
    size = nominal_size("DN65")
    assert size is not None
    assert size.in_metres("in") == pytest.approx(2.5 * 0.0254)
    assert size.in_metres("mm") == 0.065
    inches = nominal_size("2-1/2 in")
    assert inches is not None
    assert inches.in_metres("mm") == 0.065


def test_an_outside_diameter_is_never_taken_for_a_nominal_bore() -> None:
    size = nominal_size("110")
    assert size is not None
    assert size.in_metres("in") == 0.110


def test_a_dn_without_an_inch_name_keeps_its_number() -> None:
    size = nominal_size("DN70")
    assert size is not None
    assert size.in_metres("in") == 0.070


def test_names_of_different_families_are_compared_by_bore() -> None:
    dn, od = nominal_size("DN100"), nominal_size("110")
    assert not is_smaller(dn, 0.103, od, 0.103)
    assert not is_smaller(dn, 0.100, od, 0.104)
    assert is_smaller(dn, 0.090, od, 0.104)
    assert is_smaller(None, 0.076, dn, 0.103)


@given(st.sampled_from(sorted(DN_OF_NPS)), st.sampled_from(sorted(DN_OF_NPS)))
def test_inch_and_dn_names_of_the_same_list_keep_their_order(one: object, other: object) -> None:
    a, b = (DN_OF_NPS[size] for size in (one, other))  # type: ignore[index]
    small, large = nominal_size(f"DN{a}"), nominal_size(f"{float(other)} in")  # type: ignore[arg-type]
    assert is_smaller(small, 0.0, large, 1.0) == (a < b)
    assert is_smaller(large, 1.0, small, 0.0) == (b < a)
