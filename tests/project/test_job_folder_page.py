# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

from pathlib import Path

from riser.project.job_folder_page import job_folder_page
from riser.project.schema import TABLES
from riser.project.schema_settings import GATE_KEYS, SETTINGS

PAGE = Path(__file__).parents[2] / "docs" / "job_folder.md"


def test_the_page_in_docs_is_the_one_the_schema_makes() -> None:
    assert PAGE.read_text(encoding="utf-8") == job_folder_page()


def test_the_page_tells_every_file_column_and_key() -> None:
    page = job_folder_page()
    for table in TABLES.values():
        section = page.split(f"## `{table.file}`\n")[1].split("\n## ")[0]
        assert table.purpose in section
        for column in table.columns:
            line = next(line for line in section.splitlines() if line.startswith(f"| `{column.name}` |"))
            assert column.meaning in line
            assert not column.required or "**must be filled**" in line
    for setting in SETTINGS:
        assert f"| `{setting.key}` |" in page
    for key in GATE_KEYS:
        assert f"| `{key.key}` |" in page


def test_every_table_of_the_page_has_as_many_cells_as_its_header() -> None:
    width = 0
    for line in job_folder_page().splitlines():
        if not line.startswith("|"):
            width = 0
        elif width == 0:
            width = line.count("|")
        assert not width or line.count("|") == width
