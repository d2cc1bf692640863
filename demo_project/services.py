# SPDX-License-Identifier: Apache-2.0
"""The services of the invented building: supplies, curves, devices, gauges, rooms, gates and settings."""

from __future__ import annotations

from .drawing import Row
from .sound import Sound, module_name

PROJECT_TOML = """\
# SPDX-License-Identifier: Apache-2.0
# An invented building; every name, person and firm is invented.
name = "Larkspur Quay"
time_zone = "Europe/Berlin"
units = "metric"
words = "uk"

[rules]
drainage = "ipc_2021"
supply = "ipc_2021"
fire = "nfpa_14"
tests = "ipc_2021"

[design.ipc_2021]
building_use = "residential"

[design.nfpa_14]
sprinklered = true

[tolerance]
stub_plan = "10 mm"
stub_level = "10 mm"
match_lateral = "40 mm"
match_axial_spare = "50 mm"

[inside_parts]
rule = "accepted"
authority = "Fenwick Marlowe, building control of Quayside"
date = "2031-02-17"
document = "LQ-FAT-004, factory test certificates of all module types"

[safety]
absolute = [
  "no test above the rating of any component",
  "no gas above the ceiling of the rule set",
  "no tie between drinking water and other water without protection",
]
"""

GATES: tuple[tuple[str, str, str, str, str, str, str], ...] = (
    ("G0", "floor", "hold", "stubs measured; stubs capped", "", "engineer", "the first lift"),
    ("G1", "part", "hold", "factory certificate; ends capped", "", "foreman", "lifting the module"),
    ("G2", "part", "self", "placed; ends measured", "G1", "foreman", "connecting to the floor below"),
    ("G3", "joint", "hold", "fire riser made", "G2", "foreman", "lifting the next floor"),
    ("G4", "joint", "self", "made", "G2", "foreman", "offer for inspection"),
    ("G5", "joint", "witness", "inspected", "G4", "engineer", "permission to test"),
    (
        "G6",
        "section",
        "hold",
        "drain test passed",
        "G5",
        "commissioning lead",
        "release of the joints proven",
    ),
    (
        "G7",
        "section",
        "hold",
        "pressure test passed",
        "G5",
        "commissioning lead",
        "release of the joints proven",
    ),
    ("G8", "joint", "hold", "released; sleeve stopped", "G6;G7", "engineer", "covering"),
    ("G9", "floor", "hold", "panels fixed", "G8", "engineer", "closing the shaft lining"),
    (
        "G10",
        "floor",
        "hold",
        "top of section proven with the next",
        "G6",
        "commissioning lead",
        "its G8 and G9",
    ),
    ("G11", "floor", "hold", "vents open; plugs out", "", "commissioning lead", "finishes under the roof"),
)


def gates_toml() -> str:
    """gates.toml: what must be passed before what."""
    lines = ["# SPDX-License-Identifier: Apache-2.0"]
    for name, work, kind, needs, after, role, opens in GATES:
        listed = {"needs": needs, "after": after}
        lines += ["", "[[gate]]", f'id = "{name}"', f'work = "{work}"', f'kind = "{kind}"']
        for key, text in listed.items():
            items = ", ".join(f'"{item.strip()}"' for item in text.split(";") if item.strip())
            lines.append(f"{key} = [{items}]")
        lines += [f'role = "{role}"', f'opens = "{opens}"']
    return "\n".join(lines) + "\n"


def supply_rows(sound: Sound) -> list[Row]:
    """supplies.csv: for every wing the street main, the break tank, the fire brigade's pump."""
    columns = ("node", "kind", "static [bar]", "level [m]", "curve")
    rows = []
    for wing in sound.plan.wings:
        ground, plant = f"BG{sound.plan.tag(wing)}", sound.plan.plant_name(wing)
        rows += [
            (f"{ground}/MC1", "mains", "4.2", "0", "STREET"),
            (f"{plant}/TK", "tank", "0", "2.1", ""),
            (f"{ground}/FI1", "fire_inlet", "12", "0.8", ""),
        ]
    return [dict(zip(columns, row, strict=True)) for row in rows]


