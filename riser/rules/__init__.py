# SPDX-License-Identifier: Apache-2.0
"""Codes of practice as data: every number a code prints, with clause, source and certainty.

`sets/<standard_edition>/` holds one standard and edition: `set.toml` says what it is and what is left out,
`fixture_map.toml` which rows stand for the neutral fixture kinds, every other file holds tables. A table has
a clause, a title, a key, the way it is read, columns with printed units, and rows with status and source.
A set may lie over another edition (`extends`: what was read there counts here as not read) and take whole
tables from another standard (`takes`: they go on citing that standard). Where a project chooses no set for a
subject, one that `serves` the country of its drainage set is used.
Some tables have the same name and columns in every set:

limits      single figures and demands by name; what no code says comes from the set `good_practice`
severities  how much a finding weighs under this code, by its code
clauses     clauses that are procedures, with what they ask
tests       proving tests by stage. The pressure asked is the largest of those given: `pressure`, `factor`
            times what `factor_of` names, and that plus `over`; `head` is a column of water instead. It holds
            at `reference_point`, for working pressures from `working_from` to `working_to`, during `hold`,
            with `pumping` or without, and may fall by `drop_max`; `on_plastic` says whether plastic may be
            tested so
least_fall  least fall of horizontal drains by size, where need be by system or material
identification  colours by which pipes are told apart, by system: content as the standard names it, colour and
            its code, bands, lettering; `screen` is an sRGB value near it. No row: the standard names none
"""

from riser.rules.cell import Alternative, Cell, Row
from riser.rules.choice import GOOD_PRACTICE, choose_rules, identification_set
from riser.rules.confirming import (
    Confirmed,
    confirmed_rules,
    confirmed_set,
    holds,
    printed_figures,
    row_name,
    unsure_columns,
)
from riser.rules.differences import RuleDifference, rule_differences
from riser.rules.fixture_map import FixtureEntry, FixtureRow
from riser.rules.loader import load_set, set_names
from riser.rules.lookup_derivation import (
    bracket_derived,
    exact_derived,
    first_not_less_derived,
    last_not_more_derived,
    linear_derived,
)
from riser.rules.pages import rule_page
from riser.rules.rule_set import SUBJECTS, Rules, RuleSet
from riser.rules.table import Lookup, Segment, Table

__all__ = [
    "GOOD_PRACTICE",
    "SUBJECTS",
    "Alternative",
    "Cell",
    "Confirmed",
    "FixtureEntry",
    "FixtureRow",
    "Lookup",
    "Row",
    "RuleDifference",
    "RuleSet",
    "Rules",
    "Segment",
    "Table",
    "bracket_derived",
    "choose_rules",
    "confirmed_rules",
    "confirmed_set",
    "exact_derived",
    "first_not_less_derived",
    "holds",
    "identification_set",
    "last_not_more_derived",
    "linear_derived",
    "load_set",
    "printed_figures",
    "row_name",
    "rule_differences",
    "rule_page",
    "set_names",
    "unsure_columns",
]
