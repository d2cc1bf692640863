# SPDX-License-Identifier: Apache-2.0
"""How each system is drawn: its colour by the identification standard in force, and a dash of its own.

Colours differ by content, so several systems share one (all water is green); the dash tells them apart, also
in a grey print. A system the standard does not name is drawn black, and the legend says so.
"""

from __future__ import annotations

from riser.errors import NotInRules
from riser.network.systems import System
from riser.reports.riser_diagram import Style
from riser.rules import Row, Rules, RuleSet, identification_set

NOT_NAMED = "not in the identification standard"
INK = "#000000"

# Spelled with long and short strokes and dots, in mm with the gap after each. That vents are dashed and soil
# is drawn full is common practice, no source; the others are riser's choice.
_LONG, _SHORT, _DOT = (8.0, 1.6), (3.0, 1.6), (0.9, 1.4)
DASHES: dict[System, tuple[float, ...]] = {
    System.SOIL: (),
    System.WASTE: _LONG,
    System.VENT: _SHORT,
    System.RAINWATER: _LONG + _DOT,
    System.CONDENSATE: _DOT,
    System.COLD: _LONG + _DOT * 2,
    System.HOT: _LONG + _SHORT,
    System.HOT_RETURN: _LONG + _SHORT * 2,
    System.NON_POTABLE: _LONG + _DOT * 3,
    System.FIRE: _LONG + _SHORT + _DOT,
    System.POWER: _SHORT + _DOT,
    System.DATA: _SHORT + _DOT * 2,
}


def pipe_styles(rules: Rules) -> dict[System, Style]:
    """The style of every system under the project's rules; a `?` in the words: not read in the standard."""
    try:
        rule_set = identification_set(rules)
    except NotInRules:
        return {system: Style(INK, NOT_NAMED, DASHES[system]) for system in System}
    return {system: _style(rule_set, system) for system in System}


def _style(rule_set: RuleSet, system: System) -> Style:
    try:
        row = rule_set.table("identification").exact(system=system.label)
    except NotInRules:
        return Style(INK, NOT_NAMED, DASHES[system])
    return Style(str(row.cell("screen").value), _words(row), DASHES[system])


def _words(row: Row) -> str:
    """The standard and what it asks for: `BS 1710: green 12 D 45, band blue 18 E 53`."""
    colour = row.cell("colour")
    document = colour.clause.document
    parts = [str(colour.value)]
    if row.has("code"):
        # The code's own series is left out: the standard named before says which it uses.
        parts[0] += f" {_short_code(str(row.cell('code').value))}"
    if row.has("bands"):
        bands = str(row.cell("bands").value)
        parts.append(bands if "/" in bands or "ring" in bands else f"band {bands}")
    if row.has("lettering"):
        parts.append(f"{row.cell('lettering').value} letters")
    marks = {row.cell(c).status.mark for c in ("colour", "code", "bands", "lettering") if row.has(c)}
    return " ".join([f"{document}: {', '.join(parts)}", *sorted(marks - {""})])


def _short_code(code: str) -> str:
    for series in ("BS 4800 ", "GB/T 3181 "):
        code = code.removeprefix(series)
    return code
