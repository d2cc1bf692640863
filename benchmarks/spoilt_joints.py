# SPDX-License-Identifier: Apache-2.0
"""Spoilings of joints: the schedule, make-ups, stubs, panels, sleeves and measurements.

Each function lists every place of a job at which its fault can be made, with the findings it must give.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

from benchmarks.spoilable import Job, Joint, Row, Spoilt, Target
from demo_project.catalogue import COPPER, STEEL

ROOMS = ("BA", "SH", "KL", "CO")
# A pipe of another size that the same families join.
OTHER_SIZE = {
    "CU15": "CU22", "CU22": "CU28", "CU28": "CU42", "CU42": "CU54", "CU54": "CU42", "ST50": "ST65",
    "ST65": "ST100", "ST100": "ST65", "CI50": "CI80", "CI80": "CI100", "CI125": "CI150", "CI150": "CI125",
    "CI200": "CI150",
}  # fmt: skip
DRAINS = ("soil", "waste", "rainwater", "condensate")
OTHER_MATERIAL = dict.fromkeys(COPPER, "ST50") | dict.fromkeys(STEEL, "CU54") | {"CI100": "PE110"}
SHIFT_M, ASIDE_M, OFF_PLACE_M, SHORT_MM, NARROWER_MM, LEAN = 0.3, 0.03, 0.015, 40.0, 40.0, "0.1"
# A lateral step beyond which geometry alone finds no partner [mm].
REACH_MM = 40.0


def _joint_target(kind: str, joint: Joint, keys: set[str], spoil: Callable[[Spoilt], None]) -> Target:
    items = frozenset((*joint.stubs, "+".join(sorted(joint.stubs)), f"{joint.id}-again", f"{joint.id}-cap"))
    return Target(kind, joint.id, frozenset(keys), items, frozenset((joint.id,)), spoil)


def _offset_mm(joint: Joint) -> float:
    return sum(float(piece["offset [mm]"] or 0.0) for piece in joint.pieces)


def _split(place: str) -> tuple[str, str]:
    part, _, name = place.partition("/")
    return part, name


def row_missing(job: Job) -> Iterator[Target]:
    """The row was lost: geometry still finds the pair; of a closed end or an offset pair it finds nothing."""
    for joint in job.joints.values():
        alone = not joint.b or _offset_mm(joint) > REACH_MM
        keys = {f"J06:{stub}" for stub in joint.stubs} if alone else {"J01:" + "+".join(sorted(joint.stubs))}
        yield _joint_target("row missing", joint, keys, partial(_remove, joint))


def _remove(joint: Joint, spoilt: Spoilt) -> None:
    spoilt.remove_joint(joint.id)


def stub_misspelt(job: Job) -> Iterator[Target]:
    """The second stub's name has a letter too many."""
    for joint in job.joints.values():
        if joint.b:
            yield _joint_target(
                "stub misspelt", joint, {f"J02:{joint.id}"}, partial(_set_stub_b, joint, joint.b + "X")
            )


def _set_stub_b(joint: Joint, text: str, spoilt: Spoilt) -> None:
    spoilt.set("joints.csv", (joint.id,), "stub_b", text)


def joint_twice(job: Job) -> Iterator[Target]:
    """The row and its make-up stand in the schedule twice, under two names."""
    for joint in job.joints.values():
        keys = {f"J07:{stub}" for stub in joint.stubs}
        yield _joint_target("joint twice", joint, keys, partial(_second_row, joint, joint.b))


def cap_on_joined_stub(job: Job) -> Iterator[Target]:
    """A cap was ordered for a stub that is joined."""
    for joint in job.joints.values():
        if joint.b:
            yield _joint_target("cap on joined stub", joint, {f"J07:{joint.a}"}, partial(_cap, joint))


def _second_row(joint: Joint, stub_b: str, spoilt: Spoilt) -> None:
    again = f"{joint.id}-again"
    spoilt.keep("joints.csv", (joint.id,))
    spoilt.add("joints.csv", {"joint": again, "stub_a": joint.a, "stub_b": stub_b})
    for piece in joint.pieces:
        spoilt.add("closures.csv", piece | {"joint": again})


def _cap(joint: Joint, spoilt: Spoilt) -> None:
    again = f"{joint.id}-cap"
    spoilt.add("joints.csv", {"joint": again, "stub_a": joint.a})
    family = joint.pieces[0]["family"]
    spoilt.add("closures.csv", {"joint": again, "order": "1", "kind": "cap", "family": family})


