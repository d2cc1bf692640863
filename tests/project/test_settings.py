# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from riser.errors import InputError
from riser.project import read_job
from riser.project.faults import Faults
from riser.project.settings import job_settings, toml_text


def read(text: str) -> tuple[dict[str, object], list[InputError]]:
    faults = Faults()
    table = toml_text(text, "project.toml", faults)
    settings = job_settings(table, "project.toml", faults) if table is not None else {}
    return settings, faults.errors()


def test_quantities_are_in_si_and_texts_stay_texts(job: Path) -> None:
    settings = read_job(job).settings
    assert settings["tolerance"]["stub_plan_m"] == 0.0127
    assert settings["design"]["ipc_2021"] == {
        "building_use": "residential", "occupied": True, "people": 12, "rain": 0.031, "ties": ["#1", "3 m"],
    }  # fmt: skip
    assert settings["inside_parts"]["date"] == "2026-02-01"


def test_defaults_are_filled_in() -> None:
    settings, errors = read('name = "x"')
    assert errors == []
    assert settings == {
        "name": "x",
        "time_zone": "UTC",
        "units": "metric",
        "words": "uk",
        "tolerance": {
            "stub_plan_m": 0.01, "stub_level_m": 0.01, "match_lateral_m": 0.04, "match_axial_spare_m": 0.05,
        },
        "inside_parts": {"rule": "retest"},
    }  # fmt: skip


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ('name = ""', "name"),
        ("name = 5", "name"),
        ('name = "x"\nrules = "ipc_2021"', "rules"),
        ('name = "x"\ndesign = 5', "design"),
        ('name = "x"\n[tolerance]\nstub_plan = 10', "tolerance.stub_plan"),
        ('name = "x"\n[tolerance]\nstub_plan = "-1 mm"', "tolerance.stub_plan"),
        ('name = "x"\n[safety]\nabsolute = "all"', "safety.absolute"),
        ('name = "x"\n[inside_parts]\ndate = "yesterday"', "inside_parts.date"),
        ('name = "x"\ntime_zone = "../../etc/passwd"', "time_zone"),
        ('name = "x"\n[design.s]\na = nan', "design.s.a"),
    ],
)
def test_a_setting_of_the_wrong_kind_is_named_by_its_key(text: str, key: str) -> None:
    _, errors = read(text)
    assert [(e.file, e.column) for e in errors] == [("project.toml", key)]


def test_all_that_an_acceptance_needs_is_asked_for() -> None:
    _, errors = read('name = "x"\n[inside_parts]\nrule = "accepted"')
    assert [e.column for e in errors] == [
        "inside_parts.authority",
        "inside_parts.date",
        "inside_parts.document",
    ]


@pytest.mark.parametrize(
    "text", ["a" + ".a" * 30_000 + " = 1", "a = " + "[" * 5000, "a" + ".a" * 60 + " = 1"]
)
def test_values_nested_too_deep_do_not_break_the_reader(
    text: str, job: Path, errors_of: Callable[[Path], list[InputError]]
) -> None:
    (job / "rules" / "yard.toml").write_text(text)
    assert {e.file for e in errors_of(job)} == {"rules/yard.toml"}


def test_a_fault_in_toml_names_its_line() -> None:
    _, errors = read('name = "x"\n\nwords = uk\n')
    assert [(e.row, e.found) for e in errors] == [(3, "'Invalid value'")]


def test_gates_keep_their_order_and_have_every_key(job: Path) -> None:
    gates = read_job(job).gates
    assert [gate["id"] for gate in gates] == ["G1", "G2"]
    assert gates[0]["needs"] == ["made", "inspected"]
    assert gates[1] == {
        "id": "G2", "work": "section", "kind": "hold", "needs": [], "after": ["G1"], "role": "", "opens": "",
    }  # fmt: skip


def test_local_rules_are_handed_on_as_they_are(job: Path) -> None:
    assert read_job(job).amendments == {
        "yard": {"extends": "ipc_2021", "change": [{"row": "a", "units": 3.0}]}
    }
