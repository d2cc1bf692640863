# SPDX-License-Identifier: Apache-2.0
"""Faults of pressure: each planted alone in a sound building, found with its figures, gone when mended."""

from riser.pressures import KINDS, building_pressures, findings, findings_of

MAIN = {"node": "P/MC", "kind": "mains", "static_pa": 3e5, "level_m": 0.0}


def found(model, rules, code):
    return [f for f in findings(model, rules) if f.code == code]


def tower(buildings, device="", more_nodes="", static_bar=3.0, ports=("in", "out"), **more):
    """The tower, with a device between the second and the third floor if one is named."""
    nodes, runs = buildings.tower_nodes + more_nodes, buildings.tower_runs
    if device:
        nodes += f"V {device.partition(' ')[0]} 0 5 4.5 {device.partition(' ')[2]}\n"
        way = f"R2 cold T2.b V.{ports[0]} CU28\nR2B cold V.{ports[1]} T3.a CU28"
        runs = runs.replace("R2 cold T2.b T3.a CU28", way)
    return buildings.drawn(nodes, runs, supplies=[MAIN | {"static_pa": static_bar * 1e5}], **more)


def test_a_sound_building_has_no_findings(buildings):
    assert findings(tower(buildings), buildings.rules) == []


def test_a_building_without_supplies_says_once_that_it_cannot_be_judged(buildings):
    told = findings(buildings.drawn(buildings.tower_nodes, buildings.tower_runs), buildings.rules)
    assert [f.code for f in told] == ["M03"]
    assert "supplies.csv" in told[0].says


def test_an_outlet_too_weak_is_told_with_what_it_has_and_needs(buildings):
    # A private lavatory needs 8 psi = 0.55 bar (IPC 2018 Table 604.3, read); at 9.5 m 1.4 bar leave 0.47 bar.
    told = found(tower(buildings, static_bar=1.4), buildings.rules, "S11")
    assert len(told) == 1
    assert told[0].floor == "04"
    assert "lavatory P/L4" in told[0].says
    assert "0.55 bar required" in told[0].says
    assert "604.3" in told[0].basis


def test_outlets_too_strong_are_told_once_for_each_floor(buildings):
    # 80 psi = 5.52 bar (IPC 604.8, from memory).
    told = found(tower(buildings, static_bar=6.0), buildings.rules, "S12")
    assert [f.floor for f in told] == ["02", "01"]
    assert "5.52 bar allowed" in told[0].says


def test_a_reducing_valve_set_low_is_the_cause_of_weak_outlets(buildings):
    told = findings(tower(buildings, "reducing_valve setting_pa=60000"), buildings.rules)
    valve = next(f for f in told if f.code == "S14")
    weak = [f for f in told if f.code == "S11"]
    assert "low" in valve.says
    assert weak
    assert all(f.because == valve.key for f in weak)
    assert "is set" in weak[0].says


def test_the_setting_named_by_the_finding_mends_it(buildings):
    low = found(tower(buildings, "reducing_valve setting_pa=60000"), buildings.rules, "S14")[0]
    right = float(low.says.split("; ")[-1].split(" bar would do")[0]) + 0.01
    mended = tower(buildings, f"reducing_valve setting_pa={right * 1e5}")
    assert found(mended, buildings.rules, "S14") == []
    assert found(mended, buildings.rules, "S11") == []


def test_a_reducing_valve_set_high_is_the_cause_of_strong_outlets(buildings):
    nodes = buildings.tower_nodes + "V reducing_valve 0 3 0.2 setting_pa=700000\n"
    runs = buildings.tower_runs.replace(
        "R0 cold MC T1.a CU28", "R0 cold MC V.in CU28\nR0B cold V.out T1.a CU28"
    )
    model = buildings.drawn(nodes, runs, supplies=[MAIN | {"static_pa": 9e5}])
    told = findings(model, buildings.rules)
    valve = next(f for f in told if f.code == "S14")
    assert "high" in valve.says
    assert all(f.because == valve.key for f in told if f.code == "S12")


def test_a_reducing_valve_backwards_explains_outlets_without_pressure(buildings):
    told = findings(
        tower(buildings, "reducing_valve setting_pa=150000", ports=("out", "in")), buildings.rules
    )
    back = next(f for f in told if f.code == "S15")
    lost = [f for f in told if f.code == "S18"]
    assert "P/V" in back.says
    assert [f.because for f in lost] == [back.key]


