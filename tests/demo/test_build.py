# SPDX-License-Identifier: Apache-2.0
"""The committed job folder is what its code writes."""

from __future__ import annotations

import csv
import io
from pathlib import Path

from demo_project.build import HOME, Demo, demo_files, fault_table, main, readme
from demo_project.edits import rows_of
from demo_project.faults import apply, planted_faults, toml_text, undo
from demo_project.writing import write_files

WRITTEN = (".csv", ".toml", ".jsonl")


def test_the_committed_files_are_those_that_the_code_writes() -> None:
    written = demo_files()
    committed = {
        path.relative_to(HOME).as_posix()
        for path in HOME.rglob("*")
        if path.suffix in WRITTEN and path.is_file()
    }
    assert committed == set(written)
    for name, text in written.items():
        assert (HOME / name).read_bytes().decode() == text, name


def test_the_table_of_faults_in_the_readme_is_that_of_the_code(demo: Demo) -> None:
    text = (HOME / "README.md").read_text(encoding="utf-8")
    assert readme(text, demo.faults) == text
    assert fault_table(demo.faults) in text


def test_building_into_another_folder_gives_the_same_files(tmp_path: Path) -> None:
    main([str(tmp_path)])
    for name, text in demo_files().items():
        assert (tmp_path / name).read_bytes().decode() == text, name


def test_planted_toml_read_back_says_what_was_planted(demo: Demo) -> None:
    assert planted_faults(HOME) == list(demo.faults)
    assert toml_text(planted_faults(HOME)) == (HOME / "planted.toml").read_text(encoding="utf-8")


def test_undoing_every_fault_in_any_order_gives_the_sound_files(demo: Demo, tmp_path: Path) -> None:
    write_files({**demo.planted, "planted.toml": toml_text(demo.faults)}, tmp_path)
    ids = [fault.id for fault in demo.faults]
    for fault_id in [*ids[1::2], *ids[0::2]]:
        undo(tmp_path, fault_id)
    for name, text in demo.sound.items():
        now = (tmp_path / name).read_text(encoding="utf-8")
        if name.endswith(".jsonl"):
            assert sorted(now.splitlines()) == sorted(text.splitlines()), name
        else:
            assert rows_of(now) == rows_of(text) if name.endswith(".csv") else now == text, name


def test_planting_every_fault_in_sound_files_gives_the_planted_files(demo: Demo, tmp_path: Path) -> None:
    write_files({**demo.sound, "planted.toml": toml_text(demo.faults)}, tmp_path)
    apply(tmp_path)
    for name, text in demo.planted.items():
        assert (tmp_path / name).read_text(encoding="utf-8") == text, name


def test_every_csv_file_has_as_many_cells_in_each_row_as_its_header(demo: Demo) -> None:
    for name, text in demo.planted.items():
        if name.endswith(".csv"):
            rows = list(csv.reader(io.StringIO(text)))
            assert {len(row) for row in rows} == {len(rows[0])}, name
