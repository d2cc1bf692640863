# SPDX-License-Identifier: Apache-2.0
"""Writing a building as a job folder: every file as text, in the order in which people read it."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

from . import panels, services, site_files
from .catalogue import coupling_rows, pipe_rows
from .drawing import NODE_COLUMNS, RUN_COLUMNS, Drawing, Row, number
from .sound import Sound

Files = dict[str, str]


def csv_text(rows: Sequence[Mapping[str, str]], columns: Iterable[str] = ()) -> str:
    """Rows as CSV with a header; without rows the columns must be given."""
    names = list(columns) or list(rows[0])
    text = io.StringIO()
    writer = csv.DictWriter(text, names, lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


def _type_row(drawing: Drawing) -> Row:
    sizes = [number(v) for v in drawing.size] if drawing.size else ["", "", ""]
    return {
        "type": drawing.type,
        "revision": drawing.revision,
        "kind": drawing.kind,
        "size_x [m]": sizes[0],
        "size_y [m]": sizes[1],
        "size_z [m]": sizes[2],
        "note": drawing.note,
    }


def job_files(sound: Sound) -> Files:
    """Every file of the job folder, by its name with forward slashes."""
    site = sound.site
    drawings = [site.drawings[key] for key in sorted(site.drawings)]
    tables: dict[str, list[Row]] = {
        "floors": site_files.floor_rows(sound),
        "shafts": site_files.shaft_rows(sound),
        "risers": site_files.riser_rows(sound),
        "systems": site_files.network_rows(sound),
        "pipes": pipe_rows(),
        "couplings": coupling_rows(),
        "types": [_type_row(drawing) for drawing in drawings],
        "parts": site.part_rows(),
        "joints": site.joints,
        "closures": site.closures,
        "fixtures": services.fixture_rows(sound),
        "supplies": services.supply_rows(sound),
        "curves": services.curve_rows(),
        "devices": services.device_rows(sound),
        "catchments": site_files.catchment_rows(sound),
        "sleeves": site_files.sleeve_rows(sound),
        "access": panels.access_rows(sound),
        "survey": site_files.survey_rows(sound),
        "gauges": services.gauge_rows(),
    }
    files = {"project.toml": services.PROJECT_TOML, "gates.toml": services.gates_toml()}
    files |= {f"{name}.csv": csv_text(rows) for name, rows in tables.items()}
    for drawing in drawings:
        folder = f"types/{drawing.type}/{drawing.revision}"
        files[f"{folder}/nodes.csv"] = csv_text(drawing.nodes, NODE_COLUMNS)
        files[f"{folder}/runs.csv"] = csv_text(drawing.runs, RUN_COLUMNS)
    return files


def write_files(files: Files, folder: Path) -> None:
    """Write files below a folder; what else lies there is left alone."""
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8", newline="")
