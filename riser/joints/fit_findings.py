# SPDX-License-Identifier: Apache-2.0
"""Findings J09 to J14: make-ups that leave something out, do not suit, or do not fit."""

from __future__ import annotations

import numpy as np

from riser.audit.finding import CANNOT_JUDGE, Finding, FindingKind
from riser.joints import kinds
from riser.joints.fit import Fit, fit
from riser.joints.makeup import BETWEEN, pipe_names
from riser.joints.measured import measured_stubs
from riser.joints.reporting import both_stand, joint_finding, millimetres
from riser.network.joints import JointState, PieceKind
from riser.network.model import Model
from riser.network.types import Flags, Ints, Texts


def _column(model: Model, column: str) -> Texts:
    """A column of the pipe catalogue by pipe number."""
    return model.placed.tables.pipes.drop_duplicates("pipe")[column].to_numpy()


def makeups(model: Model) -> list[Finding]:
    """J09, J10 and J14, at most one per joint: the first connection that does not suit tells the fault."""
    joints = model.joints
    stands = _stands(model)
    found: dict[int, Finding] = {}
    for n in _loose_pieces(model, stands):
        says = f"Joint {joints.id[n]}: a piece of the make-up is not tied on both sides by a coupling."
        found[n] = joint_finding(model, kinds.MAKEUP, n, says)
    connections = joints.connections
    untied = (connections.coupling < 0) & (connections.piece >= 0) & stands[connections.joint]
    for c in np.flatnonzero(untied).tolist():
        n = int(connections.joint[c])
        if n not in found and (finding := _untied(model, c)) is not None:
            found[n] = finding
    for c in _wrong_ends(model, stands):
        n = int(connections.joint[c])
        if n not in found:
            found[n] = _end_mismatch(model, c)
    return [found[n] for n in sorted(found)] + _without_makeup(model, stands)


def _stands(model: Model) -> Flags:
    """Joints that are joined or closed by parts that count."""
    state: Flags = np.isin(model.joints.state, (JointState.JOINED, JointState.CLOSED))
    return state & both_stand(model)


def _loose_pieces(model: Model, stands: Flags) -> list[int]:
    """Joints where a pipe, reducer, adapter or offset piece has no coupling at one of its ends."""
    pieces = model.joints.pieces
    between = np.isin(pieces.kind, BETWEEN)
    same = np.zeros(len(between), bool)
    same[1:] = pieces.joint[1:] == pieces.joint[:-1]
    tied = ~between
    before = np.where(same, np.roll(tied, 1), False)
    after = np.where(np.roll(same, -1), np.roll(tied, -1), False)
    loose = between & ~(before & after) & stands[pieces.joint]
    numbers: list[int] = np.unique(pieces.joint[loose]).tolist()
    return numbers


def _untied(model: Model, c: int) -> Finding | None:
    """What is wrong with a connection for which couplings.csv has no row."""
    joints, connections = model.joints, model.joints.connections
    n, piece = int(connections.joint[c]), int(connections.piece[c])
    before, after = int(connections.pipe_before[c]), int(connections.pipe_after[c])
    family = str(joints.pieces.family[piece])
    if joints.pieces.kind[piece] == PieceKind.CAP:
        return _cap(model, n, family, before)
    if min(before, after) < 0:
        says = f"{connections.id[c]}: two couplings follow each other with no piece between them."
        return joint_finding(model, kinds.MAKEUP, n, says)
    names = pipe_names(model.placed.tables)
    kind, words = _difference(model, before, after)
    says = f"{connections.id[c]}: family {family} does not tie {names[before]} to {names[after]}; {words}."
    return joint_finding(model, kind, n, says)


def _difference(model: Model, before: int, after: int) -> tuple[FindingKind, str]:
    """Whether two pipes differ in material, in size, or in neither."""
    material, od = _column(model, "material"), _column(model, "od_m")
    if material[before] != material[after]:
        return kinds.TRANSITION, f"{material[before]} meets {material[after]} without a transition"
    if abs(float(od[before]) - float(od[after])) > 1e-4:
        sizes = f"{millimetres(float(od[before]))} and {millimetres(float(od[after]))} outside"
        return kinds.SIZE_DIFFERS, f"the sizes differ ({sizes}) and there is no reducer"
    return kinds.MAKEUP, "couplings.csv has no such row"


def _cap(model: Model, joint: int, family: str, pipe: int) -> Finding | None:
    """A cap suits where its family is listed for the pipe, on either side."""
    frame, names = model.placed.tables.couplings, pipe_names(model.placed.tables)
    rows = frame[frame["family"] == family]
    if ((rows["pipe_a"] == names[pipe]) | (rows["pipe_b"] == names[pipe])).any():
        return None
    says = f"Joint {model.joints.id[joint]}: cap family {family} is not listed for {names[pipe]}."
    return joint_finding(model, kinds.MAKEUP, joint, says)


def _end_texts(model: Model, side: Ints) -> Texts:
    """The end type of the pipe on one side of each connection, as the catalogue states it."""
    ends = _column(model, "ends").astype(object)
    return np.where(side >= 0, ends[np.maximum(side, 0)], "")


def _stub_ends(model: Model) -> tuple[Texts, Texts]:
    """The end type before and after each connection: the stub's own at the outer ends, else the pipe's."""
    joints, connections = model.joints, model.joints.connections
    stub_end = model.placed.types.nodes["end"].to_numpy(object)
    before, after = _end_texts(model, connections.pipe_before), _end_texts(model, connections.pipe_after)
    number = connections.joint
    first = np.concatenate([[True], number[1:] != number[:-1]])[: len(number)]
    last = np.concatenate([number[1:] != number[:-1], [True]])[-len(number) :] if len(number) else first
    a, b = joints.stub_a[number], joints.stub_b[number]
    near = stub_end[model.placed.node_type[np.maximum(a, 0)]]
    far = stub_end[model.placed.node_type[np.maximum(b, 0)]]
    before = np.where(first & (a >= 0) & (near != ""), near, before)
    after = np.where(last & (b >= 0) & (far != ""), far, after)
    return before, after


