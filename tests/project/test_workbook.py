# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

import io
import zipfile
from collections.abc import Callable, Mapping
from dataclasses import fields, replace
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
import xlsxwriter
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from riser.errors import InputError, InputErrors
from riser.network.tables import JobTables
from riser.project import read_job, write_workbook
from riser.project.limits import LIMITS

Files = dict[str, str]
Write = Callable[[Files], Path]
ErrorsOf = Callable[[Path], list[InputError]]


def assert_same(a: JobTables, b: JobTables, *, but: tuple[str, ...] = ()) -> None:
    for field in fields(JobTables):
        one, other = getattr(a, field.name), getattr(b, field.name)
        if isinstance(one, pd.DataFrame):
            columns = [name for name in one.columns if name not in but]
            pd.testing.assert_frame_equal(one[columns], other[columns])
        else:
            assert one == other


def test_folder_to_workbook_to_tables_is_the_same_job(job: Path, tmp_path: Path) -> None:
    write_workbook(job, tmp_path / "job.xlsx")
    assert_same(read_job(job), read_job(tmp_path / "job.xlsx"))


def test_the_same_folder_gives_the_same_bytes(job: Path, tmp_path: Path) -> None:
    for name in ("a.xlsx", "b.xlsx"):
        write_workbook(job, tmp_path / name)
    assert (tmp_path / "a.xlsx").read_bytes() == (tmp_path / "b.xlsx").read_bytes()


def test_absent_files_are_absent_sheets(job: Path, tmp_path: Path) -> None:
    for name in ("couplings.csv", "joints.csv", "closures.csv", "gates.toml", "survey.csv"):
        (job / name).unlink()
    for name in ("nodes", "runs"):
        path = job / "types" / "POD" / "A" / f"{name}.csv"
        path.write_text(path.read_text().replace("RING", "").replace("CRIMP", ""))
    write_workbook(job, tmp_path / "job.xlsx")
    assert_same(read_job(job), read_job(tmp_path / "job.xlsx"))


def test_a_folder_with_decimal_commas_gives_the_same_workbook_figures(
    files: Files, written: Write, tmp_path: Path
) -> None:
    files["curves.csv"] = "curve;flow [L/s];pressure [bar]\nTOWN;0;3,5\nTOWN;1,5;3\n"
    folder = written(files)
    write_workbook(folder, tmp_path / "job.xlsx")
    assert_same(read_job(folder), read_job(tmp_path / "job.xlsx"))


def test_types_with_long_names_share_one_sheet_in_si(files: Files, written: Write, tmp_path: Path) -> None:
    long = "A-very-long-name-for-a-revision"
    for name in [name for name in files if name.startswith("types/POD/B")]:
        files[name.replace("/B/", f"/{long}/")] = files.pop(name)
    files["types.csv"] = files["types.csv"].replace("POD,B", f"POD,{long}")
    files["parts.csv"] = files["parts.csv"].replace("POD,B", f"POD,{long}")
    folder = written(files)
    write_workbook(folder, tmp_path / "job.xlsx")
    assert_same(read_job(folder), read_job(tmp_path / "job.xlsx"), but=("row",))


def book_of(path: Path, sheets: Mapping[str, list[list[object]]]) -> Path:
    with xlsxwriter.Workbook(str(path)) as book:
        for name, rows in sheets.items():
            sheet = book.add_worksheet(name)
            for number, row in enumerate(rows):
                for place, cell in enumerate(row):
                    if cell is not None:
                        sheet.write(number, place, cell)
    return path


SMALL: dict[str, list[list[object]]] = {
    "Project": [
        ["Key", "Value"],
        ["name", "Typed in a spreadsheet"],
        ["design.x.on", True],
        ["design.x.n", 3],
    ],
    "floors": [["building", "floor", "order", "level"], ["N", "00", 0, 0], ["N", 1, 1, 3.25]],
    "pipes": [["pipe", "OD (mm)", "bore"], ["P", 110, 103]],
    "types": [["type", "revision", "kind"], ["T", "A", "module"], [7, 2, "site work"]],
    "nodes": [
        ["type", "revision", "node", "kind", "x", "y", "z", "facing", "pipe", "system"],
        ["T", "A", "S", "stub", 0, 0, 0, "down", "P", "soil"],
        [7, 2, "S", "stub", 0.5, 0, 0, "up", "P", "soil"],
        ["T", "A", "O", "outfall", 0, 0, 1],
    ],
    "runs": [
        ["type", "revision", "run", "system", "from", "to", "pipe"],
        ["T", "A", "R", "soil", "S", "O", "P"],
    ],
    "parts": [
        ["part", "type", "type_revision", "floor", "x", "y", "z"],
        ["M1", "T", "A", 1, 0, 0, 3.25],
        [2, 7, 2, "00", 0, 0, 0],
    ],
    "My own sheet": [["anything"], [1]],
}


