# SPDX-License-Identifier: Apache-2.0
"""What sizing finds wrong, and what it cannot judge."""

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from riser.audit import Severity
from riser.network.tables import JobTables
from riser.rules import Rules, choose_rules
from riser.sizing import KINDS, findings, sizes

BATHROOM = ["wc", "lav", "bath"]


def found(build: SimpleNamespace, rules: Rules, job: JobTables, *codes: str) -> Any:
    listed = findings(build.model_of(job), rules)
    return [f for f in listed if not codes or f.code in codes]


def with_pipe(job: JobTables, pipe: str, *names: str) -> Any:
    runs = job.runs.copy()
    runs.loc[runs["run"].isin(names), "pipe"] = pipe
    return replace(job, runs=runs)


def test_a_sound_building_has_no_finding(build: SimpleNamespace, rules: Rules) -> None:
    assert found(build, rules, build.tower(4)) == []
    assert found(build, rules, build.stacked([[BATHROOM] * 4], vent_stacks=True)) == []


def test_a_drain_too_small_is_told_with_load_least_size_and_clause(
    build: SimpleNamespace, rules: Rules
) -> None:
    job = build.stacked([[BATHROOM * 3] * 3], pipes={"drain": "P3"})
    (finding,) = found(build, rules, job)
    # 54 dfu at 1/8 in/ft: 36 in 3 in, 180 in 4 in (Table 710.1(1)); the stack: 54 on three intervals is 4 in.
    assert finding.key == "D12:P/BD0"
    assert finding.says == (
        "2 pipes from P/FD0 to P/BD0, building drain, drawn 3 in: 54 dfu need 4 in (DN 100), "
        "decided by the load."
    )
    assert finding.basis == "IPC 2021, Table 710.1(1)"
    assert finding.remedy == "Draw 4 in (DN 100)."
    assert finding.severity == Severity.ERROR
    assert dict(finding.rests_on).keys() == {"P/FD0", "P/BD0"}


def test_a_stretch_of_one_size_is_one_finding(build: SimpleNamespace, rules: Rules) -> None:
    job = build.stacked([[["bath"] * 15] * 12], pipes={"stack": "P3", "drain": "P6"}, vent_stacks=True)
    drains = found(build, rules, job, "D12")
    # 30 dfu on one floor exceed the 20 that 3 in takes in one interval, on every floor.
    assert [f.key for f in drains] == ["D12:P/S0_0"]
    assert drains[0].says.startswith("12 pipes from P/S0_11 to P/S0_0, stack, drawn 3 in: 360 dfu need 4 in")


def test_a_vent_too_small_is_told_with_load_and_length(build: SimpleNamespace, rules: Rules) -> None:
    job = build.stacked([[["bath"]] * 12], vent_stacks=True, pipes={"vent": "P2"})
    (finding,) = found(build, rules, job, "D13")
    assert finding.key == "D13:P/VS0"
    assert "24 dfu and 38.7 m of developed length need 3 in (DN 80)" in finding.says
    assert finding.basis == "IPC 2021, Table 906.1"


def test_a_narrow_pipe_below_a_wide_one_follows_from_the_narrowing(
    build: SimpleNamespace, rules: Rules
) -> None:
    # The floor drain's trap makes the branch 2 in; drawn 1-1/2 in below a 3 in fixture drain it narrows: D03.
    job = with_pipe(build.stacked([[["floor_drain"], ["lav"]]]), "P1.5", "R0_0")
    (finding,) = found(build, rules, job, "D12")
    assert finding.key == "D12:P/R0_0"
    assert finding.because is None
    job = with_pipe(build.stacked([[["lav", "floor_drain"], ["lav"]]]), "P1.5", "R0_0")
    (finding,) = found(build, rules, job, "D12")
    assert finding.because == "D03:P/D0_0_1:P/R0_0"


def test_a_drain_that_would_do_at_the_least_fall_follows_from_its_fall(
    build: SimpleNamespace, rules: Rules
) -> None:
    # 10 dfu in 3 in at 1/8 in/ft are allowed (36); drawn at 1/12 in/ft the table asks for 8 in.
    job = build.stacked([[["bath"] * 3, ["bath"] * 2]], fall=1 / 144, pipes={"drain": "P3"})
    keys = {f.key: f.because for f in found(build, rules, job, "D12")}
    assert keys == {"D12:P/BD0": "D01:P/BD0"}


def test_a_drain_without_fall_cannot_be_judged_because_of_its_fall(
    build: SimpleNamespace, rules: Rules
) -> None:
    job = build.stacked([[["bath"] * 3, ["bath"] * 2]], fall=0.0)
    answers = {f.key: f.because for f in found(build, rules, job, "M03")}
    assert answers == {"M03:P/BD0": "D01:P/BD0"}
    rising = build.stacked([[["bath"] * 3, ["bath"] * 2]], fall=-0.01)
    assert {f.because for f in found(build, rules, rising, "M03")} == {"D02:P/BD0"}


def test_a_stack_of_five_intervals_needs_a_vent_stack(build: SimpleNamespace, rules: Rules) -> None:
    # IPC 904.2 as quoted by an exam item, https://learn8.cc/q/sNjmrJUJcC.html: five intervals or more.
    assert found(build, rules, build.stacked([[BATHROOM] * 4]), "D14") == []
    (finding,) = found(build, rules, build.stacked([[BATHROOM] * 5]), "D14")
    assert finding.basis == "IPC 2021, 904.2"
    assert "the stack through P/S0_0 has 5 branch intervals; from 5 on it needs a vent stack" in finding.says
    assert found(build, rules, build.stacked([[BATHROOM] * 5], vent_stacks=True), "D14") == []


