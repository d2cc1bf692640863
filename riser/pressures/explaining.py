# SPDX-License-Identifier: Apache-2.0
"""Why a pressure is what it is: the way of the water from its supply, segment by segment, adding up.

The same formulas as in bulk, so the tree's figure is the table's figure.
"""

from __future__ import annotations

import numpy as np

from riser.audit import Assumed, Derived, Given, InFile, Node, formula, largest, smallest, total
from riser.hydraulics.fittings import head_loss_of_fitting
from riser.hydraulics.friction import friction_factor, head_loss_darcy, mean_velocity, reynolds_number
from riser.hydraulics.quantity import Quantity
from riser.hydraulics.static_head import head_above_datum, head_of_pressure, pressure_below_head
from riser.network.kinds import KINDS, NODE_KINDS
from riser.pressures.budget import REST_M3S
from riser.pressures.building_pressures import BuildingPressures
from riser.pressures.design_load import PEAK, least_load, load_column
from riser.pressures.water_net import COLD_C, DENSITY_KGM3, Role
from riser.rules import linear_derived
from riser.units import STANDARD_GRAVITY_MS2

BUDGET = "pressure budget along the way of the water"
POSITIONS, FIXTURES = "parts.csv, nodes.csv", "nodes.csv, fixtures.csv"


@formula("head_left_m = head_m - loss_m", unit="m", basis=BUDGET)
def head_left(head_m: Quantity, loss_m: Quantity) -> Quantity:
    """Head after a loss [m]."""
    return head_m - loss_m


@formula(
    "relative = roughness_m / diameter_m",
    unit="",
    basis="definition",
    domain={"roughness_m": (1e-6, 1e-4), "diameter_m": (0.01, 0.2)},
)
def relative_roughness(roughness_m: Quantity, diameter_m: Quantity) -> Quantity:
    """Roughness of a wall as a share of the bore [-]."""
    return roughness_m / diameter_m


def explained_static(pressures: BuildingPressures, point: int) -> Derived:
    """The static gauge pressure at a point [Pa] with its derivation. ValueError without supply."""
    head = _Way(pressures, point, flowing=False).head()
    return _pressure(pressures, point, head, "static pressure")


def explained_flowing(pressures: BuildingPressures, point: int) -> Derived:
    """The flowing gauge pressure at a point at design load [Pa] with its derivation, one loss for each pipe
    and device on the way. ValueError without supply or design load.
    """
    if pressures.budget is None:
        raise ValueError("there is no design load under the rules in force")
    head = _Way(pressures, point, flowing=True).head()
    return _pressure(pressures, point, head, "flowing pressure at design load")


def supplied_points(pressures: BuildingPressures, node: str) -> dict[str, int]:
    """The points of a node `PART/NODE` that a supply reaches, by the name of their connection."""
    placed = pressures.model.placed
    number = int(placed.node_numbers([node])[0])
    found: dict[str, int] = {}
    for point in np.flatnonzero(placed.point_node == number).tolist() if number >= 0 else []:
        if np.isfinite(pressures.still.way.distance_m[point]):
            kind = KINDS[NODE_KINDS[int(pressures.model.node_kind[number])]]
            ports = kind.points[point - int(placed.point0[number])]
            found[" or ".join(ports) or node] = point
    return found


def _pressure(pressures: BuildingPressures, point: int, head: Node, name: str) -> Derived:
    level = _level(pressures, point)
    return pressure_below_head.derive(head, level, _density(), _gravity(), name=name)


def _level(pressures: BuildingPressures, point: int) -> Given:
    node = int(pressures.model.placed.point_node[point])
    value = float(pressures.still.net.level_m[point])
    return Given(
        f"level of {pressures.model.placed.node_id(node)}", value, "m", InFile(POSITIONS, 0, "z")
    )  # fmt: skip


def _density() -> Given:
    why = f"water at {COLD_C:g} degC, in hot pipes too: on the safe side for still pressures"
    return Given("density", DENSITY_KGM3, "kg/m3", Assumed(why))


def _gravity() -> Given:
    return Given("gravity", STANDARD_GRAVITY_MS2, "m/s2", Assumed("standard gravity, CGPM 1901"))


