# SPDX-License-Identifier: Apache-2.0
# ruff: noqa: E501 - headers of CSV files stand on one line
"""A small invented job for the tests of the reader: two sheds, three part types, a row or two in each file."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from riser.errors import InputError, InputErrors
from riser.project import read_job

JOB: dict[str, str] = {
    "project.toml": """\
name = "Reed Sheds"
time_zone = "Europe/Berlin"
words = "uk"

[rules]
drainage = "ipc_2021"

[design.ipc_2021]
building_use = "residential"
occupied = true
people = 12
rain = 0.031
ties = ["#1", "3 m"]

[tolerance]
stub_plan = "0.5 in"

[inside_parts]
rule = "accepted"
authority = "Ola Fenn"
date = 2026-02-01
document = "QA-7"
""",
    "floors.csv": """\
building,floor,order,level [m],slab_top,slab_thickness,ceiling,note
N,00,0,0.0,0.0,200,2.8,
N,01,1,3.1,3.1,0,5.9,"set, then levelled"
S,00,1,0.0,,,,
S,02,2,3.2,,,,
""",
    "shafts.csv": "shaft,building,outline [m]\nW1,N,0 0; 1 0; 1 1; 0 1\nW2,S,5 5; 6 5; 6 6\n",
    "risers.csv": "riser,system,shaft,through\nSS1,soil,W1,POD1/B1\nCW1,cold,W1,POD1/K1\n",
    "systems.csv": """\
network,system,order,end_kind,end,rule
soil-N,soil,2,outfall,GR/OUT,
cold-N,Cold,1,source,GR/IN,
""",
    "pipes.csv": """\
pipe,standard,series,material,nominal,od [mm],bore [mm],roughness [mm],ends,max_temperature [C],rating [bar],source
P110,EX 1,S,plastic,DN110,110,103,0.007,spigot,60,1.5,invented
C22,EX 2,T,copper,22,22,20,0.0015,plain,30,25,invented
C22,EX 2,T,copper,22,22,20,0.0015,plain,65,16,invented
""",
    "couplings.csv": """\
family,pipe_a,pipe_b,end_a,end_b,angle_max [deg],gap_min [mm],gap_max [mm],insertion [mm],rating [bar],wait [min],restrained,needs_access,source
RING,P110,P110,spigot,spigot,1,5,15,60,1,0,no,yes,invented
CRIMP,C22,C22,plain,plain,,0,2,20,16,5,yes,no,invented
BUSH,P110,C22,,,,,,,1,0,no,no,invented
""",
    "types.csv": """\
type,revision,kind,size_x [m],size_y [m],size_z [m]
POD,A,module,2.4,2.0,2.7
POD,B,module,2.4,2.0,2.7
GROUND,A,below slab,,,
""",
    "types/POD/A/nodes.csv": """\
node,kind,x [m],y [m],z [m],facing,pipe,end,system,fixture_kind,use,control,normally,may_bound_test,setting
B1,stub,0.5,0.5,0.0,down,P110,spigot,soil,,,,,,
T1,stub,0.5,0.5,2.6,UP,P110,spigot,soil,,,,,,
TEE,tee,0.5,0.5,0.4,,,,,,,,,,
WC,fixture,1.2,0.5,0.4,,,,,wc_cistern,private,tank,,,
K1,stub,0.7,0.5,0.0,down,C22,plain,cold,,,,,,
V1,valve,0.7,0.5,0.3,,,,,,,,open,yes,
PRV,reducing_valve,0.7,0.5,0.6,,,,,,,,set,no,3.5 bar
K2,stub,0.7,0.5,2.6,0 0 2,C22,plain,cold,,,,,,
""",
    "types/POD/A/runs.csv": """\
run,system,from,from_port,to,to_port,pipe,via [m],joined_from,joined_to,insulation [mm],hidden,supports
R1,soil,T1,,TEE,a,P110,,,RING,0,yes,1
R2,soil,TEE,b,B1,,P110,,RING,,0,yes,1
R3,soil,WC,waste,TEE,branch,P110,0.9 0.5 0.4; 0.7 0.5 0.4,RING,RING,0,no,0
R4,cold,K1,,V1,in,C22,,,CRIMP,13,yes,1
R5,cold,V1,out,PRV,in,C22,,CRIMP,CRIMP,13,yes,0
R6,cold,PRV,out,K2,,C22,,CRIMP,,13,yes,2
""",
    "types/POD/B/nodes.csv": """\
node,kind,x [mm],y [mm],z [mm],facing,pipe,system,fixture_kind
B1,stub,500,500,0,down,P110,soil,
T1,stub,500,500,2600,up,P110,soil,
K1,stub,700,500,0,down,C22,cold,
K2,stub,700,500,2600,up,C22,cold,
""",
    "types/POD/B/runs.csv": "run,system,from,to,pipe\nR1,soil,T1,B1,P110\nR2,cold,K1,K2,C22\n",
    "types/GROUND/A/nodes.csv": """\
