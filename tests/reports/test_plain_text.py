# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riser.reports.plain_text import cell_text, plain_text


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "|", "\t=", " =", "\r=", "\uff1d", "\u202e=", "\x00="])
def test_a_text_that_could_start_a_formula_gets_an_apostrophe(start: str) -> None:
    assert cell_text(f"{start}1+1").startswith("'")


def test_an_ordinary_id_stays_as_it_is() -> None:
    assert cell_text("A04-01/SS2") == "A04-01/SS2"
    assert plain_text("Straße 漢字 ø") == "Straße 漢字 ø"


def test_a_terminal_is_not_steered_by_what_people_wrote() -> None:
    assert plain_text("a\x1b[2Jb\nc\u202ed") == "a [2Jb cd"


@settings(max_examples=100)
@given(st.text(max_size=40))
def test_plain_text_is_one_line_without_control_and_stays_itself(text: str) -> None:
    shown = plain_text(text)
    assert not any(unicodedata.category(letter) in ("Cc", "Cs", "Zl", "Zp") for letter in shown)
    assert plain_text(shown) == shown