def test_a_preventer_backwards_before_other_water_goes_with_the_tie_of_waters(buildings):
    nodes = "MC mains_connection 0 0 0\nBF backflow_preventer 0 2 0\n"
    nodes += "W1 fixture 0 4 0 fixture_kind=wc_cistern use=private"
    runs = "R0 cold MC BF.out CU28\nR1 non_potable BF.in W1.non_potable CU15"
    told = found(buildings.drawn(nodes, runs, supplies=[MAIN]), buildings.rules, "S15")
    assert [f.because for f in told] == ["S01:P/BF"]


def test_a_reducing_valve_without_a_setting_cannot_be_judged(buildings):
    told = found(tower(buildings, "reducing_valve"), buildings.rules, "M03")
    assert any("no setting" in f.says for f in told)


def test_outlets_behind_a_shut_valve_are_unserved(buildings):
    told = found(tower(buildings, "valve normally=closed"), buildings.rules, "S18")
    assert len(told) == 1
    assert "P/L3, P/L4" in told[0].says
    assert told[0].because is None


def pump_tower(buildings, gain_bar):
    curves = [
        {"curve": "B", "flow_m3s": q, "pressure_pa": p * 1e5}
        for q, p in ((0.0, gain_bar), (0.001, gain_bar * 0.9), (0.002, gain_bar * 0.6))
    ]
    devices = [{"node": "P/V", "curve": "B"}]
    return tower(buildings, "pump", static_bar=0.5, curves=curves, devices=devices)


def test_a_pump_too_small_is_the_cause_of_weak_outlets(buildings):
    told = findings(pump_tower(buildings, 0.6), buildings.rules)
    pump = next(f for f in told if f.code == "S13")
    assert "lacking before any loss" in pump.says
    behind = [f for f in told if f.code == "S11" and f.floor in ("03", "04")]
    assert behind
    assert all(f.because == pump.key for f in behind)
    assert found(pump_tower(buildings, 2.5), buildings.rules, "S13") == []


def test_a_narrow_pipe_is_too_fast(buildings):
    # 2 wsfu are 5 gpm = 0.315 L/s: 2.17 m/s in 13.6 mm. Eight fixtures would be 2.44 m/s = 8 ft/s and more.
    runs = buildings.tower_runs.replace("CU28", "CU15")
    nodes = buildings.tower_nodes.replace("lavatory", "kitchen_sink")
    told = found(buildings.drawn(nodes, runs, supplies=[MAIN]), buildings.rules, "S16")
    assert len(told) == 1
    assert "bore 13.6 mm" in told[0].says
    wide = buildings.drawn(nodes, buildings.tower_runs, supplies=[MAIN])
    assert found(wide, buildings.rules, "S16") == []


RING_NODES = """
MC mains_connection 0 0 0
HE heater 3 0 0
T1 tee 3 5 3
RP pump 4 0 0.5
L1 fixture 1 5 3 fixture_kind=lavatory use=private
"""
RING_RUNS = """
R0 cold MC HE.in CU28
H1 hot HE.out T1.a CU28
H2 hot T1.branch L1.hot CU15
Q1 hot_return T1.b RP.in CU15
"""


def test_a_return_without_check_valve_is_found(buildings):
    curves = [{"curve": "C", "flow_m3s": q, "pressure_pa": p} for q, p in ((0, 2e4), (0.001, 1e4))]
    more = {"supplies": [MAIN], "curves": curves, "devices": [{"node": "P/RP", "curve": "C"}]}
    without = buildings.drawn(RING_NODES, RING_RUNS + "Q2 hot_return RP.out HE.return CU15\n", **more)
    assert [f.items for f in found(without, buildings.rules, "S17")] == [("P/HE",)]
    runs = RING_RUNS + "Q2 hot_return RP.out RC.in CU15\nQ3 hot_return RC.out HE.return CU15\n"
    mended = buildings.drawn(RING_NODES + "RC check_valve 4 0 1\n", runs, **more)
    assert found(mended, buildings.rules, "S17") == []


def test_a_component_above_its_rating_is_found(buildings):
    devices = [{"node": "P/V", "rating_pa": 2e5}]
    told = found(tower(buildings, "valve", devices=devices), buildings.rules, "S19")
    assert len(told) == 1
    assert "rated for 2.00 bar" in told[0].says


def test_every_code_is_declared_and_keys_do_not_repeat(buildings):
    declared = {kind.code for kind in KINDS}
    for model in (tower(buildings, static_bar=6.0), pump_tower(buildings, 0.6)):
        told = findings_of(building_pressures(model, buildings.rules))
        assert {f.code for f in told} <= declared
        assert len({f.key for f in told}) == len(told)
        assert {f.because for f in told} <= {None, *(f.key for f in told)}
