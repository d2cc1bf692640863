# SPDX-License-Identifier: Apache-2.0
"""How systems are drawn: the standard's colour, never an invented one, and a dash of its own."""

from __future__ import annotations

import re

import pytest

from riser.network.systems import System
from riser.records import State
from riser.reports.pipe_styles import INK, NOT_NAMED, pipe_styles
from riser.reports.riser_diagram import DiagramHead, Style, riser_diagram
from riser.reports.scene import overlapping_texts, texts
from riser.reports.stage import Standing
from riser.rules import Rules, choose_rules
from tests.building import model_of, two_storeys

BY_COUNTRY = {"ipc_2021": "ASME A13.1", "en_12056_2": "BS 1710", "gb_50015_2019": "GB 7231"}


def rules(drainage: str, **more: str) -> Rules:
    return choose_rules({"rules": {"drainage": drainage, **more}})


def spelled(style: Style) -> tuple[str, ...]:
    """The strokes of a dash as an eye tells them apart: long, short, dot."""
    return tuple("long" if d > 5 else "short" if d > 2 else "dot" for d in style.dash[::2])


@pytest.mark.parametrize("drainage", BY_COUNTRY)
def test_every_system_has_a_style_and_a_dash_that_no_other_has(drainage: str) -> None:
    styles = pipe_styles(rules(drainage))
    assert set(styles) == set(System)
    assert len({spelled(style) for style in styles.values()}) == len(System)
    assert all(len(style.dash) % 2 == 0 for style in styles.values())
    assert all(re.fullmatch(r"#[0-9A-F]{6}", style.colour) for style in styles.values())


@pytest.mark.parametrize(("drainage", "document"), BY_COUNTRY.items())
def test_the_standard_of_the_drainage_sets_country_gives_the_colour(drainage: str, document: str) -> None:
    assert pipe_styles(rules(drainage))[System.COLD].words.startswith(f"{document}: ")


def test_a_chosen_standard_wins_over_the_country() -> None:
    styles = pipe_styles(rules("ipc_2021", identification="bs_1710"))
    assert styles[System.COLD].words == "BS 1710: green 12 D 45, band blue 18 E 53"


def test_what_the_standard_does_not_name_is_black_and_says_so() -> None:
    """ASME A13.1 colours fire, combustibles, water, air and the like, but no sewage and no cable trays."""
    styles = pipe_styles(rules("ipc_2021"))
    for system in (System.SOIL, System.WASTE, System.VENT, System.POWER, System.DATA):
        assert (styles[system].colour, styles[system].words) == (INK, NOT_NAMED)


def test_without_any_standard_nothing_is_coloured() -> None:
    styles = pipe_styles(choose_rules({}))
    assert {(style.colour, style.words) for style in styles.values()} == {(INK, NOT_NAMED)}
    assert len({spelled(style) for style in styles.values()}) == len(System)


def test_fire_is_red_only_where_its_standard_says_so() -> None:
    """BS 1710 marks fire water green with a red band, ASME A13.1 and GB 50974 red."""
    words = {d: pipe_styles(rules(d))[System.FIRE].words for d in BY_COUNTRY}
    assert words["ipc_2021"] == "ASME A13.1: red, white letters"
    assert words["en_12056_2"] == "BS 1710: green 12 D 45, band red 04 E 53"
    assert words["gb_50015_2019"].startswith("GB 50974: red")


def test_a_colour_not_read_in_the_standard_carries_the_mark() -> None:
    styles = pipe_styles(rules("en_12056_2"))
    assert styles[System.POWER].words.endswith(" ?")
    assert "?" not in styles[System.COLD].words


def test_a_local_amendment_of_a_standard_chosen_by_country_is_followed() -> None:
    amendment = {
        "extends": "asme_a13_1",
        "source": "the owner's colour list",
        "identification": {
            "rows": [
                {
                    "system": "non_potable",
                    "content": "reclaimed water",
                    "colour": "purple",
                    "screen": "#6D3A8C",
                }
            ]
        },
    }
    chosen = choose_rules({"rules": {"drainage": "ipc_2021"}}, {"rules/owner.toml": amendment})
    style = pipe_styles(chosen)[System.NON_POTABLE]
    assert style.colour == "#6D3A8C"
    assert style.words == "ASME A13.1: purple, white letters *"
    assert chosen.unused_amendments == ()


@pytest.mark.parametrize("drainage", BY_COUNTRY)
def test_the_legend_of_a_diagram_has_room_for_the_words(drainage: str) -> None:
    model, styles = model_of(two_storeys()), pipe_styles(rules(drainage))
    head = DiagramHead("Two storeys", "2031-03-02", "revision 1", "")
    for system in System:
        for page in riser_diagram(model, system, Standing(State()), [], styles, head):
            assert overlapping_texts(page) == []
            assert styles[system].words in [text.words for text in texts(page.items)]