def wrong_family(job: Job) -> Iterator[Target]:
    """The first coupling was picked from the wrong list."""
    for joint in job.joints.values():
        other = "SL" if job.node(joint.a)["pipe"] in STEEL else "GF"
        yield _joint_target("wrong family", joint, {f"J14:{joint.id}"}, partial(_set_family, joint, other))


def _set_family(joint: Joint, family: str, spoilt: Spoilt) -> None:
    spoilt.set("closures.csv", (joint.id, joint.pieces[0]["order"]), "family", family)


def spool_short(job: Job) -> Iterator[Target]:
    """The spool was cut too short."""
    for joint in job.joints.values():
        for piece in joint.pieces:
            if piece["kind"] == "pipe" and float(piece["length [mm]"]) > 2 * SHORT_MM:
                yield _joint_target("spool short", joint, {f"J11:{joint.id}"}, partial(_shorten, piece))
                break


def _shorten(piece: Row, spoilt: Spoilt) -> None:
    length = float(piece["length [mm]"]) - SHORT_MM
    spoilt.set("closures.csv", (piece["joint"], piece["order"]), "length [mm]", f"{length:g}")


def _revised_stub(
    job: Job, kind: str, code: str, cells: Callable[[Row], Row], *, either: bool = False
) -> Iterator[Target]:
    """Targets at every joint whose second stub changes, or either of its stubs; `cells` gives the changed
    cells, none to pass on.
    """
    for joint in job.joints.values():
        for stub in (joint.b, joint.a) if either else (joint.b,):
            if joint.b and (changed := cells(job.node(stub))):
                yield _joint_target(kind, joint, {f"{code}:{joint.id}"}, partial(_set_node, stub, changed))


def _set_node(place: str, cells: Row, spoilt: Spoilt) -> None:
    part, node = _split(place)
    for column, value in cells.items():
        spoilt.set(spoilt.revised(part, "nodes"), (node,), column, value)


def stub_turned(job: Job) -> Iterator[Target]:
    """One of the stubs looks aside."""
    aside = {"up": "+x", "down": "+x", "+x": "+y", "-x": "+y", "+y": "+x", "-y": "+x"}

    def cells(row: Row) -> Row:
        return {"facing": aside.get(row["facing"], "up")}

    return _revised_stub(job, "stub turned", "J04", cells, either=True)


def stub_leaning(job: Job) -> Iterator[Target]:
    """The second stub leans by six degrees."""
    lean = {"up": f"{LEAN} 0 1", "down": f"{LEAN} 0 -1"}

    def cells(row: Row) -> Row:
        return {"facing": lean[row["facing"]]} if row["facing"] in lean else {}

    return _revised_stub(job, "stub leaning", "J13", cells)


def stub_of_other_size(job: Job) -> Iterator[Target]:
    """The second stub is drawn in another size; in a drain that would be a narrowing beside it (D03)."""

    def cells(row: Row) -> Row:
        other = OTHER_SIZE.get(row["pipe"], "") if row["system"] not in DRAINS else ""
        return {"pipe": other} if other else {}

    return _revised_stub(job, "stub of other size", "J09", cells)


def stub_of_other_material(job: Job) -> Iterator[Target]:
    """One of the stubs is drawn in another material."""

    def cells(row: Row) -> Row:
        return {"pipe": OTHER_MATERIAL[row["pipe"]]} if row["pipe"] in OTHER_MATERIAL else {}

    return _revised_stub(job, "stub of other material", "J10", cells, either=True)


def stub_aside(job: Job) -> Iterator[Target]:
    """The second stub of a riser stands 30 mm aside."""

    def cells(row: Row) -> Row:
        level = row["facing"] in ("up", "down") and row["system"] not in ("soil", "waste")
        return {"x [m]": f"{float(row['x [m]']) + ASIDE_M:g}"} if level else {}

    return _revised_stub(job, "stub aside", "J12", cells)


def part_shifted(job: Job) -> Iterator[Target]:
    """A room module is set 0.3 m too high: none of its joints meets."""
    for kind in ROOMS:
        for part in job.parts_of_type[kind]:
            joints = job.joints_of_part(part)
            level = float(job.table("parts.csv")[part,]["z [m]"]) + SHIFT_M
            stubs = {stub for name in joints for stub in job.joints[name].stubs}
            keys = frozenset(f"J03:{name}" for name in joints)
            spoil = partial(_set_level, part, f"{level:g}")
            yield Target("part shifted", part, keys, joints | stubs, joints, spoil)


def _set_level(part: str, level: str, spoilt: Spoilt) -> None:
    spoilt.set("parts.csv", (part,), "z [m]", level)


