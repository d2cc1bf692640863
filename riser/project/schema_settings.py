# SPDX-License-Identifier: Apache-2.0
"""The keys of project.toml and gates.toml."""

from __future__ import annotations

from dataclasses import dataclass

from riser.units import inner_name


@dataclass(frozen=True, slots=True)
class Setting:
    """One key of project.toml, written with dots: `tolerance.stub_plan`.

    A `dimension` makes it a quantity text such as "10 mm", kept in SI under a name with a suffix.
    """

    key: str
    meaning: str
    default: str = ""
    required: bool = False
    choices: tuple[str, ...] = ()
    dimension: str = ""
    example: str = ""
    is_list: bool = False
    is_date: bool = False

    @property
    def inner(self) -> str:
        """The key in JobTables.settings, with dots."""
        return inner_name(self.key, self.dimension) if self.dimension else self.key


RULE_SUBJECTS = ("drainage", "supply", "fire", "tests")
IDENTIFICATION = Setting(
    "rules.identification",
    "the rule set for the colours of pipes; without it the one that serves the country of the drainage set",
)

SETTINGS: tuple[Setting, ...] = (
    Setting("name", "the name of the job, as it stands on sheets", required=True),
    Setting(
        "time_zone",
        "the time zone of the site, for times written without an offset",
        default="UTC",
        example="Europe/Berlin",
    ),
    Setting("units", "what sheets show", default="metric", choices=("metric", "us")),
    Setting("words", "which trade words sheets show", default="uk", choices=("uk", "us")),
    *(
        Setting(f"rules.{subject}", f"the rule set for {subject}; without it {subject} cannot be judged")
        for subject in RULE_SUBJECTS
    ),
    IDENTIFICATION,
    Setting(
        "tolerance.stub_plan",
        "how far a cast-in stub may be off in plan, along each axis",
        default="10 mm",
        dimension="length",
    ),
    Setting(
        "tolerance.stub_level",
        "how far a cast-in stub may be off in height",
        default="10 mm",
        dimension="length",
    ),
    Setting(
        "tolerance.match_lateral",
        "how far across its axis a stub looks for its partner",
        default="40 mm",
        dimension="length",
    ),
    Setting(
        "tolerance.match_axial_spare",
        "how much farther along its axis than the longest make-up a stub looks for its partner",
        default="50 mm",
        dimension="length",
    ),
    Setting(
        "inside_parts.rule",
        "whether connections made in the factory are tested again on site or accepted on a document",
        default="retest",
        choices=("retest", "accepted"),
    ),
    Setting("inside_parts.authority", "who accepted them; needed with accepted"),
    Setting("inside_parts.date", "when; needed with accepted", is_date=True, example="2026-03-02"),
    Setting("inside_parts.document", "on which document; needed with accepted"),
    Setting("safety.absolute", "rules that nobody may overrule, as a list of texts", is_list=True),
)
# Inputs of a rule set: their names and kinds are the rule set's own, so riser hands them on as they are.
OPEN_TABLES = ("design",)
ACCEPTED_NEEDS = ("authority", "date", "document")


@dataclass(frozen=True, slots=True)
class GateKey:
    """One key of a [[gate]] in gates.toml."""

    key: str
    meaning: str
    required: bool = False
    choices: tuple[str, ...] = ()
    is_list: bool = False


GATE_KEYS: tuple[GateKey, ...] = (
    GateKey("id", "the gate, as people call it", required=True),
    GateKey("work", "what passes it: joint, part, section, floor or another word of the job", required=True),
    GateKey(
        "kind",
        "self: the crew checks itself; witness: somebody is called; hold: work waits",
        required=True,
        choices=("self", "witness", "hold"),
    ),
    GateKey("needs", "states that must be reached", is_list=True),
    GateKey("after", "gates that must be passed before", is_list=True),
    GateKey("role", "who passes it"),
    GateKey("opens", "what may be done afterwards"),
)