class _Way:
    """One way from a supply to a point, told as a tree of heads."""

    def __init__(self, pressures: BuildingPressures, point: int, *, flowing: bool) -> None:
        self.pressures, self.flowing = pressures, flowing
        self.net, self.way = pressures.still.net, pressures.still.way
        if not np.isfinite(self.way.distance_m[point]):
            raise ValueError("no supply reaches this point")
        self.path = self.way.path(point)

    def head(self) -> Node:
        """The head at the end of the way."""
        head: Node = self._supply(self.path[0])
        losses: list[Node] = []
        for point in self.path[1:]:
            link = int(self.way.link[point])
            if self.flowing and self._flow(point) > REST_M3S:
                losses.append(self._loss(point, link))
            if self.net.role[link] in (Role.REDUCING, Role.PUMP):
                head = self._after(self._less(head, losses), point, link)
                losses = []
        return self._less(head, losses)

    def _flow(self, point: int) -> float:
        budget = self.pressures.budget
        return float(budget.flow_m3s[point]) if budget is not None else 0.0

    def _less(self, head: Node, losses: list[Node]) -> Node:
        if not losses:
            return head
        lost = total("losses on the way", losses, BUDGET, "m")
        return head_left.derive(head, lost, name="head left")

    def _supply(self, point: int) -> Derived:
        supply = next(s for s in self.net.devices.supplies if s.point == point)
        name = self.pressures.model.placed.node_id(supply.node)
        level = Given(f"level of {name}", supply.level_m, "m", InFile("supplies.csv", supply.row, "level"))
        value, origin = supply.static_pa, InFile("supplies.csv", supply.row, "static")
        if self.flowing and supply.curve is not None:
            curve = supply.curve
            value -= max(curve.at_rest_pa - curve.at_flow_pa(self._flow(point)), 0.0)
            origin = InFile("supplies.csv, curves.csv", 0, f"static, and curve {curve.name} at design flow")
        pressure = Given(f"gauge pressure of {name}", value, "Pa", origin)
        return head_above_datum.derive(pressure, level, _density(), _gravity(), name=f"head at {name}")

    def _after(self, head: Node, point: int, link: int) -> Derived:
        device = self.net.devices.by_node[self.net.device_of(link)]
        name = self.net.name(link)
        if self.net.role[link] == Role.REDUCING:
            origin = InFile("devices.csv" if device.row else "nodes.csv", device.row, "setting")
            setting = Given(f"setting of {name}", device.setting_pa, "Pa", origin)
            held = head_above_datum.derive(
                setting, _level(self.pressures, point), _density(), _gravity(), name=f"head {name} holds"
            )
            return smallest(f"head behind {name}", [head, held], "a reducing valve adds nothing")
        curve = self.net.devices.curves[device.curve]
        value = curve.at_flow_pa(self._flow(point)) if self.flowing else curve.at_rest_pa
        gain = Given(f"gain of {name}", value, "Pa", InFile("curves.csv", 0, curve.name))
        lift = head_of_pressure.derive(gain, _density(), _gravity(), name=f"head {name} adds")
        return total(f"head behind {name}", [head, lift], "a pump adds its gain")

    def _loss(self, point: int, link: int) -> Node:
        name = self.net.name(link)
        catalogue = InFile("pipes.csv", 0, "bore")
        bore = Given("bore", float(self.net.bore_m[link]), "m", catalogue)
        velocity = mean_velocity.derive(self._design_flow(point), bore, name=f"velocity in {name}")
        wall = Given("roughness", float(self.net.roughness_m[link]), "m", InFile("pipes.csv", 0, "roughness"))
        viscosity = Given(
            "kinematic viscosity",
            float(self.net.viscosity_m2s[link]),
            "m2/s",
            Assumed("water at 10 degC, at 60 degC in hot pipes"),
        )
        reynolds = reynolds_number.derive(velocity, bore, viscosity)
        factor = friction_factor.derive(reynolds, relative_roughness.derive(wall, bore))
        length = Given("length", float(self.net.length_m[link]), "m", InFile("runs.csv", 0, name))
        friction = head_loss_darcy.derive(factor, length, bore, velocity, _gravity())
        k = Given(
            "loss coefficient",
            float(self.net.fittings[link]),
            "",
            Assumed("bends, tees and devices on it by Crane, or the Kv in devices.csv"),
        )
        fittings = head_loss_of_fitting.derive(k, velocity, _gravity())
        return total(f"loss in {name}", [friction, fittings], BUDGET)

    def _design_flow(self, point: int) -> Node:
        load = self.pressures.load
        assert load is not None
        parts: list[Node] = []
        if load.units[point] > 0:
            table = self.pressures.rules.subject("supply").table(PEAK)
            column = load_column(load, point)
            unit = table.units["load"]
            units: Node = Given(
                "fixture units served",
                float(load.units[point]),
                unit,
                InFile(FIXTURES, 0, ""),
            )
            least = least_load(self.pressures.rules.subject("supply"), column)
            if load.units[point] < least:
                first = Given("first row of the table", least, unit, Assumed("the table promises no less"))
                units = largest("load read", [units, first], "no demand below the first row")
            parts.append(linear_derived("peak demand", table, column, "load", units))
        if load.steady_m3s[point] > 0:
            why = "flows that are added as they are, by the rules' flow of the outlet"
            parts.append(Given("steady flow", float(load.steady_m3s[point]), "m3/s", Assumed(why)))
        return parts[0] if len(parts) == 1 else total("design flow", parts, BUDGET, "m3/s")