def _wrong_ends(model: Model, stands: Flags) -> list[int]:
    """Connections whose coupling is made for other pipe ends."""
    connections, frame = model.joints.connections, model.placed.tables.couplings
    if not len(frame) or not len(connections.id):
        return []
    names = np.array(pipe_names(model.placed.tables), dtype=object)
    before, after = _stub_ends(model)
    row = np.maximum(connections.coupling, 0)
    end_a, end_b = frame["end_a"].to_numpy(object)[row], frame["end_b"].to_numpy(object)[row]
    turned = frame["pipe_a"].to_numpy(object)[row] != names[np.maximum(connections.pipe_before, 0)]
    near, far = np.where(turned, end_b, end_a), np.where(turned, end_a, end_b)
    wrong = ((near != "") & (before != near)) | ((far != "") & (after != far))
    judged = (connections.coupling >= 0) & (connections.pipe_before >= 0) & (connections.pipe_after >= 0)
    return np.flatnonzero(wrong & judged & stands[connections.joint]).tolist()


def _end_mismatch(model: Model, c: int) -> Finding:
    connections = model.joints.connections
    before, after = (str(side[c]) for side in _stub_ends(model))
    row = model.placed.tables.couplings.iloc[int(connections.coupling[c])]
    says = (
        f"{connections.id[c]}: family {row['family']} is made for {row['end_a']} and {row['end_b']} ends;"
        f" here {before} meets {after}."
    )
    return joint_finding(model, kinds.MAKEUP, int(connections.joint[c]), says)


def _without_makeup(model: Model, stands: Flags) -> list[Finding]:
    """Scheduled joints with no rows in closures.csv: size and material are judged, the fit cannot be."""
    joints, connections = model.joints, model.joints.connections
    bare = (connections.piece < 0) & joints.scheduled[connections.joint] & stands[connections.joint]
    bare &= joints.state[connections.joint] == JointState.JOINED
    found = []
    for c in np.flatnonzero(bare).tolist():
        n = int(connections.joint[c])
        before, after = int(connections.pipe_before[c]), int(connections.pipe_after[c])
        kind, words = _difference(model, before, after) if before != after else (CANNOT_JUDGE, "")
        if kind in (CANNOT_JUDGE, kinds.MAKEUP):
            says = f"Joint {joints.id[n]}: closures.csv has no make-up, so its fit cannot be judged."
            found.append(joint_finding(model, CANNOT_JUDGE, n, says))
        else:
            found.append(joint_finding(model, kind, n, f"Joint {joints.id[n]} has no make-up: {words}."))
    return found


def fits(model: Model) -> list[Finding]:
    """J11, J12 and J13: gap, offset and angle against what the make-up takes."""
    now, stands = fit(model), _stands(model)
    drawn = fit(model, drawn=True) if len(measured_stubs(model.placed).node) else now
    found = []
    for kind, wrong, as_drawn, words in (
        (kinds.GAP, now.gap_is_wrong, drawn.gap_is_wrong, _gap_words),
        (kinds.OFFSET, now.offset_is_wrong, drawn.offset_is_wrong, _offset_words),
        (kinds.ANGLE, now.angle_is_wrong, drawn.angle_is_wrong, _angle_words),
    ):
        for n in np.flatnonzero(wrong & stands).tolist():
            because = None if as_drawn[n] else _measured_cause(model, n)
            says = f"Joint {model.joints.id[n]}: {words(now, n)}."
            found.append(joint_finding(model, kind, n, says, because=because))
    return found


def _measured_cause(model: Model, joint: int) -> str | None:
    """A joint that fits as drawn is spoilt by the stub that was measured off its place."""
    measured = set(measured_stubs(model.placed).node.tolist())
    for stub in (int(model.joints.stub_a[joint]), int(model.joints.stub_b[joint])):
        if stub in measured:
            return f"{kinds.OFF_PLACE.code}:{model.placed.node_id(stub)}"
    return None


def _gap_words(f: Fit, n: int) -> str:
    gap, least, most = float(f.gap_m[n]), float(f.gap_least_m[n]), float(f.gap_most_m[n])
    change = gap - most if gap > most else gap - least
    verb = "lengthen" if change > 0 else "shorten"
    return (
        f"{millimetres(float(f.axial_m[n]))} between the stubs less {millimetres(float(f.laid_m[n]))} laid"
        f" leaves {millimetres(gap)} of gap; the couplings take {millimetres(least)} to {millimetres(most)}:"
        f" {verb} the make-up by at least {millimetres(abs(change))}"
    )


def _offset_words(f: Fit, n: int) -> str:
    return (
        f"the stubs stand {millimetres(float(f.lateral_m[n]))} beside each other, which asks for a deflection"
        f" of {np.rad2deg(f.bend_rad[n]):.2f} degrees; the make-up takes"
        f" {np.rad2deg(f.bend_takes_rad[n]):.2f} degrees, {millimetres(float(f.offset_takes_m[n]))}"
    )


def _angle_words(f: Fit, n: int) -> str:
    return (
        f"the stubs are turned {np.rad2deg(f.tilt_rad[n]):.2f} degrees against each other; the couplings take"
        f" {np.rad2deg(f.bend_takes_rad[n]):.2f} degrees"
    )
