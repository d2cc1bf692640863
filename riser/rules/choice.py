# SPDX-License-Identifier: Apache-2.0
"""The rule sets of a project: chosen by subject, or by country where a set serves it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from riser.errors import NotInRules, RuleSetError
from riser.rules.loader import check_exists, extended_set, load_set, set_head, set_names
from riser.rules.rule_set import SUBJECTS, Rules, RuleSet, check_hash

GOOD_PRACTICE = "good_practice"
IDENTIFICATION = "identification"


def choose_rules(
    settings: Mapping[str, Any], amendments: Mapping[str, Mapping[str, Any]] | None = None
) -> Rules:
    """The sets a project chooses in `settings["rules"]`, checked against `settings["rules_hash"]` if pinned.

    Raises RuleSetError for an unknown subject or set, a set that does not cover the subject, or another hash.
    """
    chosen = settings.get("rules", {})
    if not isinstance(chosen, Mapping):
        raise RuleSetError("project.toml", "rules", "", "not a table", 'write [rules] with drainage = "..."')
    extended = {file: extended_set(file, content) for file, content in sorted((amendments or {}).items())}
    for file, name in extended.items():
        check_exists(name, file, "extends", "")
    for subject, name in chosen.items():
        _check_choice(subject, name)
    served = _served(chosen)
    names = dict.fromkeys([*chosen.values(), *served.values()])
    loaded = {name: load_set(name, amendments) for name in names}
    rules = Rules(
        {subject: loaded[name] for subject, name in chosen.items()},
        load_set(GOOD_PRACTICE, amendments),
        tuple(file for file, name in extended.items() if name not in (*loaded, GOOD_PRACTICE)),
        {subject: loaded[name] for subject, name in served.items()},
    )
    _check_hashes(rules, settings.get("rules_hash", {}))
    return rules


def _served(chosen: Mapping[str, str]) -> dict[str, str]:
    """The set by subject that serves the country of the drainage set, where the project chooses none."""
    if "drainage" not in chosen:
        return {}
    country = set_head(chosen["drainage"]).get("country", "")
    return {
        subject: name
        for name in set_names()
        if country in set_head(name).get("serves", ())
        for subject in set_head(name)["subjects"]
        if subject not in chosen
    }


def _check_choice(subject: Any, name: Any) -> None:
    if subject not in SUBJECTS:
        raise RuleSetError(
            "project.toml", "rules", str(subject), "no such subject", f"use {', '.join(SUBJECTS)}"
        )
    check_exists(name, "project.toml", "rules", subject)
    covered = set_head(name).get("subjects", ())
    if subject not in covered:
        raise RuleSetError(
            "project.toml",
            "rules",
            subject,
            f"{name} covers {', '.join(covered) or 'no subject'}, not {subject}",
            f"choose one of {', '.join(_covering(subject))}",
        )


def _check_hashes(rules: Rules, pinned: Any) -> None:
    if not isinstance(pinned, Mapping):
        raise RuleSetError(
            "project.toml", "rules_hash", "", "not a table", 'write [rules_hash] with <set> = "<hash>"'
        )
    pinnable = (*rules.sets, *rules.by_country.values(), rules.good_practice)
    for rule_set in pinnable:
        if rule_set.id in pinned:
            check_hash(rule_set, str(pinned[rule_set.id]))
    known = {rule_set.id for rule_set in pinnable}
    for stray in sorted(set(pinned) - known):
        raise RuleSetError(
            "project.toml", "rules_hash", stray, "a hash for a set that is not chosen", "remove it"
        )


def _covering(subject: str) -> list[str]:
    return [name for name in set_names() if subject in set_head(name).get("subjects", ())]


def identification_set(rules: Rules) -> RuleSet:
    """The set for the colours of pipes: the one chosen, else the one that serves the drainage set's country.

    Raises NotInRules where neither is there.
    """
    if rules.has(IDENTIFICATION):
        return rules.subject(IDENTIFICATION)
    if IDENTIFICATION in rules.by_country:
        return rules.by_country[IDENTIFICATION]
    raise NotInRules("project.toml chooses no rule set for identification, and none by its drainage set")
