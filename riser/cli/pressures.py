# SPDX-License-Identifier: Apache-2.0
"""`riser pressures`: static and flowing pressure of every outlet, zones, faults, and what if."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from riser.cli.shell import (
    ERRORS_STAND,
    AsJson,
    JobPath,
    OtherRules,
    Records,
    answering,
    opened,
    print_json,
    print_rich,
    working,
    write_file,
)

if TYPE_CHECKING:
    from riser.audit import Derived
    from riser.audit.finding import Finding
    from riser.pressures import BuildingPressures, OutletPressure
    from riser.work.job import Job

KPA_PA, LPS_M3S = 1000.0, 0.001


# Building and floor.
Floor = tuple[str, str]


def _pressures(job: Job, sets: list[str], outlets: list[str], main: str) -> BuildingPressures:
    """The pressures asked for, of a copy of the model; nothing is saved."""
    from riser.pressures import building_pressures
    from riser.pressures.what_if import opened_outlets, with_main, with_settings

    model = with_settings(job.design, sets) if sets else job.design
    model = with_main(model, main) if main else model
    asked = building_pressures(model, job.rules)
    return building_pressures(model, job.rules, opened_outlets(asked, outlets)) if outlets else asked


def _number(value: float, unit: float = 1.0, digits: int = 1) -> float | None:
    return None if math.isnan(value) else round(value / unit, digits) + 0.0


def _row_json(pressures: BuildingPressures, row: OutletPressure) -> dict[str, Any]:
    placed, outlet, limits = pressures.model.placed, row.outlet, row.limits
    floor = int(placed.node_floor[outlet.node])
    return {
        "outlet": placed.node_id(outlet.node),
        "port": outlet.port,
        "kind": outlet.kind,
        "building": str(placed.floors.building[floor]),
        "floor": str(placed.floors.name[floor]),
        "system": outlet.system.label,
        "zone": pressures.zone_words(row.zone),
        "level_m": _number(row.level_m, digits=3),
        "reference": "gauge, at the level of the outlet",
        "static_kpa": _number(row.static_pa, KPA_PA),
        "static_most_kpa": _number(limits.most_static_pa, KPA_PA),
        "static_most_basis": limits.most_static.clause.text if limits.most_static else "",
        "flowing_kpa": _number(row.flowing_pa, KPA_PA),
        "flowing_least_kpa": _number(limits.least_flowing_pa, KPA_PA),
        "flowing_least_basis": limits.least_flowing.clause.text if limits.least_flowing else "",
        "flow_lps": _number(row.flow_m3s, LPS_M3S, 3),
        "drawn_kpa": _number(row.drawn_pa, KPA_PA),
    }


def _table(pressures: BuildingPressures, rows: list[OutletPressure], floor: int) -> Any:
    from rich.table import Table

    table = Table(title=_floor_title(pressures, floor), title_justify="left", box=None, pad_edge=False)
    for heading in ("outlet", "water", "level", "still", "most", "flowing", "least", "zone"):
        is_figure = heading not in ("outlet", "water", "zone")
        table.add_column(heading, justify="right" if is_figure else "left", no_wrap=True)
    if pressures.open_m3s:
        table.add_column("drawn", justify="right")
    for row in rows:
        cells = [
            f"{pressures.model.placed.node_id(row.outlet.node)}",
            row.outlet.port.replace("_", "-") or row.outlet.system.label,
            f"{row.level_m:+.2f}",
            _bar(row.static_pa, row.excess_pa > 0),
            _bar(row.limits.most_static_pa),
            _bar(row.flowing_pa, row.shortage_pa > 0),
            _bar(row.limits.least_flowing_pa),
            pressures.zone_name(row.zone),
        ]
        table.add_row(*cells, *([_bar(row.drawn_pa)] if pressures.open_m3s else []))
    return table


def _floor_title(pressures: BuildingPressures, floor: int) -> str:
    floors = pressures.model.placed.floors
    return f"{floors.building[floor]} floor {floors.name[floor]}".strip()


def _bar(pressure_pa: float, marked: bool = False) -> str:
    """Bar to a hundredth; `!` marks what misses its limit."""
    return "-" if math.isnan(pressure_pa) else f"{'!' if marked else ''}{pressure_pa / 1e5:.2f}"


def _show(pressures: BuildingPressures, findings: list[Finding], floor: Floor | None) -> None:
    by_floor: dict[int, list[OutletPressure]] = {}
    for row in pressures.rows:
        by_floor.setdefault(int(pressures.model.placed.node_floor[row.outlet.node]), []).append(row)
    floors = pressures.model.placed.floors
    for number, rows in by_floor.items():
        if floor is None or (floors.building[number], floors.name[number]) == floor:
            print_rich(_table(pressures, rows, number))
            typer.echo("")
    for zone in sorted({row.zone for row in pressures.rows if row.zone >= 0}):
        typer.echo(f"Zone {pressures.zone_name(zone)}: {pressures.zone_words(zone)}.")
    for place in pressures.drawn.unserved if pressures.drawn else ():
        node = int(pressures.model.placed.point_node[place])
        typer.echo(f"No water at {pressures.model.placed.node_id(node)}.")
    roots = _roots(findings)
    for finding in roots:
        if floor is None or not finding.floor or (finding.building, finding.floor) == floor:
            typer.echo(f"{finding.code} {finding.name} [{finding.severity}] {finding.where}")
            typer.echo(f"     {finding.says}\n     Do: {finding.remedy} ({finding.basis})")
            if finding.because is not None:
                typer.echo(f"     Because of {finding.because}, told by `riser check`.")
    typer.echo(
        "Levels in metres, pressures in bar gauge, each at the level of its outlet; ! misses its limit. "
        f"{len(roots)} findings stand, {len(findings) - len(roots)} follow from them."
    )


def _roots(findings: list[Finding]) -> list[Finding]:
    """The findings that no other finding about pressures explains."""
    keys = {finding.key for finding in findings}
    return [finding for finding in findings if finding.because not in keys]


def _draw(pressures: BuildingPressures, job: Job, folder: Path, quiet: bool) -> list[str]:
    """One SVG for each named riser."""
    from riser.pressures.riser_profile import riser_profiles
    from riser.reports.pressure_picture import pressure_picture
    from riser.reports.scene_svg import svg

    files = []
    for profile in riser_profiles(pressures):
        path = folder / f"pressure-{profile.name}.svg"
        page = pressure_picture(profile, pressures.model.placed.floors, job.name)
        write_file(path, svg(page).encode(), quiet)
        files.append(str(path))
    return files


def _explain(pressures: BuildingPressures, node: str) -> dict[str, Derived]:
    """The derivations of the pressures at a node, by connection."""
    from riser.errors import InputError, InputErrors
    from riser.pressures.explaining import explained_flowing, explained_static, supplied_points

    found: dict[str, Derived] = {}
    for name, point in supplied_points(pressures, node).items():
        found[f"{name}, static"] = explained_static(pressures, point)
        if pressures.load is not None and pressures.load.flow_m3s[point] > 0:
            found[f"{name}, flowing"] = explained_flowing(pressures, point)
    if not found:
        expected = "a node that a supply reaches, PART/NODE"
        remedy = "`riser pressures JOB` lists the outlets."
        raise InputErrors([InputError("--explain", None, None, repr(node), expected, remedy)])
    return found


def _tell_trees(job: Job, trees: dict[str, Derived], as_json: bool) -> None:
    from riser.audit import sheet_text

    if as_json:
        print_json(job, {"derivation": [tree.as_json() for tree in trees.values()]})
    else:
        typer.echo("\n\n".join(f"{name}\n{sheet_text(tree)}" for name, tree in trees.items()))


def _answer(
    pressures: BuildingPressures, job: Job, floor: Floor | None, pictures: Path | None, as_json: bool
) -> bool:
    """Tell the pressures; whether errors stand."""
    from riser.audit import Severity
    from riser.pressures import findings_of

    with working("looking for faults"):
        found = findings_of(pressures)
    files = _draw(pressures, job, pictures, as_json) if pictures else []
    if as_json:
        rows = [_row_json(pressures, row) for row in pressures.rows]
        chosen = [row for row in rows if floor is None or (row["building"], row["floor"]) == floor]
        content: dict[str, Any] = {"pressures": chosen, "findings": [f.as_json() for f in found]}
        print_json(job, content | ({"files": files} if pictures else {}))
    else:
        _show(pressures, found, floor)
    return any(finding.severity is Severity.ERROR for finding in _roots(found))


def add_to(app: typer.Typer) -> None:
    """Register the command."""

    @app.command("pressures")
    def pressures_command(
        job: JobPath,
        floor: Annotated[str, typer.Option("--floor", help="Only this floor: 7, or A/7.")] = "",
        set_valve: Annotated[
            list[str] | None, typer.Option("--set", help="What if: a reducing valve, NODE=3.5bar.")
        ] = None,
        open_outlet: Annotated[
            list[str] | None, typer.Option("--open", help="What if: an outlet open, PART/NODE[=0.2L/s].")
        ] = None,
        main: Annotated[str, typer.Option("--main", help="What if: pressure of the mains, 2.1bar.")] = "",
        pictures: Annotated[
            Path | None, typer.Option("--pictures", help="Folder for a picture (SVG) of each riser.")
        ] = None,
        explain: Annotated[
            str, typer.Option("--explain", help="Derive the pressures at a node, PART/NODE.")
        ] = "",
        as_json: AsJson = False,
        rules: OtherRules = None,
        records: Records = "",
    ) -> None:
        """Static and flowing pressure per floor and outlet, zones, faults; exit 1 where errors stand."""
        with answering(as_json):
            opened_job = opened(job, records, rules)
            from riser.work.ids import floor_said

            only = floor_said(opened_job.tables.floors, floor) if floor else None
            with working("working out pressures"):
                asked = _pressures(opened_job, set_valve or [], open_outlet or [], main)
                trees = _explain(asked, explain) if explain else {}
            if explain:
                _tell_trees(opened_job, trees, as_json)
            elif _answer(asked, opened_job, only, pictures, as_json):
                raise typer.Exit(ERRORS_STAND)
