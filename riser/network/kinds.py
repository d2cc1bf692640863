# SPDX-License-Identifier: Apache-2.0
"""What stands at a node: its ports, which ports share water, and which way water may pass.

A node has one or more points. Ports that share a point hold the same water (the three ports of a tee); a pass
leads from one point of the node to another (through a valve); points without a pass are separate (the cold,
hot and waste connections of a basin). So a valve can stand backwards, and a basin does not tie hot to waste.
"""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class NodeKind:
    """One kind of node.

    `points` lists the ports of each point; `passes` the (from, to) points water goes through. `blank` tells
    whether a run may name no port (only where that leaves no doubt). `protects` parts drinking water from
    other water; `one_way` lets water through in one direction only; `closes` can shut the pass.
    """

    name: str
    points: tuple[tuple[str, ...], ...] = ((),)
    passes: tuple[tuple[int, int], ...] = ()
    blank: bool = True
    protects: bool = False
    one_way: bool = False
    closes: bool = False
    starts_network: bool = False

    @property
    def ports(self) -> tuple[str, ...]:
        """All port names, in order."""
        return tuple(port for point in self.points for port in point)

    def point_of(self, port: str) -> int:
        """The point a port belongs to; a blank port is the first point. KeyError for a foreign port."""
        if not port and self.blank:
            return 0
        for number, ports in enumerate(self.points):
            if port in ports:
                return number
        raise KeyError(port)


def _single(name: str, *ports: str) -> NodeKind:
    return NodeKind(name, points=(ports,))


def _inline(name: str, *, one_way: bool = False, closes: bool = False, protects: bool = False) -> NodeKind:
    return NodeKind(
        name,
        points=(("in",), ("out",)),
        passes=((0, 1),),
        blank=False,
        one_way=one_way,
        closes=closes,
        protects=protects,
    )


_KINDS = (
    _single("stub"),
    _single("bend", "a", "b"),
    NodeKind("tee", points=(("a", "b", "branch", "branch_2"),), blank=False),
    _single("reducer", "a", "b"),
    _single("cap"),
    _single("cleanout", "a", "b"),
    _single("test_tee", "a", "b"),
    _inline("trap", one_way=True),
    NodeKind("fixture", points=(("cold",), ("hot",), ("waste",), ("non_potable",)), blank=False),
    _single("roof_outlet", "out"),
    NodeKind("gully", points=(("in", "in_2"), ("out",)), passes=((0, 1),), blank=False, one_way=True),
    NodeKind(
        "sump",
        points=(("in", "in_2"), ("out",), ("vent",)),
        passes=((0, 1),),
        blank=False,
        one_way=True,
    ),
    _single("air_admittance_valve"),
    _single("vent_terminal"),
    _single("outfall"),
    _inline("valve", closes=True),
    _inline("check_valve", one_way=True),
    _inline("reducing_valve", one_way=True),
    _inline("balancing_valve", closes=True),
    _single("drain_cock"),
    _single("air_vent"),
    _inline("meter"),
    _inline("backflow_preventer", one_way=True, protects=True),
    _inline("strainer"),
    _inline("pump", one_way=True),
    NodeKind(
        "tank",
        points=(("in", "in_2"), ("out", "out_2"), ("overflow",)),
        passes=((0, 1),),
        blank=False,
        one_way=True,
        protects=True,
        starts_network=True,
    ),
    NodeKind(
        "heater",
        points=(("in",), ("out",), ("return",)),
        passes=((0, 1), (2, 1)),
        blank=False,
        starts_network=True,
    ),
    _single("expansion_vessel"),
    _single("mains_connection"),
    _single("hose_valve", "in"),
    _single("fire_inlet"),
    _single("sprinkler_branch", "in"),
    _single("anchor", "a", "b"),
    _single("guide", "a", "b"),
    _single("expansion_piece", "a", "b"),
)

KINDS: dict[str, NodeKind] = {kind.name: kind for kind in _KINDS}
NODE_KINDS: tuple[str, ...] = tuple(KINDS)
KIND_CODE: dict[str, int] = {name: code for code, name in enumerate(NODE_KINDS)}
PORTS: dict[str, tuple[str, ...]] = {name: kind.ports for name, kind in KINDS.items()}

SOURCES: frozenset[str] = frozenset({"mains_connection", "fire_inlet", "tank"})
OUTLETS: frozenset[str] = frozenset({"fixture", "hose_valve", "sprinkler_branch"})


@dataclass(frozen=True, slots=True)
class FixtureKind:
    """A neutral kind of fixture and the services it cannot do without.

    Each entry of `needs` is a set of ports of which one must be connected and led home. Common practice, no
    source: rule sets map these kinds to their own rows (fixture_map.toml).
    """

    name: str
    needs: tuple[frozenset[str], ...] = field(default=())


def _fixture(name: str, *needs: str) -> FixtureKind:
    return FixtureKind(name, tuple(frozenset(need.split("|")) for need in needs))


_FIXTURES = (
    _fixture("wc_cistern", "cold|non_potable", "waste"),
    _fixture("wc_flush_valve", "cold|non_potable", "waste"),
    _fixture("lavatory", "cold|hot", "waste"),
    _fixture("bath", "cold", "hot", "waste"),
    _fixture("shower", "cold|hot", "waste"),
    _fixture("bidet", "cold", "waste"),
    _fixture("kitchen_sink", "cold", "waste"),
    _fixture("kitchen_sink_disposer", "cold", "waste"),
    _fixture("dishwasher", "cold|hot", "waste"),
    _fixture("clothes_washer", "cold", "waste"),
    _fixture("laundry_tray", "cold", "waste"),
    _fixture("service_sink", "cold", "waste"),
    _fixture("urinal", "cold|non_potable", "waste"),
    _fixture("drinking_fountain", "cold", "waste"),
    _fixture("floor_drain", "waste"),
    _fixture("bathroom_group", "cold", "waste"),
    _fixture("tap", "cold|non_potable"),
    _fixture("fan_coil", "waste"),
)

FIXTURES: dict[str, FixtureKind] = {kind.name: kind for kind in _FIXTURES}
