# SPDX-License-Identifier: Apache-2.0
"""The plan of a small building, checked joint by joint against the model itself."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riser.errors import Refused
from riser.network.systems import System
from riser.proving.section_days import days
from riser.proving.section_pipework import Limits, pipework
from riser.proving.section_plan import AT_THE_TOP, PROVEN, GroupPlan, Wanted, height_limit_m, section_plan
from riser.proving.section_sheet import section_sheets
from riser.proving.section_volume import bend_thrust_n, end_thrust_n, material_of, water_of
from riser.rules import choose_rules
from tests.building import model_of, node, of_type, run, two_storeys, with_cells, with_rows, without_rows

FOOT, PSI = 0.3048, 6894.757293168
# Density of water at 20 C (IAPWS-95 tables) and standard gravity (CGPM 1901).
RHO, G = 998.207, 9.80665
RULES = choose_rules({"rules": {"drainage": "ipc_2021", "tests": "ipc_2021", "fire": "nfpa_14"}})
UPC = choose_rules({"rules": {"tests": "upc_2021"}})
JOB = two_storeys()
MODEL = model_of(JOB)
SOIL = frozenset({System.SOIL})


def plan_of(model, rules=RULES, **wanted) -> dict[System, GroupPlan]:
    return {min(plan.systems): plan for plan in section_plan(model, rules, Wanted(**wanted))}


def states(plan: GroupPlan, rules=RULES) -> dict[str, tuple[str, float]]:
    return {name: (state, head) for s in section_sheets(plan, rules) for name, state, head in s.proven}


def levels(model) -> dict[str, float]:
    made = model.joints.connections
    return dict(zip(made.id.tolist(), made.xyz_m[:, 2].tolist(), strict=True))


def with_test_tee(job, z: float):
    """The bath module with a test tee in its stack at this level of the module."""
    job = without_rows(job, "runs", type="MA", run="S2")
    job = with_rows(job, "nodes", *of_type("MA", "A", [node("TT", "test_tee", 0.5, 0.5, z)]))
    rows = [run("S2", "soil", "CI100", "ST.b", "TT.a"), run("S5", "soil", "CI100", "TT.b", "SP1")]
    return with_rows(job, "runs", *of_type("MA", "A", rows))


def test_the_whole_stack_is_one_test_and_its_top_ten_feet_have_their_own_state() -> None:
    plan = plan_of(MODEL)[System.SOIL]
    assert (len(plan.sections), plan.bound, plan.exact, plan.no_method) == (1, 1, True, {})
    found = states(plan)
    where = levels(MODEL)
    for name in ("J1.1", "J1.2", "J4.1", "J4.2", "J7.1", "J7.2"):
        state, head = found[name]
        assert head == pytest.approx(6.6 - where[name])
        assert (state == PROVEN) == (head >= 10 * FOOT)
    assert found["J7.2"][0] == AT_THE_TOP


def test_centimetres_decide_which_coupling_of_a_spool_sees_its_head() -> None:
    """The terminal is lowered until the ten feet fall between the two couplings of J4."""
    where = levels(MODEL)
    top = (where["J4.1"] + where["J4.2"]) / 2 + 10 * FOOT
    job = with_cells(JOB, "nodes", {"node": "VT"}, z_m=top - 6.0)
    found = states(plan_of(model_of(job))[System.SOIL])
    low, high = sorted(("J4.1", "J4.2"), key=where.__getitem__)
    assert (found[low][0], found[high][0]) == (PROVEN, AT_THE_TOP)


def test_the_state_for_the_top_exists_only_in_a_set_that_has_it_and_a_standpipe_does_without() -> None:
    """UPC's own set states no refill height here: what cannot see ten feet has no method."""
    plan = plan_of(MODEL, UPC, systems=SOIL)[System.SOIL]
    assert set(plan.no_method) == {
        "J7.1",
        "J7.2",
        *(n for n, z in levels(MODEL).items() if n[:2] == "J4" and z > 6.6 - 10 * FOOT),
    }
    assert all("standpipe" in why for why in plan.no_method.values())
    tall = plan_of(MODEL, UPC, systems=SOIL, limits=Limits(standpipe_m=3.0))[System.SOIL]
    assert not tall.no_method
    assert {state for state, _ in states(tall, UPC).values()} == {PROVEN}


def test_while_something_is_still_to_be_built_above_nothing_is_proven_as_the_top() -> None:
    plan = plan_of(MODEL, pace=1, systems=SOIL)[System.SOIL]
    assert [p.day for p in plan.sections] == sorted(p.day for p in plan.sections)
    for planned in plan.sections:
        if planned.day < len(days(MODEL, 1)):
            assert not planned.at_the_top.any()
    assert len(states(plan)) == 6
    assert plan.bound <= len(plan.sections)


