# SPDX-License-Identifier: Apache-2.0
"""Every file of the job folder, declared as data: what docs/job_folder.md prints and the reader follows."""

from __future__ import annotations

import re

from riser.project import (
    schema_assembly,
    schema_building,
    schema_catalogue,
    schema_services,
    schema_site,
)
from riser.project.columns import Table

TABLES: dict[str, Table] = {
    table.name: table
    for table in (
        *schema_building.TABLES,
        *schema_catalogue.TABLES,
        *schema_assembly.TABLES,
        *schema_services.TABLES,
        *schema_site.TABLES,
    )
}
PER_TYPE: tuple[str, ...] = tuple(name for name, table in TABLES.items() if table.per_type)

PROJECT_FILE = "project.toml"
GATES_FILE = "gates.toml"
ROOT_FILES: tuple[str, ...] = (
    PROJECT_FILE,
    *(table.file for table in TABLES.values() if not table.per_type),
    GATES_FILE,
)
_TYPE_FILE = re.compile(r"types/([^/]+)/([^/]+)/(" + "|".join(PER_TYPE) + r")\.csv")
_RULE_FILE = re.compile(r"rules/([^/]+)\.toml")


def is_job_file(name: str) -> bool:
    """Whether a relative name with forward slashes is a file that riser reads."""
    return name in ROOT_FILES or bool(_TYPE_FILE.fullmatch(name) or _RULE_FILE.fullmatch(name))


def type_file(table: str, part_type: str, revision: str) -> str:
    """The file of nodes or runs of one type revision."""
    return f"types/{part_type}/{revision}/{table}.csv"


def amendment_name(name: str) -> str | None:
    """The name of the local amendment a file holds, None if it holds none."""
    found = _RULE_FILE.fullmatch(name)
    return found.group(1) if found else None