def test_a_workbook_typed_by_hand_is_read(tmp_path: Path) -> None:
    tables = read_job(book_of(tmp_path / "hand.xlsx", SMALL))
    assert tables.settings["name"] == "Typed in a spreadsheet"
    assert tables.settings["design"] == {"x": {"on": True, "n": 3}}
    assert tables.floors[["floor", "level_m"]].to_numpy().tolist() == [["00", 0.0], ["1", 3.25]]
    assert tables.parts[["part", "type", "floor"]].to_numpy().tolist() == [["M1", "T", "1"], ["2", "7", "00"]]
    assert tables.nodes[["type", "node", "row"]].to_numpy().tolist() == [
        ["T", "S", 2],
        ["T", "O", 4],
        ["7", "S", 3],
    ]
    assert tables.pipes["od_m"].tolist() == [0.110]


def test_dates_of_a_spreadsheet_are_dates(job: Path, tmp_path: Path) -> None:
    import datetime

    sheets = dict(SMALL)
    with xlsxwriter.Workbook(str(tmp_path / "dates.xlsx"), {"default_date_format": "dd/mm/yy"}) as book:
        for name, rows in sheets.items():
            sheet = book.add_worksheet(name)
            for number, row in enumerate(rows):
                sheet.write_row(number, 0, row)
        sheet = book.add_worksheet("gauges")
        sheet.write_row(0, 0, ["gauge", "range_max", "calibrated", "due"])
        sheet.write_row(1, 0, ["G1", 16, datetime.date(2026, 1, 10), datetime.datetime(2027, 1, 10)])
    gauges = read_job(tmp_path / "dates.xlsx").gauges
    assert gauges[["calibrated", "due"]].to_numpy().tolist() == [["2026-01-10", "2027-01-10"]]


@pytest.mark.parametrize(
    ("sheet", "row", "column", "change"),
    [
        ("nodes", 4, "kind", lambda rows: rows[3].__setitem__(3, "outfal")),
        ("nodes", 4, "type", lambda rows: rows[3].__setitem__(0, "Q")),
        ("nodes", 1, "type", lambda rows: rows[0].__setitem__(0, "note")),
        ("runs", 2, "to", lambda rows: rows[1].__setitem__(5, "X")),
        ("parts", 2, "floor", lambda rows: rows[1].__setitem__(3, 9)),
        ("pipes", 2, "bore", lambda rows: rows[1].__setitem__(2, "thin")),
        ("Project", 3, None, lambda rows: rows[2].__setitem__(0, "name")),
        ("Project", 2, "key", lambda rows: rows[1].__setitem__(0, "the name")),
        ("Project", 1, None, lambda rows: rows[0].__setitem__(0, "setting")),
    ],
)
def test_faults_of_a_workbook_name_sheet_row_and_column(
    sheet: str,
    row: int,
    column: str | None,
    change: Callable[[list[list[object]]], None],
    tmp_path: Path,
    errors_of: ErrorsOf,
) -> None:
    sheets = {name: [list(cells) for cells in rows] for name, rows in SMALL.items()}
    change(sheets[sheet])
    places = [(e.file, e.row, e.column) for e in errors_of(book_of(tmp_path / "hand.xlsx", sheets))]
    assert (f"hand.xlsx, sheet {sheet}", row, column) in places


def test_a_sheet_of_a_type_may_be_missing_only_where_a_common_one_exists(
    tmp_path: Path, errors_of: ErrorsOf
) -> None:
    sheets = {name: rows for name, rows in SMALL.items() if name != "runs"}
    places = {e.file for e in errors_of(book_of(tmp_path / "hand.xlsx", sheets))}
    assert places == {"hand.xlsx, sheet runs T A", "hand.xlsx, sheet runs 7 2"}


def test_a_sheet_that_misses_its_name_by_a_letter_is_named(tmp_path: Path, errors_of: ErrorsOf) -> None:
    sheets: dict[str, list[list[object]]] = {**SMALL, "joint": [["joint", "stub_a"]], "Sheet1": [[]]}
    errors = errors_of(book_of(tmp_path / "hand.xlsx", sheets))
    assert [(e.file, e.expected) for e in errors] == [("hand.xlsx, sheet joint", "joints, which is absent")]


