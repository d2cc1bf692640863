# SPDX-License-Identifier: Apache-2.0
"""Which set applies: chosen by subject, or by country where a set serves it."""

from __future__ import annotations

import pytest

from riser.errors import NotInRules, RuleSetError
from riser.rules import choose_rules, identification_set, load_set, set_names

DRAINAGE = [name for name in set_names() if "drainage" in load_set(name).subjects]


@pytest.mark.parametrize(
    ("drainage", "identification"),
    [
        ("ipc_2021", "asme_a13_1"),
        ("upc_2021", "asme_a13_1"),
        ("en_12056_2", "bs_1710"),
        ("uk_adh_bs_9990", "bs_1710"),
        ("gb_50015_2019", "gb_7231"),
        ("gb_50015_2009", "gb_7231"),
    ],
)
def test_the_drainage_sets_country_decides_where_nothing_is_chosen(
    drainage: str, identification: str
) -> None:
    rules = choose_rules({"rules": {"drainage": drainage}})
    assert identification_set(rules).id == identification


@pytest.mark.parametrize("drainage", DRAINAGE)
def test_every_drainage_sets_country_is_served_by_one_identification_set(drainage: str) -> None:
    country = load_set(drainage).country
    serving = [n for n in set_names() if country in load_set(n).serves]
    assert len(serving) == 1


def test_a_chosen_set_wins_and_the_country_counts_no_more() -> None:
    rules = choose_rules({"rules": {"drainage": "ipc_2021", "identification": "gb_7231"}})
    assert identification_set(rules).id == "gb_7231"
    assert rules.by_country == {}


def test_without_a_drainage_set_there_is_no_identification_set() -> None:
    with pytest.raises(NotInRules, match="no rule set for identification"):
        identification_set(choose_rules({"rules": {"supply": "ipc_2021"}}))


def test_a_set_that_serves_a_country_is_not_counted_as_chosen() -> None:
    rules = choose_rules({"rules": {"drainage": "ipc_2021"}})
    assert [s.id for s in rules.sets] == ["ipc_2021"]
    assert set(rules.by_subject) == {"drainage"}


def test_the_hash_of_a_serving_set_may_be_pinned() -> None:
    pinned = load_set("asme_a13_1").hash
    choose_rules({"rules": {"drainage": "ipc_2021"}, "rules_hash": {"asme_a13_1": pinned}})
    with pytest.raises(RuleSetError, match="the rule set now is"):
        choose_rules({"rules": {"drainage": "ipc_2021"}, "rules_hash": {"asme_a13_1": "0" * 64}})


def test_a_set_of_another_subject_is_refused_for_identification() -> None:
    with pytest.raises(RuleSetError, match=r"choose one of asme_a13_1, bs_1710, gb_7231"):
        choose_rules({"rules": {"identification": "ipc_2021"}})
