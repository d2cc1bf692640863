# SPDX-License-Identifier: Apache-2.0
"""How a pipe wall gives, worked again from stresses and Hooke's law."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riser.hydraulics.pipe_materials import MATERIALS, material
from riser.hydraulics.pipe_wall import (
    Restraint,
    expansion_of_bore_volume,
    stretch_factor,
    wall_compliance,
    wave_stretch_factor,
)


def strain_of_bore(a: float, b: float, e: float, nu: float, restraint: Restraint) -> float:
    """Volume strain for 1 Pa inside a cylinder with radii a and b, from Lame's stresses at the bore."""
    hoop = (b**2 + a**2) / (b**2 - a**2)
    radial = -1.0
    axial = {
        Restraint.FREE: a**2 / (b**2 - a**2),
        Restraint.HELD: nu * (hoop + radial),
        Restraint.EXPANSION_JOINTS: 0.0,
    }[restraint]
    around = (hoop - nu * (radial + axial)) / e
    along = (axial - nu * (hoop + radial)) / e
    return 2 * around + along


@settings(max_examples=60)
@given(
    bore=st.floats(0.01, 0.3),
    wall=st.floats(0.0005, 0.03),
    nu=st.floats(0.0, 0.5),
    restraint=st.sampled_from(list(Restraint)),
)
def test_compliance_is_the_strain_of_the_bore(
    bore: float, wall: float, nu: float, restraint: Restraint
) -> None:
    expected = strain_of_bore(bore / 2, bore / 2 + wall, 2e9, nu, restraint)
    ours = wall_compliance(bore + 2 * wall, bore, 2e9, nu, stretch_factor(restraint, nu))
    assert ours == pytest.approx(expected, rel=1e-9)


def test_wave_factors_are_kortewegs() -> None:
    assert [wave_stretch_factor(r, 0.3) for r in Restraint] == pytest.approx([0.85, 0.91, 1.0])


def test_a_held_pipe_grows_less_in_volume() -> None:
    assert expansion_of_bore_volume(Restraint.FREE, 12e-6, 0.3) == pytest.approx(36e-6)
    assert expansion_of_bore_volume(Restraint.HELD, 12e-6, 0.3) == pytest.approx(31.2e-6)


def test_every_material_has_plausible_figures_and_a_source() -> None:
    assert len({row.name for row in MATERIALS}) == len(MATERIALS)
    for row in MATERIALS:
        assert 1e8 < row.elasticity_pa < 2.2e11, row.name
        assert 0.2 < row.poisson < 0.5, row.name
        assert 9e-6 < row.linear_expansion_per_k < 2.1e-4, row.name
        assert row.source, row.name
        assert row.creeps == (row.elasticity_pa < 1e10), row.name


def test_an_unknown_material_is_told_with_those_there_are() -> None:
    assert material("copper").linear_expansion_per_k == pytest.approx(17.1e-6, abs=1e-7)
    with pytest.raises(KeyError, match="there are carbon steel"):
        material("papier")