def water_swapped(job: Job) -> Iterator[Target]:
    """The closet of a bathroom is fed with drinking water, while the shaft brings the other."""
    for kind in ("BA", "SH"):
        for part in job.parts_of_type[kind]:
            joint = job.joints[job.joint_of[f"{part}/NP"]]
            yield _joint_target("water swapped", joint, {f"J08:{joint.id}"}, partial(_swap_water, part))


def _swap_water(part: str, spoilt: Spoilt) -> None:
    spoilt.set(spoilt.revised(part, "nodes"), ("NP",), "system", "cold")
    spoilt.set(spoilt.revised(part, "runs"), ("non_potable-1",), "system", "cold")
    spoilt.set(spoilt.revised(part, "runs"), ("non_potable-1",), "to_port", "cold")


def containment_swapped(job: Job) -> Iterator[Target]:
    """A tray is drawn as another system than the one it meets."""
    for kind, stub, run, other in (("KL", "EP", "power-1", "data"), ("CO", "ED", "data-1", "power")):
        for part in job.parts_of_type[kind]:
            joint = job.joints[job.joint_of[f"{part}/{stub}"]]
            spoil = partial(_swap_containment, part, stub, run, other)
            yield _joint_target("containment swapped", joint, {f"J08:{joint.id}"}, spoil)


def _swap_containment(part: str, stub: str, run: str, other: str, spoilt: Spoilt) -> None:
    spoilt.set(spoilt.revised(part, "nodes"), (stub,), "system", other)
    spoilt.set(spoilt.revised(part, "runs"), (run,), "system", other)


def panel_low(job: Job) -> Iterator[Target]:
    """The panel to a bathroom ends below the hot water's joint."""
    panels = job.table("access.csv")
    for kind in ("BA", "SH"):
        for part in job.parts_of_type[kind]:
            joint = job.joints[f"{part}-HW"]
            key = next((k for k, row in panels.items() if f"{part}-SO" in row["serves"].split()), None)
            if key is not None:
                level = float(panels[key]["z_min [m]"]) + 1.9
                spoil = partial(_set_panel, key, f"{level:.3f}")
                yield _joint_target("panel low", joint, {f"J15:{joint.id}.1"}, spoil)


def _set_panel(key: tuple[str, ...], level: str, spoilt: Spoilt) -> None:
    spoilt.set("access.csv", key, "z_max [m]", level)


def sleeve_narrow(job: Job) -> Iterator[Target]:
    """The sleeve that was cast in leaves less around the pipe than its detail was tested with."""
    for (name,), row in job.table("sleeves.csv").items():
        joint = job.joints.get(_joint_at_sleeve(job, name))
        if joint is None:
            continue
        spoil = partial(_set_bore, name, f"{float(row['bore [mm]']) - NARROWER_MM:g}")
        # Of a sleeve through which no pipe goes any more, the pipe is what is named.
        items = frozenset((name, *joint.stubs))
        yield Target("sleeve narrow", name, frozenset((f"J18:{name}",)), items, frozenset((joint.id,)), spoil)


def _joint_at_sleeve(job: Job, sleeve: str) -> str:
    """The joint whose pipe goes through a sleeve: `SL-A03-SS1` lies over the transfer module's `P02-SS1`."""
    _, floor, riser = sleeve.split("-")[:3]
    if floor == "P01":
        return f"P00-{riser}"
    if floor.endswith("RF"):
        return max(
            (name for name in job.joints if name.endswith(f"-{riser}")), key=lambda n: (n[0] != "P", n)
        )
    return f"P02-{riser}"


def _set_bore(sleeve: str, bore: str, spoilt: Spoilt) -> None:
    spoilt.set("sleeves.csv", (sleeve,), "bore [mm]", bore)


def stub_measured_off(job: Job) -> Iterator[Target]:
    """A stub-up cast into the foundation was measured 15 mm from where it should stand."""
    for (stub,), row in job.table("survey.csv").items():
        joint = job.joints[job.joint_of[stub]]
        spoil = partial(_set_measured, stub, f"{float(row['x [m]']) + OFF_PLACE_M:g}")
        yield _joint_target("stub measured off", joint, {f"J19:{stub}"}, spoil)


def _set_measured(stub: str, x: str, spoilt: Spoilt) -> None:
    spoilt.set("survey.csv", (stub,), "x [m]", x)


SPOILINGS = (
    row_missing, stub_misspelt, joint_twice, cap_on_joined_stub, wrong_family, spool_short, stub_turned,
    stub_leaning, stub_of_other_size, stub_of_other_material, stub_aside, part_shifted, water_swapped,
    containment_swapped, panel_low, sleeve_narrow, stub_measured_off,
)  # fmt: skip
