# SPDX-License-Identifier: Apache-2.0
"""The command and the pictures, on the demo job as it lies in the repository; nothing is written to it."""

import json
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from riser.cli import pressures as command
from riser.pressures import building_pressures
from riser.pressures.riser_profile import riser_profiles
from riser.reports.pressure_picture import pressure_picture
from riser.reports.scene import TYPE_MM, groups, overlapping_texts, texts
from riser.work.job import open_job

DEMO = Path(__file__).parents[2] / "demo_project"


@pytest.fixture(scope="module")
def demo():
    job = open_job(DEMO)
    return building_pressures(job.design, job.rules)


def asked(*options):
    app = typer.Typer()
    app.callback()(lambda: None)
    command.add_to(app)
    return CliRunner().invoke(app, ["pressures", str(DEMO), *options])


def test_json_tells_every_outlet_with_its_pressures_limits_and_zone(demo):
    answer = asked("--json")
    content = json.loads(answer.stdout)
    assert len(content["pressures"]) == len(demo.rows)
    row = next(r for r in content["pressures"] if r["outlet"] == "A12-02/WC")
    assert row["reference"].startswith("gauge")
    assert row["flowing_kpa"] < row["static_kpa"]
    # 20 psi and 80 psi (IPC 2018 Table 604.3, read; 604.8, from memory).
    assert (row["flowing_least_kpa"], row["static_most_kpa"]) == (137.9, 551.6)
    assert row["zone"] == "behind pump P01-04/PU"
    assert answer.exit_code == (1 if any(f["severity"] == "error" for f in content["findings"]) else 0)


def test_the_table_tells_one_floor_and_marks_what_misses_its_limit():
    answer = asked("--floor", "12")
    assert "A floor 12" in answer.stdout
    assert "A floor 11" not in answer.stdout
    assert "gauge" in answer.stdout


def test_a_weaker_main_is_only_asked_never_saved():
    before = (DEMO / "supplies.csv").read_bytes()
    plain, weak = (json.loads(asked("--json", *more).stdout) for more in ((), ("--main", "2.1bar")))

    def static(content):
        return {
            (r["outlet"], r["port"]): r["static_kpa"] for r in content["pressures"] if "mains" in r["zone"]
        }

    assert static(plain)
    for outlet, value in static(plain).items():
        assert static(weak)[outlet] == pytest.approx(value - 210.0, abs=0.15)
    assert (DEMO / "supplies.csv").read_bytes() == before


def test_an_outlet_is_explained_segment_by_segment():
    answer = asked("--explain", "A12-02/WC")
    assert answer.exit_code == 0
    assert "loss in P01-04/" in answer.stdout
    assert "supplies.csv" in answer.stdout
    assert "gain of P01-04/PU" in asked("--explain", "P01-04/H1").stdout
    assert asked("--explain", "A12-02/NO").exit_code == 2
    assert asked("--set", "NO-SUCH=3.5bar").exit_code == 2


def test_every_named_riser_under_pressure_has_a_picture_that_can_be_read(demo, tmp_path):
    profiles = riser_profiles(demo)
    assert {"CW-1", "HW-1", "HR-1", "NP-1", "FR-1"} <= {p.name for p in profiles}
    for profile in profiles:
        page = pressure_picture(profile, demo.model.placed.floors, "Larkspur Quay")
        assert overlapping_texts(page) == []
        assert min(text.size_mm for text in texts(page.items)) >= TYPE_MM
        drawn = {group.id: group for group in groups(page.items)}
        assert bool(drawn["static"].items) != bool(drawn["dry"].items)
    assert asked("--pictures", str(tmp_path), "--json").exit_code in (0, 1)
    assert len(list(tmp_path.glob("pressure-*.svg"))) == len(profiles)


def test_a_riser_of_two_zones_shows_both(buildings):
    nodes = buildings.tower_nodes + "V reducing_valve 0 5 4.5 setting_pa=60000\n"
    runs = buildings.tower_runs.replace(
        "R2 cold T2.b T3.a CU28", "R2 cold T2.b V.in CU28\nR2B cold V.out T3.a CU28"
    )
    main = {"node": "P/MC", "kind": "mains", "static_pa": 3e5, "level_m": 0.0}
    risers = [{"riser": "CW-9", "system": "cold", "shaft": "", "through": "P/T1"}]
    model = buildings.drawn(nodes, runs, supplies=[main], risers=risers)
    (profile,) = riser_profiles(building_pressures(model, buildings.rules))
    assert [words for *_, words in profile.zones] == ["mains P/MC", "behind reducing valve P/V"]
    page = pressure_picture(profile, model.placed.floors, "Two zones")
    assert overlapping_texts(page) == []
    assert any(circle.id == "outlets" and circle.items for circle in groups(page.items))