def test_a_vent_stack_far_from_the_foot_does_not_count(build: SimpleNamespace, rules: Rules) -> None:
    # 10 diameters of 4 in are 1.02 m (IPC 904.4, read in the Chicago code).
    job = build.stacked([[BATHROOM] * 5])
    lines = "VF tee 3 1 -0.93125\nVT vent_terminal 3 1 20"
    far = build.extended(
        job, lines, "BD1 soil J0.b VF.a P4\nBD2 soil VF.b OF P4\nV vent VF.branch VT P4", ["BD0"]
    )
    assert len(found(build, rules, far, "D14")) == 1


@pytest.mark.parametrize(
    ("floors", "reliefs", "missing"),
    # IPC 908.1 (New York): more than ten intervals: at every tenth from the top. Floor 0 is the lowest.
    [
        (10, [], []),
        (11, [], [10]),
        (11, [1], []),
        (11, [5], [10]),
        (20, [10], []),
        (21, [11], [20]),
        (21, [11, 1], []),
    ],
)
def test_tall_stacks_need_a_relief_vent_at_every_tenth_interval(
    build: SimpleNamespace, rules: Rules, floors: int, reliefs: list[int], missing: list[int]
) -> None:
    told = [f.says for f in found(build, rules, build.relieved(floors, reliefs), "D14")]
    assert len(told) == len(missing)
    assert all(f"interval {n} at level" in says for n, says in zip(missing, told, strict=True))


def test_missing_relief_vents_follow_from_a_missing_vent_stack(build: SimpleNamespace, rules: Rules) -> None:
    listed = found(build, rules, build.stacked([[BATHROOM] * 12], pipes={"stack": "P6"}), "D14")
    assert [f.because for f in listed] == [None, listed[0].key]


def test_ten_intervals_need_no_relief_vent_even_without_a_vent_stack(
    build: SimpleNamespace, rules: Rules
) -> None:
    job = build.stacked([[BATHROOM] * 10], pipes={"stack": "P6"})
    assert [f.basis for f in found(build, rules, job, "D14")] == ["IPC 2021, 904.2"]


def test_a_deep_offset_needs_vents_unless_it_is_one_size_larger(build: SimpleNamespace, rules: Rules) -> None:
    # IPC 711.2 (New York): more than four intervals below the top. 40 or 50 dfu at 1/8 in/ft need 4 in.
    def offset(above: int, pipe: str = "P4") -> Any:
        job = build.stacked([[["bath"] * 5] * 7], vent_stacks=True, offset_above=above)
        return found(build, rules, with_pipe(job, pipe, "SO0", "OF0"), "D14")

    (finding,) = offset(2)
    assert "5 branch intervals below its top" in finding.says
    assert finding.basis == "IPC 2021, 711.2"
    assert offset(3) == []
    assert offset(2, "P5") == []


def test_a_pipe_of_unknown_size_is_one_finding_for_all_its_runs(build: SimpleNamespace, rules: Rules) -> None:
    job = build.stacked([[BATHROOM] * 2], pipes={"stack": "ODD", "branch": "ODD"})
    (finding,) = found(build, rules, job)
    assert finding.key == "M03:ODD:ipc_2021"
    assert finding.severity == Severity.NOTE
    assert "5 drains and vents in ODD, first P/S0_0, cannot be judged: '110x5.3'" in finding.says


def test_without_a_rule_set_nothing_is_judged_and_that_is_said_once(build: SimpleNamespace) -> None:
    (finding,) = findings(build.model_of(build.tower(3)), choose_rules({}))
    assert finding.key == "M03:rules.drainage:sizes"
    assert "chooses no rule set for drainage" in finding.says


def test_a_rule_set_that_names_no_procedure_is_said_once(build: SimpleNamespace, monkeypatch: Any) -> None:
    rules = choose_rules({"rules": {"drainage": "ipc_2021"}})
    rule_set = rules.subject("drainage")
    tables = {name: table for name, table in rule_set.tables.items() if name != "procedure"}
    bare = replace(rules, by_subject={"drainage": replace(rule_set, tables=tables)})
    (finding,) = findings(build.model_of(build.tower(3)), bare)
    assert "International Plumbing Code 2021 names no procedure" in finding.says


def test_a_local_amendment_changes_sizes_and_is_told(build: SimpleNamespace) -> None:
    change = {
        "extends": "ipc_2021",
        "title": "Borough rules",
        "branches_and_stacks": {"rows": [{"size": 4, "branch": 25, "source": "borough ordinance 7"}]},
    }
    rules = build.ipc({"rules/borough.toml": change})
    model = build.model_of(build.stacked([[["wc"] * 10] * 2], pipes={"stack": "P5", "drain": "P5"}))
    assert [f.key for f in findings(model, build.ipc())] == []
    assert [f.key for f in findings(model, rules)] == ["D12:P/R0_0", "D12:P/R0_1"]
    row = sizes(model, rules).row("P/R0_0")
    assert (row["unverified"], row["local"]) == (3, 0)
    row = sizes(build.model_of(build.stacked([[["wc"] * 8] * 2])), rules).row("P/R0_0")
    assert (row["unverified"], row["local"]) == (2, 1)


def test_severities_are_the_rule_sets_to_change(build: SimpleNamespace) -> None:
    change = {
        "extends": "ipc_2021",
        "severities": {"rows": [{"code": "D12", "severity": "warning", "source": "borough ordinance 7"}]},
    }
    rules = build.ipc({"rules/borough.toml": change})
    job = build.stacked([[BATHROOM * 3] * 3], pipes={"drain": "P3"})
    assert [f.severity for f in findings(build.model_of(job), rules)] == [Severity.WARNING]


def test_every_kind_found_is_declared() -> None:
    assert [kind.code for kind in KINDS] == ["D12", "D13", "D14"]
