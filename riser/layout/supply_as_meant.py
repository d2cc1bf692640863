# SPDX-License-Identifier: Apache-2.0
"""Dead legs, valves, drain cocks and air vents of the supply where some joints cannot be made (S03 to S07).

Where water goes round and from which end a riser is fed decide what these checks ask for. A joint that cannot
be made is a finding of its own, so the building is judged as meant, with those joints made; what only their
state brings about follows from them.
"""

from __future__ import annotations

import numpy as np

from riser.audit import Finding
from riser.layout import dead_legs, low_and_high, supply_ways, valves
from riser.layout.cut_off import CutOff
from riser.layout.judging import Judging
from riser.layout.supply import Supply
from riser.network.mended import mended
from riser.network.model import Model
from riser.network.systems import SUPPLY, System, membership
from riser.network.types import Ints

# Flow and return of hot water are one circuit.
CIRCUIT = frozenset({System.HOT.label, System.HOT_RETURN.label})


def findings(supply: Supply, judging: Judging, cut: CutOff) -> list[Finding]:
    """S03 to S07; `cut` is what no source reaches as drawn."""
    drawn = _as_it_is(supply, judging, cut)
    broken = _broken(supply.model)
    if not len(broken):
        return drawn
    whole = Supply(mended(supply.model))
    meant = {f.key: f for f in _as_it_is(whole, judging, supply_ways.without_source(whole, judging))}
    told = {finding.key for finding in drawn}
    followed = [
        finding
        if finding.key in meant or finding.because is not None
        else finding.caused_by(_nearest(supply.model, broken, finding))
        for finding in drawn
    ]
    return [*followed, *(finding for key, finding in meant.items() if key not in told)]


def _as_it_is(supply: Supply, judging: Judging, cut: CutOff) -> list[Finding]:
    return [
        *dead_legs.findings(supply, judging, cut),
        *valves.findings(supply, judging),
        *low_and_high.findings(supply, judging),
    ]


def _stubs(model: Model, joints: Ints) -> Ints:
    """One stub of each joint, -1 where it has none."""
    return np.maximum(model.joints.stub_a[joints], model.joints.stub_b[joints])


def _broken(model: Model) -> Ints:
    """The broken joints of supply pipework that counts."""
    joints = model.joints.broken
    stub = _stubs(model, joints)
    joints, stub = joints[stub >= 0], stub[stub >= 0]
    of_supply: Ints = joints[membership(SUPPLY)[model.node_system[stub]] & model.node_standing[stub]]
    return of_supply


def _nearest(model: Model, broken: Ints, finding: Finding) -> str | None:
    """The key of the finding about the nearest broken joint, of the same water where one is."""
    placed = model.placed
    nodes = placed.node_numbers(list(finding.items))
    stub = _stubs(model, broken)
    waters = CIRCUIT if finding.system in CIRCUIT else frozenset({finding.system})
    same = np.array([System(int(s)).label in waters for s in model.node_system[stub]], bool)
    near = broken[same] if same.any() else broken
    here = placed.node_xyz_m[nodes[nodes >= 0][0]] if np.any(nodes >= 0) else np.zeros(3)
    away = np.linalg.norm(placed.node_xyz_m[_stubs(model, near)] - here, axis=1)
    return model.joints.fault_key(int(near[np.argmin(away)]))
