# SPDX-License-Identifier: Apache-2.0
"""`riser sections` as its user runs it."""

import json

import pytest
import typer
from typer.testing import CliRunner

from riser.cli.sections import add_to


@pytest.fixture
def ask(demo_at):
    """Call the command on the demo with these options."""
    app = typer.Typer(pretty_exceptions_enable=False)
    app.callback()(lambda: None)
    add_to(app)

    def call(*words):
        result = CliRunner().invoke(app, ["sections", str(demo_at("floor_7_placed")), *words])
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            raise result.exception
        return result

    return call


def test_json_is_one_object_with_sections_and_units_in_its_keys(ask):
    answer = ask("--json", "--system", "fire", "--working", "cold=6", "--per", "riser")
    assert answer.exit_code == 0
    content = json.loads(answer.stdout)
    assert set(content) == {"riser", "job", "rules", "strategy", "floors_a_day", "groups", "sections"}
    (section,) = content["sections"]
    # 200 psi at the low point (NFPA 14 11.4.2, read at ufgscriteriadocreport.tpub.com).
    assert section["pressure"]["low_point_kpa"] == pytest.approx(1378.95)
    assert section["pressure"]["high_point_kpa"] < section["pressure"]["low_point_kpa"]
    assert section["closures"]
    assert section["cautions"][0].startswith("Follow the local code")
    (group,) = content["groups"]
    assert group["least_tests"] <= group["tests"] == 1
    assert any("J03:" in entry["reason"] for entry in group["no_method"])


def test_every_connection_is_proven_once_or_listed_with_its_reason(ask):
    content = json.loads(ask("--json", "--working", "cold=6").stdout)
    proven = [p["connection"] for s in content["sections"] for p in s["proven"]]
    none = {entry["connection"] for g in content["groups"] for entry in g["no_method"]}
    assert len(proven) == len(set(proven))
    assert not none & set(proven)
    assert all(entry["reason"] for g in content["groups"] for entry in g["no_method"])
    assert [s["day"] for s in content["sections"]] == sorted(s["day"] for s in content["sections"])


def test_a_day_of_three_floors_needs_fewer_tests_than_a_test_after_every_floor(ask):
    tests = {
        per: sum(g["tests"] for g in json.loads(ask("--json", "--per", per).stdout)["groups"])
        for per in ("floor", "day", "riser")
    }
    assert tests["riser"] <= tests["day"] <= tests["floor"]


def test_the_text_names_limits_pressures_and_what_no_method_reaches(ask):
    text = ask("--system", "soil").stdout
    assert "soil-01 (day 1, up to A/03)" in text
    assert "low point" in text
    assert "Count plugs, caps and blanks" in text
    assert "No method reaches" in text
    assert "Never tighten or strike a joint under pressure" in text


def test_air_on_the_plastic_stacks_of_the_demo_is_refused_with_exit_3(ask):
    answer = ask("--test", "drain_air")
    assert answer.exit_code == 3
    assert "gas is not allowed on plastic pipe" in answer.stderr


@pytest.mark.parametrize(
    "words",
    [
        ("--working", "cold"),
        ("--working", "steam=6"),
        ("--working", "cold=-1"),
        ("--system", "steam"),
        ("--per", "week"),
        ("--pace", "0"),
        ("--height-max", "0"),
        ("--plug-head", "-1"),
        ("--standpipe", "-1"),
    ],
)
def test_what_cannot_be_understood_is_an_input_error(ask, words):
    answer = ask(*words)
    assert answer.exit_code == 2
    assert "nothing was written" in answer.stderr
