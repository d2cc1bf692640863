# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import fields
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from riser.network.placing import placed
from riser.network.tables import JobTables
from riser.project import contents, differences, read_contents, read_job
from riser.project.schema import TABLES

Files = dict[str, str]
Write = Callable[[Files], Path]


def test_figures_come_out_in_si_under_names_with_their_unit(job: Path) -> None:
    tables = read_job(job)
    pipe = tables.pipes.iloc[0]
    assert (pipe["od_m"], pipe["bore_m"], pipe["roughness_m"]) == (0.110, 0.103, 0.000007)
    assert (pipe["max_temperature_c"], pipe["rating_pa"]) == (60.0, 150_000.0)
    coupling = tables.couplings.iloc[1]
    assert (coupling["wait_s"], coupling["insertion_m"]) == (300.0, 0.020)
    assert tables.couplings["angle_max_rad"].iloc[0] == math.pi / 180
    assert tables.parts["yaw_rad"].iloc[2] == math.pi / 2
    assert tables.curves["flow_m3s"].tolist() == [0.0, 0.0015]
    assert tables.catchments["area_m2"].tolist() == [40.0]
    assert tables.devices["kv_m3h"].iloc[0] == 6.3
    assert tables.gauges["accuracy_fraction"].tolist() == [0.016]


def test_rows_are_numbered_as_a_spreadsheet_shows_them(files: Files, written: Write) -> None:
    files["curves.csv"] = "curve,flow,pressure\n\nTOWN,0,3.5\n,,\nTOWN,1.5,3.0\n"
    assert read_job(written(files)).curves["row"].tolist() == [3, 5]


def test_a_row_over_several_lines_counts_as_one(files: Files, written: Write) -> None:
    files["floors.csv"] = files["floors.csv"].replace('"set, then levelled"', '"set,\r\nthen levelled"')
    floors = read_job(written(files)).floors
    assert floors["row"].tolist() == [2, 3, 4, 5]
    assert floors["note"].iloc[1] == "set,\nthen levelled"


def test_text_is_empty_and_figures_are_nan_where_a_cell_is_empty(job: Path) -> None:
    tables = read_job(job)
    assert tables.parts["to_floor"].tolist() == ["", "01", "", ""]
    assert np.isnan(tables.floors["ceiling_m"].iloc[2])
    assert tables.joints["stub_b"].iloc[3] == ""


def test_defaults_fill_empty_cells_and_absent_columns(job: Path) -> None:
    tables = read_job(job)
    assert tables.parts["mirror"].tolist() == ["none", "none", "x", "none"]
    assert tables.parts["yaw_rad"].iloc[3] == 0.0
    plain = tables.runs[tables.runs["type"] == "GROUND"]
    assert plain["hidden"].tolist() == [True, True]
    assert plain["insulation_m"].tolist() == [0.0, 0.0]
    assert tables.couplings["offset_max_m"].tolist() == [0.0, 0.0, 0.0]


def test_each_drawing_keeps_its_own_units_and_stands_in_the_order_of_types(job: Path) -> None:
    nodes = read_job(job).nodes
    assert nodes[["type", "revision"]].drop_duplicates().to_numpy().tolist() == [
        ["POD", "A"], ["POD", "B"], ["GROUND", "A"],
    ]  # fmt: skip
    assert list(nodes.columns[:3]) == ["type", "revision", "node"]
    top = nodes[nodes["node"] == "T1"]
    assert top["z_m"].tolist() == [2.6, 2.6]


def test_points_and_directions_are_text_in_metres(files: Files, written: Write) -> None:
    files["types/POD/B/runs.csv"] = 'run,system,from,to,pipe,via [mm]\nR1,soil,T1,B1,P110,"500 500 1300"\n'
    tables = read_job(written(files))
    assert tables.runs.set_index(["type", "revision", "run"])["via_m"]["POD", "B", "R1"] == "0.5 0.5 1.3"
    assert tables.shafts["outline_m"].iloc[1] == "5.0 5.0; 6.0 5.0; 6.0 6.0"
    facing = tables.nodes.set_index(["type", "revision", "node"])["facing"]
    assert facing["POD", "A", "T1"] == "up"
    assert facing["POD", "A", "K2"] == "0.0 0.0 2.0"


def test_a_setting_is_kept_as_written_and_in_si(job: Path) -> None:
    tables = read_job(job)
    valve = tables.nodes.set_index("node").loc["PRV"]
    assert (valve["setting"], valve["setting_pa"]) == ("3.5 bar", 350_000.0)
    assert np.isnan(valve["setting_m3s"])
    assert tables.devices["setting_m3s"].iloc[1] == pytest.approx(0.0002, rel=1e-15)


def test_times_get_the_offset_of_the_site_where_none_is_written(job: Path) -> None:
    # 2 July is summer time in Berlin: two hours ahead of UTC.
    times = read_job(job).survey["measured_at"].tolist()
    assert times == ["2026-03-02T10:15:00+01:00", "2026-07-02T10:15:00+02:00"]


def test_words_may_have_capitals_spaces_and_hyphens(job: Path) -> None:
    tables = read_job(job)
    assert tables.types["kind"].iloc[2] == "below_slab"
    assert tables.systems["system"].iloc[1] == "cold"
    assert tables.fixtures["kind"].tolist() == ["wc_flush_valve"]


