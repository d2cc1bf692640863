# SPDX-License-Identifier: Apache-2.0
"""The whole check: sound buildings, the list of kinds, and what must not depend on how a building stands."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riser.audit import COMMON_PRACTICE, Severity
from riser.layout import KINDS
from riser.rules import choose_rules, set_names


def test_a_sound_building_has_no_findings(house: Any) -> None:
    assert [f.says for f in house.found()] == []


@pytest.mark.parametrize("floors", [1, 2, 7])
def test_a_sound_building_of_any_height_has_none(new_house: Callable[..., Any], floors: int) -> None:
    assert [f.says for f in new_house(floors).found()] == []


def test_a_building_without_pipes_has_none(new_building: Any) -> None:
    job = new_building()
    job.floors(1)
    job.type("EM", "A guide 0 0 0", "")
    job.part("P", "EM", "01")
    assert job.found() == []


def test_the_kinds_are_those_of_this_part_each_declared_once() -> None:
    codes = [kind.code for kind in KINDS]
    assert sorted(codes) == sorted(
        [f"D{n:02d}" for n in range(1, 12)]
        + [f"S{n:02d}" for n in range(1, 8)]
        + ["F01", "F02", "M02", "M03"]
    )
    assert all(kind.meaning.endswith(".") and kind.remedy.endswith(".") for kind in KINDS)
    assert all(kind.basis == COMMON_PRACTICE for kind in KINDS)


def _flat(house: Any) -> None:
    house.nodes("BG", "T1 tee 0.5 2.5 -0.71")


def _backfall(house: Any) -> None:
    house.runs("MA", "W3 waste WT.b ST2.branch DN50 via 0.5 0.9 0.60")


def _narrow(house: Any) -> None:
    house.runs("BG", "S7 soil T1.b OF DN80")


def _cut(house: Any) -> None:
    house.variant("M02-1", "MX")
    house.nodes("MX", "SP1 stub 0.6 0.5 0.05 down DN100 soil\nCW1 stub 0.8 0.5 0.05 down CU42 cold")


def _missing(house: Any) -> None:
    house.drop("runs", type="BG", run="S5")
    house.drop("runs", type="BG", run="M5")


def _unvented(house: Any) -> None:
    house.nodes("RF", "VT cap 0.5 0.5 0.60\nCA cap 0.7 0.5 0.30")


def _bare(house: Any) -> None:
    house.nodes("BG", "CO1 bend 0.5 0.5 -0.20\nCWV1 strainer 0.7 0.5 -0.3\nCWD2 bend 5.33 0.5 -0.2")
    house.nodes("MA", "CV meter 0.8 0.6 0.30")


def _tied(house: Any) -> None:
    house.variant("M03-2", "MX")
    house.runs("MX", "C5 non_potable C1.branch WC.non_potable CU15")


def _crowded(house: Any) -> None:
    house.nodes("MA", "PA guide 0.8 0.5 0.5\nPB guide 0.8 0.5 2.6")


SPOILS = (_flat, _backfall, _narrow, _cut, _missing, _unvented, _bare, _tied, _crowded)


def told(findings: list[Any]) -> set[tuple[Any, ...]]:
    """What does not depend on where a building stands and which way it looks."""
    return {(f.key, f.says, f.because, f.severity, f.floor, f.system, f.where) for f in findings}


@settings(max_examples=6, deadline=None)
@given(
    spoil=st.sampled_from(SPOILS),
    yaw=st.sampled_from([0.0, 30.0, 90.0, 135.0, 270.0]),
    mirror=st.booleans(),
)
def test_a_turned_or_mirrored_building_has_the_same_findings(
    new_house: Callable[..., Any], spoil: Callable[[Any], None], yaw: float, mirror: bool
) -> None:
    house, other = new_house(), new_house()
    spoil(house)
    spoil(other)
    other.turned(yaw, mirror)
    assert told(other.found()) == told(house.found()) != set()


@pytest.mark.soak
@pytest.mark.parametrize("spoil", SPOILS)
@settings(max_examples=60, deadline=None)
@given(yaw=st.floats(0.0, 360.0), mirror=st.booleans())
def test_a_building_turned_to_any_angle_has_the_same_findings(
    new_house: Callable[..., Any], spoil: Callable[[Any], None], yaw: float, mirror: bool
) -> None:
    house, other = new_house(), new_house()
    spoil(house)
    spoil(other)
    other.turned(yaw, mirror)
    assert told(other.found()) == told(house.found()) != set()


@settings(max_examples=6, deadline=None)
@given(spoil=st.sampled_from(SPOILS), seed=st.randoms(use_true_random=False))
def test_the_order_of_rows_does_not_matter(
    new_house: Callable[..., Any], spoil: Callable[[Any], None], seed: Any
) -> None:
    house, other = new_house(), new_house()
    spoil(house)
    spoil(other)
    for table in ("parts", "joints", "nodes", "runs"):
        seed.shuffle(other.rows[table])
    assert told(other.found()) == told(house.found())


@pytest.mark.parametrize("spoil", SPOILS)
def test_every_finding_is_whole(new_house: Callable[..., Any], spoil: Callable[[Any], None]) -> None:
    house = new_house()
    spoil(house)
    found = house.found()
    keys = [f.key for f in found]
    names = {kind.code: kind.name for kind in KINDS}
    assert len(set(keys)) == len(keys)
    for finding in found:
        assert finding.name == names[finding.code]
        assert finding.says.endswith(".")
        assert finding.remedy
        assert finding.basis
        assert finding.items
        assert finding.where
        assert finding.building == "A"
        assert finding.rests_on
        assert isinstance(finding.severity, Severity)
        if finding.because is not None and not finding.because.startswith("J"):
            assert finding.because in keys


def test_what_is_put_right_is_gone(new_house: Callable[..., Any]) -> None:
    for spoil in SPOILS:
        house = new_house()
        spoil(house)
        assert house.found()
        whole = new_house()
        house.rows = whole.rows
        assert house.found() == []


@pytest.mark.parametrize("name", [name for name in set_names() if name != "good_practice"])
def test_every_rule_set_that_comes_with_riser_can_be_asked(house: Any, name: str) -> None:
    chosen = {}
    for subject in ("drainage", "supply", "fire"):
        try:
            choose_rules({"rules": {subject: name}})
            chosen[subject] = name
        except Exception:
            continue
    _bare(house)
    _unvented(house)
    found = house.found(rules=choose_rules({"rules": chosen}))
    assert {"D06", "D05", "S05", "S07"} <= {f.code for f in found}
    assert len({f.key for f in found}) == len(found)
