# SPDX-License-Identifier: Apache-2.0
"""What the rules say and do not say, and how a finding names its basis."""

from __future__ import annotations

from typing import Any

from riser.layout.judging import Judging
from riser.layout.stack_feet import NO_CLEANOUT
from riser.layout.stack_tops import NO_OPEN_VENT


def test_a_subject_without_a_rule_set_is_told_once_and_good_practice_still_holds(
    house: Any, with_rules: Any
) -> None:
    house.nodes("BG", "CWD1 tee 0.73 0.5 -0.2")
    house.drop("runs", type="BG", run="CW1d")
    found = house.found(rules=with_rules(subjects=("drainage", "fire")))
    subject = [f for f in found if f.code == "M03"]
    assert [f.items for f in subject] == [("rules.supply", "supply")]
    assert "project.toml chooses no rule set for supply under [rules]" in subject[0].says
    assert [f.key for f in found if f.code == "S06"] == ["S06:BG/CWV1"]


def test_without_any_rule_set_nothing_passes_in_silence(house: Any, with_rules: Any) -> None:
    house.nodes("BG", "T1 tee 0.5 2.5 -0.71")
    found = house.found(rules=with_rules(subjects=()))
    assert [f.key for f in found] == ["M03:drainage:rules.drainage", "M03:rules.supply:supply"]


def test_a_question_nobody_asks_is_not_told(new_building: Any, with_rules: Any) -> None:
    job = new_building()
    job.floors(1)
    job.type("EM", "A guide 0 0 1\nB guide 1 0 1", "P power A B TRAY")
    job.part("P", "EM", "01")
    assert job.found(rules=with_rules(subjects=())) == []


def test_the_basis_is_the_clause_of_the_figure(house: Any, with_rules: Any) -> None:
    rules = with_rules()
    judging = Judging(house.model(), rules)
    cell = judging.limit("drainage", "open_vent_required", "?")
    assert judging.basis(NO_OPEN_VENT, "drainage", cell) == "Code X 1, clause open_vent_required"
    practice = judging.limit("drainage", "cleanout_stack_foot_distance", "?")
    assert judging.basis(NO_CLEANOUT, "drainage", practice) == "good practice: invented for tests"
    assert judging.basis(NO_CLEANOUT, "drainage") == "common practice, no source"
    assert judging.lacks == {}


def test_what_the_rules_lack_is_noted_once_with_the_set_that_lacks_it(house: Any, with_rules: Any) -> None:
    judging = Judging(house.model(), with_rules())
    for _ in range(2):
        assert judging.limit("drainage", "no_such_thing", "the colour of pipes") is None
    (finding,) = judging.lacks.values()
    assert finding.key == "M03:code_x:no_such_thing"
    assert finding.says == (
        "The colour of pipes cannot be judged: Code X, edition 1 states no limit no_such_thing."
    )
    assert judging.stated("drainage", "no_such_thing") is None
    assert len(judging.lacks) == 1