def test_floors_go_up_at_the_pace_given_and_every_part_stands_in_the_end() -> None:
    calendar = days(MODEL, 1)
    assert [int(day.standing.sum()) for day in calendar] == [2, 3, 4]
    assert len(days(MODEL, 3)) == len(days(MODEL, 0)) == 1


def test_a_coupling_too_weak_for_the_water_has_no_method_until_a_test_tee_parts_the_stack() -> None:
    """0.4 bar is 4.09 m of water: with ten feet of head 1.04 m of stack fit under it."""
    weak = with_cells(JOB, "couplings", {"family": "NH"}, rating_pa=4e4)
    without = plan_of(model_of(weak), systems=SOIL)[System.SOIL]
    assert set(without.no_method) >= {"J4.1", "J4.2", "J7.1", "J7.2"}
    assert any("bears" in why and "m" in why for why in without.no_method.values())
    parted = plan_of(model_of(with_test_tee(weak, 1.2)), systems=SOIL)[System.SOIL]
    assert len(parted.no_method) < len(without.no_method)
    sheets = section_sheets(parted, RULES)
    assert any(c.kind == "test_tee" and c.is_limit for s in sheets for c in s.closures)


def check_sheets(model, plan: GroupPlan) -> None:
    """No component beyond its rating, every proven connection with its head, closures complete."""
    where = levels(model)
    made = model.joints.connections
    rating = model.placed.tables.couplings["rating_pa"].to_numpy(float)
    bears = dict(zip(made.id.tolist(), np.append(rating, np.nan)[made.coupling].tolist(), strict=True))
    proven: set[str] = set()
    for sheet in section_sheets(plan, RULES):
        line = sheet.planned.line_m
        for name, state, head in sheet.proven:
            assert head == pytest.approx(line - where[name])
            if state == PROVEN and not sheet.planned.test.at_low_point:
                assert head >= sheet.planned.test.head_m - 2e-4
        wet = [n for n, *_ in sheet.proven] + [n for n, _ in sheet.not_proven]
        for name in wet:
            pressure = RHO * G * max(line - where[name], 0.0)
            assert np.isnan(bears[name]) or pressure <= bears[name] + 10.0
        assert all(c.level_m < line for c in sheet.closures)
        assert len({(c.id, c.level_m) for c in sheet.closures}) <= len(sheet.closures)
        assert f"out {len(sheet.closures)}" in " ".join(sheet.order_of_work)
        assert f"in {len(sheet.closures)}" in " ".join(sheet.order_of_work)
        assert "licensed engineer" in sheet.cautions[0]
        assert not proven & {n for n, *_ in sheet.proven}
        proven |= {n for n, *_ in sheet.proven}
    assert not proven & set(plan.no_method)
    assert plan.bound <= len(plan.sections)


@settings(max_examples=25, deadline=None)
@given(
    st.floats(3.1e4, 1.2e5),
    st.sampled_from([0, 1, 2]),
    st.sampled_from([0.0, 1.0, 3.05]),
    st.sampled_from([None, 0.8, 1.4, 2.0]),
    st.sampled_from([np.inf, 4.0, 9.14]),
)
def test_every_plan_keeps_every_rating_and_loses_no_connection(rating, pace, standpipe, tee, height) -> None:
    job = with_cells(JOB, "couplings", {"family": "NH"}, rating_pa=rating)
    model = model_of(job if tee is None else with_test_tee(job, tee))
    limits = Limits(height_m=height, standpipe_m=standpipe)
    plan = plan_of(model, pace=pace, systems=SOIL, limits=limits)[System.SOIL]
    check_sheets(model, plan)
    soil = {"J1.1", "J1.2", "J4.1", "J4.2", "J7.1", "J7.2"}
    assert set(states(plan)) | set(plan.no_method) == soil
    for sheet in section_sheets(plan, RULES):
        assert sheet.water.top_m - sheet.water.bottom_m <= height + 1e-3