def test_an_empty_building_is_filled_where_only_one_can_be_meant(job: Path) -> None:
    tables = read_job(job)
    assert tables.parts["building"].tolist() == ["N", "N", "N", "S"]
    assert tables.access["building"].tolist() == ["N"]


def test_absent_files_are_empty_tables_with_all_columns(job: Path) -> None:
    full = read_job(job)
    needed = {name for name, table in TABLES.items() if table.required}
    gone = sorted(set(TABLES) - needed)
    for name in gone:
        (job / f"{name}.csv").unlink()
    (job / "gates.toml").unlink()
    tables = read_job(job)
    assert tables.absent == {*(f"{name}.csv" for name in gone), "gates.toml"}
    assert full.absent == frozenset()
    for name in gone:
        frame, whole = getattr(tables, name), getattr(full, name)
        assert len(frame) == 0
        assert frame.dtypes.to_dict() == whole.dtypes.to_dict()


def test_notes_are_kept_and_may_be_several(files: Files, written: Write) -> None:
    files["curves.csv"] = "curve,note,flow,pressure,note site [x]\nTOWN,asked,0,3,twice\nTOWN,,1,2,\n"
    curves = read_job(written(files)).curves
    assert curves["note"].tolist() == ["asked; twice", ""]


@pytest.mark.parametrize(
    ("mark", "ends"),
    [(b"", "\n"), (b"\xef\xbb\xbf", "\r\n"), (b"", "\r")],
    ids=["LF", "CRLF with mark", "CR"],
)
@pytest.mark.parametrize("style", ["comma", "semicolon", "quoted", "spaced"])
def test_every_way_a_spreadsheet_writes_csv_reads_the_same(
    job: Path, mark: bytes, ends: str, style: str
) -> None:
    expected = read_job(job)
    for name in ("curves.csv", "pipes.csv", "sleeves.csv"):
        path = job / name
        rows = [line.split(",") for line in path.read_text(encoding="utf-8").splitlines()]
        path.write_bytes(mark + ends.join(_line(row, style) for row in rows).encode())
    assert differences(expected, read_job(job)) == []


def _line(cells: list[str], style: str) -> str:
    if style == "semicolon":
        return ";".join(cell.replace(".", ",") if cell[:1].isdigit() else cell for cell in cells)
    if style == "quoted":
        return ",".join(f'"{cell}"' for cell in cells)
    if style == "spaced":
        return ", ".join(f" {cell}\u00a0" for cell in cells)
    return ",".join(cells)


def test_semicolons_with_points_are_understood_too(files: Files, written: Write) -> None:
    files["curves.csv"] = files["curves.csv"].replace(",", ";")
    assert read_job(written(files)).curves["flow_m3s"].tolist() == [0.0, 0.0015]


def test_decimal_commas_hold_in_points_directions_and_settings(files: Files, written: Write) -> None:
    files["shafts.csv"] = "shaft;building;outline\nW1;N;0 0; 1,5 0; 1,5 1\nW2;S;5 5; 6 5; 6 6\n".replace(
        "0 0; 1,5 0; 1,5 1", '"0 0; 1,5 0; 1,5 1"'
    ).replace("5 5; 6 5; 6 6", '"5 5; 6 5; 6 6"')
    files["devices.csv"] = "node;setting;kv\nPOD1/PRV;3,5 bar;6,3\n"
    tables = read_job(written(files))
    assert tables.shafts["outline_m"].iloc[0] == "0.0 0.0; 1.5 0.0; 1.5 1.0"
    assert tables.devices[["setting_pa", "kv_m3h"]].to_numpy().tolist() == [[350_000.0, 6.3]]


@pytest.mark.parametrize("header", ["od [in]", "od (in)", 'OD ["]', "od [inch]", "Od  ( IN )"])
def test_a_header_may_carry_its_unit_in_any_usual_way(header: str, files: Files, written: Write) -> None:
    files["pipes.csv"] = files["pipes.csv"].replace("od [mm]", header.replace('"', "″"))
    assert read_job(written(files)).pipes["od_m"].iloc[0] == pytest.approx(110 * 0.0254, rel=1e-15)


def test_a_stored_content_reads_like_the_folder(job: Path) -> None:
    now, stored = read_job(job), read_contents(contents(job))
    assert differences(now, stored) == []
    for field in fields(JobTables):
        a, b = getattr(now, field.name), getattr(stored, field.name)
        if isinstance(a, pd.DataFrame):
            pd.testing.assert_frame_equal(a, b)
        else:
            assert a == b


def test_columns_are_those_of_the_schema_whatever_the_file_holds(job: Path) -> None:
    tables = read_job(job)
    for name, table in TABLES.items():
        assert tuple(getattr(tables, name).columns) == table.inner_columns


def test_the_tables_are_what_the_network_is_built_from(job: Path) -> None:
    where = placed(read_job(job))
    numbers = where.node_numbers(["POD1/B1", "POD1/T1"])
    assert where.node_xyz_m[numbers].tolist() == [[0.5, 0.5, 0.2], [0.5, 0.5, pytest.approx(2.8)]]
    assert where.facing(numbers).tolist() == [[0.0, 0.0, -1.0], [0.0, 0.0, 1.0]]


def test_a_known_part_without_the_stub_named_is_no_input_error(files: Files, written: Write) -> None:
    files["joints.csv"] = files["joints.csv"].replace("POD2/B1", "POD2/B99")
    assert read_job(written(files)).joints["stub_b"].iloc[2] == "POD2/B99"