node,kind,x,y,z,facing,pipe,system
S1,stub,0.5,0.5,0.1,up,P110,soil
OUT,outfall,0.5,6.0,-0.8,,,
K1,stub,0.7,0.5,0.1,up,C22,cold
IN,mains_connection,0.7,-2.0,-0.8,,,
""",
    "types/GROUND/A/runs.csv": """\
run,system,from,to,pipe,via
R1,soil,S1,OUT,P110,0.5 0.5 -0.7
R2,cold,IN,K1,C22,0.7 0.5 -0.8
""",
    "parts.csv": """\
part,type,type_revision,building,floor,to_floor,x [m],y [m],z [m],yaw [deg],mirror,hoist_order,dwelling
GR,GROUND,A,N,00,,0,0,0,0,none,0,
POD1,POD,A,N,00,01,0,0,0.2,0,none,1,1
POD2,POD,B,,01,,0,0,3.3,90,x,2,2
POD3,POD,B,S,00,,20,0,0.2,,,3,3
""",
    "joints.csv": """\
joint,stub_a,stub_b,works_on,note
J1,GR/S1,POD1/B1,00,
J2,GR/K1,POD1/K1,00,
J3,POD1/T1,POD2/B1,,
J4,POD2/T1,,,capped
""",
    "closures.csv": """\
joint,order,kind,family,pipe,length [mm],offset [mm],angle [deg],to_pipe
J1,1,coupling,RING,,,,,
J1,2,pipe,,P110,97,,,
J1,3,coupling,RING,,,,,
J2,1,coupling,CRIMP,,,,,
J4,1,cap,RING,,,,,
""",
    "fixtures.csv": "fixture,kind,use,control,room,dwelling\nPOD1/WC,WC flush valve,public,,bath,1\n",
    "supplies.csv": "node,kind,static [bar],level [m],curve\nGR/IN,mains,3.5,-0.8,TOWN\n",
    "curves.csv": "curve,flow [L/s],pressure [bar]\nTOWN,0,3.5\nTOWN,1.5,3.0\n",
    "devices.csv": "node,setting,normally,kv [m3/h],curve,rating [bar]\nPOD1/V1,,open,6.3,,16\nPOD1/PRV,0.2 L/s,set,,,\n",
    "catchments.csv": "outlet,area [m2],slope [deg],runoff\nGR/OUT,40,3,0.9\n",
    "sleeves.csv": """\
sleeve,building,floor,x [m],y [m],bore [mm],top [m],length [mm],detail,annulus_min [mm],annulus_max [mm]
SL1,N,00,0.5,0.5,160,0,200,D1,10,40
""",
    "access.csv": """\
panel,building,floor,x_min,y_min,z_min,x_max,y_max,z_max,serves
AP1,,01,0.3,0.3,2.5,1.1,0.7,3.3,J3 POD1/V1 POD1/T1+POD2/B1
""",
    "survey.csv": """\
stub,measured_at,x [m],y [m],z [m],uncertainty [mm],by,instrument
GR/S1,2026-03-02T10:15+01:00,0.506,0.496,0.101,2,Ola Fenn,tape
GR/K1,2026-07-02 10:15,0.706,0.496,0.101,2,Ola Fenn,tape
""",
    "gauges.csv": """\
gauge,kind,range_min [bar],range_max [bar],graduation [bar],accuracy [% of range],calibrated,due,certificate
G7,spring,0,16,0.1,1.6,2026-01-10,2027-01-10,C-9
""",
    "gates.toml": """\
[[gate]]
id = "G1"
work = "joint"
kind = "self"
needs = ["made", "inspected"]
role = "foreman"
opens = "test"

[[gate]]
id = "G2"
work = "section"
kind = "hold"
after = ["G1"]
""",
    "rules/yard.toml": '# one row\nextends = "ipc_2021"\n\n[[change]]\n  row = "a"\n  units = 3.0\n',
}


def write_job(folder: Path, files: dict[str, str]) -> Path:
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return folder


@pytest.fixture
def files() -> dict[str, str]:
    """The job's files by name, to be changed before they are written."""
    return dict(JOB)


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """The job as it should be."""
    return write_job(tmp_path / "job", JOB)


@pytest.fixture
def written(tmp_path: Path) -> Callable[[dict[str, str]], Path]:
    """Writes a job into a folder of its own."""
    count = iter(range(1000))
    return lambda files: write_job(tmp_path / f"job{next(count)}", files)


@pytest.fixture
def errors_of() -> Callable[[Path], list[InputError]]:
    """The faults of a job; a job without faults gives none."""

    def read(path: Path) -> list[InputError]:
        try:
            read_job(path)
        except InputErrors as error:
            return error.errors
        return []

    return read