def test_an_empty_sheet_is_an_error(tmp_path: Path, errors_of: ErrorsOf) -> None:
    errors = errors_of(book_of(tmp_path / "hand.xlsx", {**SMALL, "curves": []}))
    assert [(e.file, e.found) for e in errors] == [("hand.xlsx, sheet curves", "an empty sheet")]


words = st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"]), max_size=12).map(str.strip)
figures = st.floats(1e-3, 1e6, allow_nan=False).map(repr)


@given(texts=st.lists(words, min_size=3, max_size=3), numbers=st.lists(figures, min_size=3, max_size=3))
@settings(max_examples=5, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_text_and_any_figure_survive_the_workbook(
    texts: list[str], numbers: list[str], job: Path, tmp_path: Path
) -> None:
    cells = ['"' + text.replace('"', '""') + '"' for text in texts]
    rows = [f"G{n},{cell},{figure}" for n, (cell, figure) in enumerate(zip(cells, numbers, strict=True))]
    (job / "gauges.csv").write_text("\n".join(["gauge,kind,range_max [psi]", *rows]), encoding="utf-8")
    write_workbook(job, tmp_path / "job.xlsx")
    folder, book = read_job(job), read_job(tmp_path / "job.xlsx")
    assert folder.gauges["kind"].tolist() == texts
    assert_same(folder, book)


TRAPS = ["=1+1", "@SUM(A1)", "+49 30", "-5", "'quoted", "http://example.org", "_x0041_", "1e5", "007"]


def test_text_is_never_a_formula_a_link_or_a_figure(job: Path, tmp_path: Path) -> None:
    rows = "".join(f"G{n},{text},5\n" for n, text in enumerate(TRAPS))
    (job / "gauges.csv").write_text(f"gauge,kind,range_max\n{rows}")
    write_workbook(job, tmp_path / "job.xlsx")
    with zipfile.ZipFile(tmp_path / "job.xlsx") as archive:
        sheets = [archive.read(name) for name in archive.namelist() if name.startswith("xl/worksheets/sheet")]
    assert not any(b"<f>" in sheet or b"<hyperlink" in sheet for sheet in sheets)
    assert read_job(tmp_path / "job.xlsx").gauges["kind"].tolist() == TRAPS


values = st.recursive(
    st.one_of(st.booleans(), st.integers(-999, 999), st.floats(-1e9, 1e9), words, st.dates()),
    lambda inner: st.lists(inner, max_size=3),
    max_leaves=5,
)


@given(table=st.dictionaries(st.from_regex(r"\A[a-z][a-z_]{0,6}\Z"), values, max_size=4))
@settings(max_examples=60, deadline=None)
def test_any_setting_survives_the_project_sheet(table: dict[str, object]) -> None:
    from riser.project.faults import Faults
    from riser.project.sheet import Sheet
    from riser.project.workbook_settings import project_rows, project_table

    rows = project_rows({"design": {"x": table}})
    frame = pd.DataFrame(rows, columns=[0, 1], dtype=object)
    sheet = Sheet("sheet project", ("key", "value"), frame, np.arange(2, len(rows) + 2))
    faults = Faults()
    assert project_table(sheet, faults) == {"design": {"x": table}}
    assert faults.count() == 0


def test_a_figure_keeps_its_last_digit(job: Path, tmp_path: Path) -> None:
    figures = ["27.900000000000002", "0.1", "1e-300", "123456789012345678", "5e-324"]
    rows = "".join(f"G{n},{figure}\n" for n, figure in enumerate(figures))
    (job / "gauges.csv").write_text(f"gauge,range_max [Pa]\n{rows}")
    write_workbook(job, tmp_path / "job.xlsx")
    assert read_job(tmp_path / "job.xlsx").gauges["range_max_pa"].tolist() == [float(f) for f in figures]


def test_a_job_that_does_not_fit_a_spreadsheet_is_refused(job: Path, tmp_path: Path) -> None:
    (job / "curves.csv").write_text(f"curve,flow,pressure,note\nTOWN,0,3,{'x' * 40_000}\n")
    with pytest.raises(InputErrors) as caught:
        write_workbook(job, tmp_path / "job.xlsx")
    assert [(e.row, e.column, e.found) for e in caught.value.errors] == [(2, "note", "40000 letters")]
    assert not (tmp_path / "job.xlsx").exists()


def test_a_job_with_faults_is_not_written(job: Path, tmp_path: Path) -> None:
    (job / "parts.csv").unlink()
    with pytest.raises(InputErrors):
        write_workbook(job, tmp_path / "job.xlsx")
    assert not (tmp_path / "job.xlsx").exists()


# What is no workbook, or a dangerous one --------------------------------------------------------------------


def good_book(tmp_path: Path) -> bytes:
    return book_of(tmp_path / "good.xlsx", SMALL).read_bytes()


def packed(members: Mapping[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in members.items():
            archive.writestr(name, data)
    return out.getvalue()


def members_of(data: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
NO_WORKBOOKS: dict[str, tuple[Callable[[bytes], bytes], str]] = {
    "empty": (lambda _: b"", "an empty file"),
    "CSV renamed": (lambda _: b"joint,stub_a\nJ1,A/B\n", "a file that is no workbook"),
    "old xls": (lambda _: OLE + bytes(600), "the old .xls format"),
    "encrypted": (
        lambda _: OLE + bytes(300) + "EncryptedPackage".encode("utf-16-le") + bytes(300),
        "a password",
    ),
    "ods": (lambda _: packed({"mimetype": b"application/vnd", "content.xml": b"<x/>"}), ".ods format"),
    "xlsb": (lambda _: packed({"xl/workbook.bin": b"x"}), ".xlsb format"),
    "another zip": (lambda _: packed({"photo.jpg": b"x"}), "a packed file that is no workbook"),
    "cut off": (lambda good: good[: len(good) // 2], "a damaged workbook"),
    "one byte wrong": (lambda good: good[:400] + bytes([good[400] ^ 255]) + good[401:], "a damaged workbook"),
    "zip bomb": (lambda good: packed({**members_of(good), "xl/media/a": bytes(64 << 20)}), "times its size"),
    "bomb in a sheet": (
        lambda good: packed({**members_of(good), "xl/worksheets/sheet9.xml": b" " * (64 << 20)}),
        "times its size",
    ),
    "too many pieces": (
        lambda good: packed({**members_of(good), **{f"xl/media/{n}": b"" for n in range(6000)}}),
        "6017 pieces",
    ),
    "entities": (
        lambda good: packed(
            {**members_of(good), "xl/sharedStrings.xml": b'<!DOCTYPE x [<!ENTITY a "b">]><x/>'}
        ),
        "declarations that no spreadsheet writes",
    ),
    "no XML": (lambda good: packed({**members_of(good), "xl/workbook.xml": b"<<<"}), "a damaged workbook"),
    "one cell far away": (
        lambda good: packed(
            {
                name: data.replace(b'<c r="B2"', b'<c r="XFD1048576"', 1)
                for name, data in members_of(good).items()
            }
        ),
        "reaches to row 1048576 and column 16384",
    ),
}


@pytest.mark.parametrize("name", NO_WORKBOOKS)
def test_what_is_no_sound_workbook_is_refused_in_one_error(
    name: str, tmp_path: Path, errors_of: ErrorsOf
) -> None:
    spoil, found = NO_WORKBOOKS[name]
    path = tmp_path / "job.xlsx"
    path.write_bytes(spoil(good_book(tmp_path)))
    errors = errors_of(path)
    assert [e.file for e in errors] == ["job.xlsx"]
    assert found in errors[0].found


def test_a_workbook_that_lies_about_its_size_is_damaged(tmp_path: Path, errors_of: ErrorsOf) -> None:
    data = bytearray(packed({**members_of(good_book(tmp_path)), "xl/media/a": bytes(8 << 20)}))
    size = (8 << 20).to_bytes(4, "little")
    place = data.find(size)
    while place >= 0:
        data[place : place + 4] = (100).to_bytes(4, "little")
        place = data.find(size)
    (tmp_path / "job.xlsx").write_bytes(bytes(data))
    assert [e.found for e in errors_of(tmp_path / "job.xlsx")] == ["a damaged workbook"]


def test_a_sheet_with_too_many_rows_is_refused(job: Path, tmp_path: Path) -> None:
    write_workbook(job, tmp_path / "job.xlsx")
    with pytest.raises(InputErrors) as caught:
        read_job(tmp_path / "job.xlsx", replace(LIMITS, rows=8))
    assert {e.file for e in caught.value.errors if e.found == "too many rows"} >= {
        "job.xlsx, sheet nodes POD A"
    }