def test_a_fire_main_is_tested_at_200_psi_at_its_low_point_and_the_top_sees_less() -> None:
    plan = plan_of(MODEL, systems=frozenset({System.FIRE}))[System.FIRE]
    check_sheets(MODEL, plan)
    (sheet,) = section_sheets(plan, RULES)
    assert sheet.low_pa == pytest.approx(200 * PSI)
    assert sheet.low_pa - sheet.high_pa == pytest.approx(
        RHO * G * (sheet.water.top_m - sheet.water.bottom_m), rel=1e-6
    )
    assert {c.id for c in sheet.closures} >= {"BG/FI", "M1/HV", "M2/HV"}
    assert {name for name, *_ in sheet.proven} == {"J3.1", "J6.1", "J9.1"}
    # By hand: 1.6 + 2.5 + 0.949 m below ground, twice 2.998 m of riser and 0.3 m of branch; bore 0.105 m.
    assert sheet.water.volume_m3 == pytest.approx(np.pi / 4 * 0.105**2 * 11.645)
    assert 0 < sheet.pump_m3 < 1e-3
    assert sheet.thrusts[0].thrust_n == max(t.thrust_n for t in sheet.thrusts)


def test_a_cold_riser_needs_its_working_pressure_and_then_every_joint_sees_it() -> None:
    cold = frozenset({System.COLD})
    silent = plan_of(MODEL, systems=cold)[System.COLD]
    assert set(silent.no_method.values()) == {next(iter(silent.no_method.values()))}
    assert "working pressure, which is not given" in silent.no_method["J2.1"]
    plan = plan_of(MODEL, systems=cold, working_pa={System.COLD: 6e5})[System.COLD]
    assert not plan.no_method
    for _, head in states(plan).values():
        assert RHO * G * head >= 6e5 - 5.0


def test_a_joint_that_cannot_be_made_is_listed_with_its_finding() -> None:
    job = with_cells(JOB, "parts", {"part": "M2"}, x_m=2.0)
    plan = plan_of(model_of(job), systems=SOIL)[System.SOIL]
    assert "J03:J4" in plan.no_method["J4.1"]


def test_inside_connections_are_planned_where_the_job_asks_for_them_again() -> None:
    named = with_cells(JOB, "runs", {"type": "MA", "run": "S3"}, joined_to="NH")
    settled = plan_of(model_of(named), systems=SOIL)[System.SOIL]
    again = replace(named, settings={**named.settings, "inside_parts": {"rule": "retest"}})
    plan = plan_of(model_of(again), systems=SOIL)[System.SOIL]
    assert set(states(plan)) - set(states(settled)) == {"M1/S3.to", "M2/S3.to"}


def test_air_on_a_plastic_stack_is_refused_for_the_whole_plan() -> None:
    job = with_cells(JOB, "pipes", {"pipe": "CI100"}, material="PP")
    with pytest.raises(Refused):
        plan_of(model_of(job), named="drain_air")
    assert list(plan_of(MODEL, named="drain_water")) == [System.SOIL]


def test_thrust_on_an_end_is_pressure_times_area_and_a_right_bend_has_root_two_of_it() -> None:
    assert end_thrust_n(0.1143, 200 * PSI) == pytest.approx(0.010261 * 1378951, rel=1e-4)
    assert bend_thrust_n(0.1143, 1e6) == pytest.approx(2**0.5 * end_thrust_n(0.1143, 1e6))


@pytest.mark.parametrize(
    ("words", "name"),
    [("galvanised steel", "carbon steel"), ("PE-HD", "PE"), ("PVC-U", "PVC"), ("cast iron", "cast iron")],
)
def test_the_catalogues_word_finds_its_material(words, name) -> None:
    found = material_of(words)
    assert found is not None
    assert found.name == name


def test_an_unknown_material_foretells_no_pumped_volume() -> None:
    job = with_cells(JOB, "pipes", {"pipe": "ST100"}, material="glass")
    plan = plan_of(model_of(job), systems=frozenset({System.FIRE}))[System.FIRE]
    (sheet,) = section_sheets(plan, RULES)
    assert np.isnan(sheet.pump_m3)
    assert any("glass" in caution for caution in sheet.cautions)


def test_a_metre_more_of_water_in_a_plain_stretch_of_stack_is_a_metre_of_bore() -> None:
    """Between 1 m and 2 m there is only the stack of the lower module, bore 0.103 m."""
    pipes = pipework(MODEL, SOIL, Limits(), drains=True)
    cells = np.ones(pipes.count, bool)
    volumes = [water_of(pipes, cells, line).volume_m3 for line in (1.0, 2.0)]
    assert volumes[1] - volumes[0] == pytest.approx(np.pi / 4 * 0.103**2)


def test_a_rule_that_caps_the_height_of_a_drain_test_caps_every_section() -> None:
    """BS EN 12056-2, national annex, as the rule set has it: 6 m."""
    assert height_limit_m(choose_rules({"rules": {"tests": "en_12056_2"}})) == 6.0
    assert height_limit_m(RULES) == np.inf
