# SPDX-License-Identifier: Apache-2.0
"""The job folder: what an engineer writes, read into tables in SI units, with every fault named at once.

job         a folder of CSV and TOML files, or one workbook with a sheet for each file
table       one file of the job (`joints.csv`); nodes and runs are many files and one table
column      one column of a table: its kind, unit, default and meaning stand in the schema
content     the bytes of the files, as a revision keeps them
input error a file that cannot be understood or contradicts itself (`riser.errors.InputError`)
"""

from riser.project.compare import Difference, differences
from riser.project.content import content_hash, contents
from riser.project.floor_names import floor_named
from riser.project.reading import read_contents, read_job
from riser.project.workbook import write_workbook

__all__ = [
    "Difference",
    "content_hash",
    "contents",
    "differences",
    "floor_named",
    "read_contents",
    "read_job",
    "write_workbook",
]
