# SPDX-License-Identifier: Apache-2.0
"""A job opened: its tables, its rules, its records, and the models built from them on demand."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from riser.joints.schedule import joints_of
from riser.network.joints import Joints
from riser.network.model import Model, design_model, site_model
from riser.network.placing import Placed, placed
from riser.network.tables import JobTables
from riser.network.types import Flags
from riser.project import read_job
from riser.records import State, state_of
from riser.rules import Rules, choose_rules, confirmed_rules
from riser.work.confirmed_rows import confirmations

if TYPE_CHECKING:
    from riser.records import Store

RECORDS_FILE = "records.sqlite"


@dataclass(frozen=True)
class Job:
    """One job: where it lies, what its files say, which rules it chose, what its records add up to."""

    path: Path
    tables: JobTables
    rules: Rules
    state: State
    records: str

    @property
    def name(self) -> str:
        """The job's name from project.toml, else the folder's."""
        return str(self.tables.settings.get("name") or self.path.stem)

    @property
    def rule_ids(self) -> dict[str, str]:
        """The chosen rule set of each subject."""
        return {subject: rule_set.id for subject, rule_set in self.rules.by_subject.items()}

    @cached_property
    def design(self) -> Model:
        """The whole building as drawn, with measured stub positions from files and records."""
        where = placed(_with_measurements(self.tables, self.state))
        return design_model(where, joints_of(where))

    @cached_property
    def site(self) -> Model:
        """What stands: parts recorded as placed, each as it was built."""
        where = placed(_as_built(_with_measurements(self.tables, self.state), self.state))
        joints = joints_of(where)
        standing = np.isin(where.part_name, list(self.state.placed))
        capped = where.node_numbers(list(self.state.capped)) if self.state.capped else np.zeros(0, np.int32)
        return site_model(where, joints, standing, _made(joints, self.state), capped[capped >= 0])


def records_address(path: Path, stated: str = "") -> str:
    """Where the records of a job lie: as stated (a file or a database URL), else beside its files."""
    if stated:
        return stated
    if path.is_dir():
        return str(path / RECORDS_FILE)
    return str(path.with_suffix(".records.sqlite"))


def open_job(path: Path, *, records: str = "", rules: tuple[str, ...] = ()) -> Job:
    """Read a job folder or workbook and its records.

    `rules` names sets that replace the job's own for the subjects they cover. Raises InputErrors,
    RuleSetError or RecordError.
    """
    tables = read_job(path)
    if rules:
        tables = replace(tables, settings=_with_rules(tables, rules))
    address = records_address(path, records)
    state = _state(address)
    chosen = choose_rules(tables.settings, tables.amendments)
    return Job(path, tables, confirmed_rules(chosen, confirmations(state, tables.settings)), state, address)


def _with_rules(tables: JobTables, names: tuple[str, ...]) -> dict[str, object]:
    """The settings with other rule sets for the subjects those sets cover."""
    from riser.rules import load_set

    chosen = dict(tables.settings.get("rules", {}))
    for name in names:
        chosen |= dict.fromkeys(load_set(name, tables.amendments).subjects, name)
    return {**tables.settings, "rules": chosen}


def store_exists(address: str) -> bool:
    """Whether records were begun; a database URL is taken to exist."""
    return "://" in address or Path(address).exists()


def _state(address: str) -> State:
    if not store_exists(address):
        return State()
    with reading_store(address) as store:
        return state_of(store.lines())


def reading_store(address: str) -> Store:
    """The records, to be read only."""
    from riser.records import open_store

    return open_store(address)


def writing_store(address: str) -> Store:
    """The records, to be added to; begun if there are none."""
    from riser.records import open_store, utc_now

    return open_store(address, clock=utc_now)


def _with_measurements(tables: JobTables, state: State) -> JobTables:
    """survey.csv and recorded measurements together; which holds is decided by the measuring time."""
    rows = [
        {
            "stub": m.stub,
            "measured_at": m.measured_at,
            "x_m": m.x_m,
            "y_m": m.y_m,
            "z_m": m.z_m,
            "uncertainty_m": m.uncertainty_m,
            "by": m.by,
            "instrument": m.instrument,
            "row": -m.line,
        }
        for measurements in state.measurements.values()
        for m in measurements
    ]
    if not rows:
        return tables
    added = pd.DataFrame(rows).reindex(columns=tables.survey.columns)
    survey = added if tables.survey.empty else pd.concat([tables.survey, added], ignore_index=True)
    return replace(tables, survey=survey)


def _as_built(tables: JobTables, state: State) -> JobTables:
    """Parts recorded as placed keep the type revision they were built to, where its drawing is still kept."""
    drawn = set(zip(tables.types["type"], tables.types["revision"], strict=True))
    parts = tables.parts.copy()
    for n, (part, type_name) in enumerate(zip(parts["part"], parts["type"], strict=True)):
        built = state.placed.get(part)
        if built is not None and (type_name, built.type_revision) in drawn:
            parts.loc[parts.index[n], "type_revision"] = built.type_revision
    return replace(tables, parts=parts)


def _made(joints: Joints, state: State) -> Flags:
    """Per joint, whether every one of its connections is recorded as made."""
    done = {name for name, events in state.connections.items() if events.is_made}
    missing = np.zeros(len(joints), bool)
    connections = joints.connections
    for name, joint in zip(connections.id.tolist(), connections.joint.tolist(), strict=True):
        if name not in done:
            missing[joint] = True
    return ~missing


def model_of(job: Job, *, site: bool) -> Model:
    """The design model or the site model."""
    return job.site if site else job.design


__all__ = ["Job", "Placed", "open_job", "reading_store", "records_address", "store_exists", "writing_store"]