_CURVES = {
    "STREET": ((0.0, 4.2), (2.0, 4.0), (4.0, 3.5), (6.0, 2.7)),
    "BOOST": ((0.0, 6.0), (2.0, 6.0), (4.0, 5.9), (6.0, 5.5), (8.0, 4.8)),
    "FILL": ((0.0, 8.0), (0.5, 7.0), (1.0, 5.0)),
    "CIRC": ((0.0, 0.4), (0.2, 0.35), (0.5, 0.2)),
}


def curve_rows() -> list[Row]:
    """curves.csv."""
    return [
        {"curve": name, "flow [L/s]": f"{flow:g}", "pressure [bar]": f"{pressure:g}"}
        for name, points in _CURVES.items()
        for flow, pressure in points
    ]


# Devices of every plant, and those only where some shafts stand straight on the mains: node, setting,
# normally, kv, curve, rating.
_DEVICES = (
    ("PU", "", "", "", "BOOST", "16"),
    ("HEB-RP", "", "", "", "CIRC", "10"),
    ("MET", "", "", "20", "", "16"),
    ("STR", "", "", "40", "", "16"),
    ("BF1", "", "", "25", "", "10"),
    ("JP", "", "", "", "FILL", "25"),
    ("V1", "", "open", "60", "", "16"),
    ("V8", "", "open", "60", "", "16"),
    ("HEB", "60 C", "", "", "", "10"),
)
_DEVICES_ON_MAINS = (
    ("HEM-RP", "", "", "", "CIRC", "10"),
    ("BF2", "", "", "25", "", "10"),
    ("HEM", "60 C", "", "", "", "10"),
)


def device_rows(sound: Sound) -> list[Row]:
    """devices.csv: pumps with their curves, and devices that cost pressure."""
    columns = ("node", "setting", "normally", "kv [m3/h]", "curve", "rating [bar]")
    rows = []
    for wing in sound.plan.wings:
        plant = sound.plan.plant_name(wing)
        devices = _DEVICES + (_DEVICES_ON_MAINS if wing.both_zones else ())
        rows += [(f"{plant}/{device[0]}", *device[1:]) for device in devices]
    return [dict(zip(columns, row, strict=True)) for row in rows]


def gauge_rows() -> list[Row]:
    """gauges.csv: what the commissioning lead has; the calibration of one of them has run out."""
    columns = (
        "gauge", "kind", "range_min [bar]", "range_max [bar]", "graduation [bar]", "accuracy [% of range]",
        "calibrated", "due", "certificate",
    )  # fmt: skip
    rows = (
        ("LQ-G1", "spring", "0", "25", "0.1", "1", "2030-11-04", "2031-11-04", "K-3310"),
        ("LQ-G2", "spring", "0", "25", "0.5", "1.6", "2030-11-04", "2031-11-04", "K-3311"),
        ("LQ-G3", "spring", "0", "16", "0.1", "1", "2029-12-12", "2030-12-12", "K-2874"),
        ("LQ-G4", "electronic", "0", "10", "0.01", "0.25", "2031-01-20", "2032-01-20", "K-3402"),
        ("LQ-G5", "water column", "0", "0.1", "0.001", "1", "2031-01-20", "2032-01-20", "K-3403"),
        ("LQ-G6", "electronic", "0", "2.5", "0.001", "0.25", "2031-01-20", "2032-01-20", "K-3404"),
    )
    return [dict(zip(columns, row, strict=True)) for row in rows]


def fixture_rows(sound: Sound) -> list[Row]:
    """fixtures.csv: sinks with disposers on the highest tower's top floor; the rooms of visitors' toilets."""
    tower = max(sound.plan.storeys, key=lambda name: sound.plan.storeys[name])
    top = sound.tower_floors(tower)[-1].name
    rows = []
    for place, _ in enumerate(sound.columns_of(tower)):
        for position in (4, 5):
            name = f"{module_name(tower, top, place, position)}/SINK"
            rows.append(_fixture(name, kind="kitchen_sink_disposer", room="kitchen"))
    for part in sound.site.parts.values():
        if part.type[0] == "PT":
            names = ("WC1", "WC2", "LAV1", "LAV2", "UR", "DF")
            rows += [_fixture(f"{part.name}/{name}", room="toilets for visitors") for name in names]
    return rows


def _fixture(name: str, kind: str = "", room: str = "") -> Row:
    return {"fixture": name, "kind": kind, "use": "", "control": "", "room": room, "dwelling": ""}
