# SPDX-License-Identifier: Apache-2.0
"""Every kind of slip an engineer makes in a file, one at a time: it is named with file, row and column."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from riser.errors import InputError

Place = tuple[str, int | None, str | None]
POD_NODES, POD_RUNS = "types/POD/A/nodes.csv", "types/POD/A/runs.csv"


@dataclass(frozen=True)
class Spoilt:
    """In `file` the text `old` becomes `new`: one fault at `row` and `column` whose sentence holds `says`."""

    name: str
    file: str
    old: str
    new: str
    row: int | None
    column: str | None
    says: str
    more: tuple[Place, ...] = ()


SPOILT = (
    # references that find nothing
    Spoilt("unknown pipe", POD_NODES, "down,P110", "down,P11O", 2, "pipe", "Did you mean 'P110'?"),
    Spoilt("unknown type", "parts.csv", "POD2,POD", "POD2,PODS", 4, "type", "Did you mean 'POD'?"),
    Spoilt("unknown revision", "parts.csv", "POD2,POD,B", "POD2,POD,C", 4, "type_revision", "'C'"),
    Spoilt(
        "unknown building", "parts.csv", "A,N,00,01", "A,M,00,01", 3, "building", "a building of floors.csv"
    ),
    Spoilt("unknown floor", "parts.csv", "A,N,00,01", "A,N,00,09", 3, "to_floor", "a floor of that building"),
    Spoilt(
        "floor without its zero", "parts.csv", "A,N,00,01", "A,N,00,1", 3, "to_floor", "Did you mean '01'?"
    ),
    Spoilt("floor of another building", "parts.csv", "B,S,00", "B,S,01", 5, "floor", "'01'"),
    Spoilt("floor on a joint that no building has", "joints.csv", "B1,00", "B1,77", 2, "works_on", "'77'"),
    Spoilt(
        "joint made on another building's floor",
        "joints.csv",
        "B1,00",
        "B1,02",
        2,
        "works_on",
        "joint's parts",
    ),
    Spoilt(
        "bare floor of two buildings", "access.csv", "AP1,,01", "AP1,,00", 2, "floor", "N and S may be meant"
    ),
    Spoilt(
        "bare floor on a joint between buildings",
        "joints.csv",
        "POD2/B1,,",
        "POD3/B1,00,",
        4,
        "works_on",
        "N and S may be meant",
    ),
    Spoilt(
        "shaft of no building",
        "shafts.csv",
        "W1,N",
        "W1,",
        2,
        "building",
        "N and S may be meant",
        more=(("risers.csv", 2, "shaft"), ("risers.csv", 3, "shaft")),
    ),
    Spoilt("unknown shaft", "risers.csv", "soil,W1", "soil,W9", 2, "shaft", "a shaft of shafts.csv"),
    Spoilt("shaft of another building", "risers.csv", "soil,W1", "soil,W2", 2, "shaft", "`through` stands"),
    Spoilt(
        "sleeve in a building that lacks the floor", "sleeves.csv", "SL1,N,00", "SL1,S,01", 2, "floor", "'01'"
    ),
    Spoilt(
        "joint of an unknown part", "joints.csv", "POD2/B1", "POB2/B1", 4, "stub_b", "Did you mean 'POD2/B1'?"
    ),
    Spoilt("stub without its part", "joints.csv", "J1,GR/S1", "J1,S1", 2, "stub_a", "PART/NODE"),
    Spoilt(
        "joint of a stub with itself",
        "joints.csv",
        "J1,GR/S1,POD1/B1",
        "J1,GR/S1,GR/S1",
        2,
        "stub_b",
        "another",
    ),
    Spoilt(
        "make-up of an unknown joint", "closures.csv", "J4,1", "J7,1", 6, "joint", "a joint of joints.csv"
    ),
    Spoilt(
        "unknown coupling family",
        "closures.csv",
        "cap,RING",
        "cap,RINGS",
        6,
        "family",
        "Did you mean 'RING'?",
    ),
    Spoilt("unknown inside coupling", POD_RUNS, "a,P110,,,RING", "a,P110,,,RONG", 2, "joined_to", "'RING'"),
    Spoilt("unknown curve", "supplies.csv", "TOWN", "TOWNS", 2, "curve", "Did you mean 'TOWN'?"),
    Spoilt("supply at a node that is not there", "supplies.csv", "GR/IN", "GR/INN", 2, "node", "'GR/IN'?"),
    Spoilt(
        "riser through a node that is not there",
        "risers.csv",
        "POD1/B1",
        "POD1/B9",
        2,
        "through",
        "'POD1/B1'",
    ),
    Spoilt(
        "fixture that is no fixture", "fixtures.csv", "POD1/WC", "POD1/V1", 2, "fixture", "of kind fixture"
    ),
    Spoilt(
        "panel serving an unknown joint",
        "access.csv",
        "J3 POD1",
        "J9 POD1",
        2,
        "serves",
        "a joint of joints.csv",
    ),
    # runs, nodes, ports
    Spoilt(
        "run to nowhere", POD_RUNS, "R2,soil,TEE,b,B1", "R2,soil,TEE,b,B7", 3, "to", "a node of the same type"
    ),
    Spoilt("run to itself", "types/GROUND/A/runs.csv", "S1,OUT", "OUT,OUT", 2, "to", "another node"),
    Spoilt("port the node does not have", POD_RUNS, "TEE,a,", "TEE,inlet,", 2, "to_port", "a, b, branch"),
    Spoilt("tee without a port", POD_RUNS, "TEE,b,", "TEE,,", 3, "from_port", "a port of a tee"),
    Spoilt(
        "stub without facing", POD_NODES, "0.0,down,P110", "0.0,,P110", 2, "facing", "a facing for each stub"
    ),
    Spoilt("stub without pipe", POD_NODES, "down,P110", "down,", 2, "pipe", "a pipe for each stub"),
    Spoilt("stub without system", POD_NODES, "spigot,soil", "spigot,", 2, "system", "a system for each stub"),
    Spoilt("fixture of no kind", POD_NODES, "wc_cistern", "", 5, "fixture_kind", "for each fixture"),
    Spoilt("unknown node kind", POD_NODES, "TEE,tee", "TEE,teee", 4, "kind", "Did you mean 'tee'?"),
    Spoilt("unknown fixture kind", POD_NODES, "wc_cistern", "wc_cistren", 5, "fixture_kind", "'wc_cistern'"),
    Spoilt("unknown system", POD_RUNS, "R1,soil", "R1,soils", 2, "system", "Did you mean 'soil'?"),
    Spoilt("unreadable facing", POD_NODES, "0 0 2", "north", 9, "facing", "a vector x y z"),
    Spoilt("facing without length", POD_NODES, "0 0 2", "0 0 0", 9, "facing", "a vector x y z"),
    Spoilt("corner with two figures", POD_RUNS, "0.9 0.5 0.4;", "0.9 0.5;", 4, "via", "points x y z"),
    Spoilt("shaft with two corners", "shafts.csv", "5 5; 6 5; 6 6", "5 5; 6 5", 3, "outline", "at least 3"),
    Spoilt("setting without unit", POD_NODES, "3.5 bar", "3.5", 8, "setting", "a quantity with its unit"),
    Spoilt("setting in a strange unit", "devices.csv", "0.2 L/s", "0.2 kg", 3, "setting", "0.2 L/s"),
    # figures
    Spoilt("text in a number", "pipes.csv", "110,103", "110,thin", 2, "bore", "a number"),
    Spoilt("unit in a cell", "pipes.csv", "110,103", "110 mm,103", 2, "od", "the unit in the header"),
    Spoilt("not a number", "pipes.csv", "110,103", "110,NaN", 2, "bore", "an unknown one is an empty cell"),
    Spoilt("infinite", "pipes.csv", "110,103", "inf,103", 2, "od", "a finite number"),
    Spoilt("number too large", "pipes.csv", "110,103", "1e999,103", 2, "od", "a finite number"),
    Spoilt("negative size", "pipes.csv", "110,103,0.007", "110,-103,0.007", 2, "bore", "more than 0"),
    Spoilt(
        "zero size",
        "types.csv",
        "module,2.4,2.0,2.7\nPOD,B",
        "module,0,2.0,2.7\nPOD,B",
        2,
        "size_x",
        "more than 0",
    ),
    Spoilt("bore as wide as the pipe", "pipes.csv", "110,103", "103,103", 2, "od", "more than bore"),
    Spoilt("gap the wrong way round", "couplings.csv", "5,15", "15,5", 2, "gap_max", "at least gap_min"),
    Spoilt("range the wrong way round", "gauges.csv", "0,16", "20,16", 2, "range_max", "more than range_min"),
    Spoilt("share above one", "catchments.csv", "3,0.9", "3,1.9", 2, "runoff", "at most 1"),
    Spoilt("half an order", "closures.csv", "J1,2,pipe", "J1,2.5,pipe", 3, "order", "a whole number"),
    Spoilt("empty figure", "parts.csv", "20,0,0.2", ",0,0.2", 5, "x", "an empty cell"),
    Spoilt(
        "decimal comma between commas",
        "catchments.csv",
        "40,3,0.9",
        '"40,5",3,0.9',
        2,
        "area",
        "decimal point",
    ),
    Spoilt(
        "one pipe with two bores",
        "pipes.csv",
        "22,20,0.0015,plain,65",
        "22,19,0.0015,plain,65",
        4,
        "bore",
        "first",
    ),
    # words
    Spoilt("neither yes nor no", "couplings.csv", "0,no,yes", "0,maybe,yes", 2, "restrained", "yes or no"),
    Spoilt("word not in the list", "parts.csv", "90,x", "90,y", 4, "mirror", "none, x"),
    Spoilt("id with a slash", "parts.csv", "POD3,POD", "POD/3,POD", 5, "part", "an id"),
    Spoilt("date that does not exist", "gauges.csv", "2026-01-10", "2026-02-30", 2, "calibrated", "a date"),
    Spoilt("date in another order", "gauges.csv", "2027-01-10", "10.01.2027", 2, "due", "2026-03-02"),
    Spoilt(
        "due before calibrated", "gauges.csv", "2027-01-10", "2025-01-10", 2, "due", "not before calibrated"
    ),
    Spoilt("time unreadable", "survey.csv", "2026-03-02T10:15+01:00", "noon", 2, "measured_at", "10:15"),
    Spoilt(
        "pipe piece without length", "closures.csv", "P110,97", "P110,", 3, "length", "a length for each pipe"
    ),
    # two of a kind
    Spoilt(
        "id twice",
        "joints.csv",
        "J2,GR/K1",
        "J1,GR/K1",
        3,
        "joint",
        "each joint once",
        more=(("closures.csv", 5, "joint"),),
    ),
    Spoilt(
        "place in a make-up twice", "closures.csv", "J1,3", "J1,2", 4, "order", "each joint and order once"
    ),
    Spoilt("order of floors twice", "floors.csv", "N,01,1", "N,01,0", 3, "order", "of its own"),
    Spoilt(
        "floors at one level", "floors.csv", "1,3.1", "1,0.0", 3, "level", "above that of the floor below"
    ),
    Spoilt(
        "floor that sinks",
        "floors.csv",
        "N,01,1,3.1",
        "N,01,1,-3.1",
        3,
        "level",
        "above that of the floor below",
    ),
    Spoilt("node twice", POD_NODES, "K2,stub", "K1,stub", 9, "node", "once", more=((POD_RUNS, 7, "to"),)),
    Spoilt(
        "coupling both ways round",
        "couplings.csv",
        "BUSH,P110,C22,,,,,,,1,0,no,no,invented\n",
        "BUSH,P110,C22,,,,,,,1,0,no,no,invented\nBUSH,C22,P110,,,,,,,1,0,no,no,invented\n",
        5,
        "pipe_b",
        "once",
    ),
    # headers
    Spoilt("wrong unit", "pipes.csv", "od [mm]", "od [bar]", 1, "od", "a unit of length"),
    Spoilt("unit nobody knows", "pipes.csv", "od [mm]", "od [mmm]", 1, "od", "a unit of length"),
    Spoilt(
        "unit on a column without one",
        "parts.csv",
        "hoist_order",
        "hoist_order [m]",
        1,
        "hoist_order",
        "no unit",
    ),
    Spoilt("column twice", "floors.csv", "slab_top", "level", 1, "level", "each column once"),
    Spoilt("unknown column", "parts.csv", "hoist_order", "hoist_oder", 1, "hoist_oder", "'hoist_order'"),
    Spoilt(
        "missing column", "curves.csv", ",pressure [bar]", ",note", 1, "pressure", "a column pressure [bar]"
    ),
    Spoilt("cells under no header", "floors.csv", ",note", ",", 1, "column 8", "a header over every column"),
    # rows
    Spoilt("row too long", "curves.csv", "TOWN,0,3.5", "TOWN,0,3.5,1,2", 2, None, "3 cells as in the header"),
    Spoilt("open quotation mark", "floors.csv", '"set', 'set"",""', 3, None, "cells"),
    Spoilt("header not in row 1", "curves.csv", "curve,", "\ncurve,", 1, None, "the header in row 1"),
    Spoilt(
        "tabs", "risers.csv", "riser,system,shaft,through", "riser\tsystem\tshaft\tthrough", 1, None, "tabs"
    ),
    # settings
    Spoilt("bad TOML", "project.toml", '"uk"', "uk", 3, None, "TOML"),
    Spoilt(
        "unknown setting",
        "project.toml",
        "stub_plan",
        "stub_plans",
        None,
        "tolerance.stub_plans",
        "stub_plan'",
    ),
    Spoilt(
        "setting of no use", "project.toml", '"0.5 in"', '"0.5 bar"', None, "tolerance.stub_plan", "a length"
    ),
    Spoilt("word not in the list of a setting", "project.toml", '"uk"', '"eu"', None, "words", "uk, us"),
    Spoilt("no name", "project.toml", 'name = "Reed Sheds"', "", None, "name", "nothing"),
    Spoilt("unknown time zone", "project.toml", "Europe/Berlin", "Europe/Nowhere", None, "time_zone", "IANA"),
    Spoilt(
        "accepted by nobody",
        "project.toml",
        'authority = "Ola Fenn"',
        "",
        None,
        "inside_parts.authority",
        "who",
    ),
    Spoilt(
        "infinite setting", "project.toml", "0.031", "inf", None, "design.ipc_2021.rain", "a finite number"
    ),
    Spoilt("gate twice", "gates.toml", '"G2"', '"G1"', None, "gate 2, id", "each gate once"),
    Spoilt(
        "gate after an unknown one",
        "gates.toml",
        '["G1"]',
        '["G0"]',
        None,
        "gate 2, after",
        "a gate of this file",
    ),
    Spoilt("gate of no kind", "gates.toml", '"hold"', '"holt"', None, "gate 2, kind", "Did you mean 'hold'?"),
    Spoilt("bad local rules", "rules/yard.toml", "[[change]]", "[[change]", 4, None, "TOML"),
)


@pytest.mark.parametrize("spoilt", SPOILT, ids=lambda spoilt: spoilt.name)
def test_a_slip_is_named_with_file_row_and_column(
    spoilt: Spoilt,
    files: dict[str, str],
    written: Callable[[dict[str, str]], Path],
    errors_of: Callable[[Path], list[InputError]],
) -> None:
    assert spoilt.old in files[spoilt.file], "the slip does not change the file"
    files[spoilt.file] = files[spoilt.file].replace(spoilt.old, spoilt.new, 1)
    errors = errors_of(written(files))
    places = [(error.file, error.row, error.column) for error in errors]
    assert (spoilt.file, spoilt.row, spoilt.column) in places
    assert set(places) - {(spoilt.file, spoilt.row, spoilt.column)} == set(spoilt.more), "faults that follow"
    here = errors[places.index((spoilt.file, spoilt.row, spoilt.column))]
    assert spoilt.says in here.sentence()
    assert here.remedy


@dataclass(frozen=True)
class Whole:
    """What a whole file becomes (None: it is taken away), and the fault of that file."""

    name: str
    file: str
    content: bytes | None
    row: int | None
    says: str


WHOLE = (
    Whole("missing file", "floors.csv", None, None, "a file that every job needs"),
    Whole("missing settings", "project.toml", None, None, "a file that every job needs"),
    Whole("missing drawing", POD_NODES, None, None, "remove revision A of POD"),
    Whole("empty file", "joints.csv", b"", None, "an empty file"),
    Whole("file of blanks", "joints.csv", b"\n \n\n", None, "an empty file"),
    Whole(
        "header only where rows must be",
        "parts.csv",
        b"part,type,type_revision,floor,x,y,z\n",
        None,
        "one row",
    ),
    Whole("binary", "joints.csv", b"joint,stub_a\nJ1,\x00\x01\x02\n", 2, "not a binary file"),
    Whole("picture", "joints.csv", b"\x89PNG\r\n\x1a\n" + bytes(range(256)), 2, "UTF-8"),
    Whole("workbook with another ending", "joints.csv", b"PK\x03\x04" + bytes(40), None, "a workbook"),
    Whole(
        "Latin letters", "curves.csv", "curve,flow,pressure\nTÜRM,0,3\n".encode("latin-1"), 2, "text in UTF-8"
    ),
    Whole("UTF-16", "curves.csv", "curve,flow,pressure\nTOWN,0,3\n".encode("utf-16"), None, "UTF-16"),
)


@pytest.mark.parametrize("whole", WHOLE, ids=lambda whole: whole.name)
def test_a_file_that_is_none_is_named(
    whole: Whole, job: Path, errors_of: Callable[[Path], list[InputError]]
) -> None:
    path = job / whole.file
    if whole.content is None:
        path.unlink()
    else:
        path.write_bytes(whole.content)
    here = errors_of(job)
    assert [error.file for error in here] == [whole.file], "faults that follow"
    assert here[0].row == whole.row
    assert whole.says in here[0].sentence()
