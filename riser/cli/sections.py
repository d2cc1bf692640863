# SPDX-License-Identifier: Apache-2.0
"""`riser sections`: the test plan."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING, Annotated, Any

import typer

from riser.cli.shell import AsJson, JobPath, OtherRules, Records, answering, opened, print_json, working

if TYPE_CHECKING:
    from riser.work.sections import SectionsResult

SHOWN = 6

Per = Annotated[str, typer.Option("--per", help="When to test: after each floor, each day, or the riser.")]
Pace = Annotated[int, typer.Option("--pace", help="Floors a day, for --per day.")]
Systems = Annotated[list[str] | None, typer.Option("--system", help="Only this system; repeatable.")]
Named = Annotated[str, typer.Option("--test", help="This test of the rule set, by its name there.")]
Working = Annotated[
    list[str] | None, typer.Option("--working", help="Working pressure: SYSTEM=BAR; repeatable.")
]
Standpipe = Annotated[float, typer.Option("--standpipe", help="Height of a temporary standpipe [m].")]
Height = Annotated[float | None, typer.Option("--height-max", help="Highest drain section allowed [m].")]
PlugHead = Annotated[float | None, typer.Option("--plug-head", help="Head that the plugs at hand bear [m].")]


def sections_text(content: dict[str, Any]) -> str:
    """The plan as text: groups, sections, and what no method reaches."""
    text: list[str] = []
    for group in content["groups"]:
        names = ", ".join(group["systems"])
        exact = "the least there is" if group["least_tests_is_exact"] else f"least {group['least_tests']}"
        if group["test"]:
            text.append(f"{names}: {group['tests']} tests ({exact}); {group['test']}, {group['basis']}")
        else:
            text.append(f"{names}: no test can be planned; the reason stands below")
    for section in content["sections"]:
        text += ["", *_section_lines(section)]
    for group in content["groups"]:
        text += _no_method_lines(group)
    text += ["", "Cautions"]
    text += [f"  {line}" for line in dict.fromkeys(c for s in content["sections"] for c in s["cautions"])]
    return "\n".join(text)


def _section_lines(section: dict[str, Any]) -> list[str]:
    pressure = section["pressure"]
    when = f"day {section['day']}" + (f", up to {section['last_floor']}" if section["last_floor"] else "")
    head = f"{section['section']} ({when}) {', '.join(section['systems'])}: {section['test']}"
    pump = "" if section["pump_l"] is None else f", pump {section['pump_l']:.3g} L if airless"
    grade = pressure["graduation_max_kpa"]
    fine = "" if grade is None else f", divisions at most {grade:g} kPa"
    return [
        head,
        f"  {section['limits']}",
        f"  Gauge at {pressure['gauge_at']} ({pressure['gauge_level_m']:+.3f} m)"
        f" {pressure['gauge_kpa']:g} kPa; low point {pressure['low_point_kpa']:g} kPa,"
        f" high point {pressure['high_point_kpa']:g} kPa",
        f"  Gauge to read {pressure['gauge_range_from_kpa']:g} to {pressure['gauge_range_to_kpa']:g} kPa full"
        f" scale{fine}",
        f"  Volume {section['volume_l']:g} L{pump}; hold {section['hold_min']} min;"
        f" passes when: {section['passes_when']}",
        f"  Close {len(section['closures'])}: {_some([c['id'] for c in section['closures']])}",
        f"  Take out: {_some(section['take_out'])}",
        f"  Vents: {_some(section['vents'])}",
        f"  Proves {len(section['proven'])}: {_some([_state(p) for p in section['proven']])}",
        f"  Does not prove {len(section['not_proven'])} that stand in it",
        f"  Greatest thrust: {_some([_thrust(t) for t in section['thrusts']], 3)}",
        *(f"  {n}. {step}" for n, step in enumerate(section["order_of_work"], start=1)),
    ]


def _state(proven: dict[str, Any]) -> str:
    return str(proven["connection"]) + ("" if proven["state"] == "proven" else f" ({proven['state']})")


def _thrust(thrust: dict[str, Any]) -> str:
    return f"{thrust['at']} {thrust['thrust_kn']:.2f} kN"


def _some(words: list[str], shown: int = SHOWN) -> str:
    if not words:
        return "none"
    more = f" and {len(words) - shown} more" if len(words) > shown else ""
    return ", ".join(words[:shown]) + more


def _no_method_lines(group: dict[str, Any]) -> list[str]:
    by_reason: dict[str, list[str]] = defaultdict(list)
    for entry in group["no_method"]:
        by_reason[entry["reason"].partition(":")[0]].append(entry["connection"])
    if not by_reason:
        return []
    count = len(group["no_method"])
    lines = [
        "",
        f"No method reaches {count} connections of {', '.join(group['systems'])} (--json lists each)",
    ]
    return [*lines, *(f"  {reason}: {_some(names)}" for reason, names in by_reason.items())]


def add_to(app: typer.Typer) -> None:
    """Register the command."""

    @app.command("sections")
    def sections_command(
        job: JobPath,
        per: Per = "day",
        pace: Pace = 3,
        system: Systems = None,
        test: Named = "",
        working_pressure: Working = None,
        standpipe: Standpipe = 0.0,
        height_max: Height = None,
        plug_head: PlugHead = None,
        as_json: AsJson = False,
        rules: OtherRules = None,
        records: Records = "",
    ) -> None:
        """The test plan: sections, limits, pressures, closures, order of work; exit 3 where refused."""
        with answering(as_json):
            from riser.work import sections

            sections.checked_strategy(per, pace)
            opened_job = opened(job, records, rules)
            with working("planning"):
                result: SectionsResult = sections.planned_sections(
                    opened_job,
                    strategy=per,
                    pace=pace,
                    limits=sections.limits_of(height_max, plug_head, standpipe),
                    working_pa=sections.working_pressures_pa(working_pressure or []),
                    named=test,
                    systems=sections.systems_named(system or []),
                )
            content = sections.as_json(result)
            if as_json:
                print_json(opened_job, content)
            else:
                typer.echo(sections_text(content))
