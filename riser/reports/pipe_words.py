# SPDX-License-Identifier: Apache-2.0
"""Pipes, make-ups, levels and lengths in the words of a sheet."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from riser.network.joints import PieceKind
from riser.network.model import Model
from riser.network.systems import AIR, CONTAINMENT, DRAINS, PRESSURE, System
from riser.network.tables import JobTables


@dataclass(frozen=True)
class PipeWords:
    """The pipe catalogue as a sheet shows it, by pipe number: `DN100 cast iron`; bores in metres."""

    words: tuple[str, ...]
    bores_m: tuple[float, ...]

    def pipe(self, number: int) -> str:
        """One pipe in words; a dash for none."""
        return self.words[number] if number >= 0 else "-"


def pipe_words(tables: JobTables) -> PipeWords:
    """The words for every pipe of a job. A pipe without nominal size and material goes by its own name."""
    frame = tables.pipes.drop_duplicates("pipe")
    rows = zip(frame["nominal"].tolist(), frame["material"].tolist(), frame["pipe"].tolist(), strict=True)
    words = tuple(" ".join(text for text in row[:2] if text) or str(row[2]) for row in rows)
    return PipeWords(words, tuple(float(bore) for bore in frame["bore_m"].tolist()))


def system_word(system: int) -> str:
    """A system as people write it: `hot return`."""
    return System(system).label.replace("_", " ") if system >= 0 else "no system"


def works_of(system: int) -> frozenset[str]:
    """The words by which gates may name a joint of this system."""
    if system < 0:
        return frozenset({"joint"})
    families = {"drain": DRAINS | AIR, "pressure": PRESSURE, "containment": CONTAINMENT}
    family = {word for word, systems in families.items() if system in systems}
    return frozenset({"joint", System(system).label, *family})


def is_tested(system: int) -> bool:
    """Whether joints of this system are proven by a test: all but power and data."""
    return system >= 0 and System(system) not in CONTAINMENT


def millimetres(length_m: float) -> str:
    """A length in whole millimetres, with a tenth below 10 mm; a dash for none.

    >>> millimetres(0.0042), millimetres(0.497), millimetres(-0.00001), millimetres(float("nan"))
    ('4.2 mm', '497 mm', '0 mm', '-')
    """
    bare = bare_millimetres(length_m)
    return bare if bare == "-" else f"{bare} mm"


def bare_millimetres(length_m: float, *, sign: bool = False) -> str:
    """As `millimetres`, for a column whose heading names the unit; `sign` shows a plus too."""
    if not np.isfinite(length_m):
        return "-"
    digits = 1 if abs(length_m) < 0.00995 else 0
    value = round(length_m * 1000.0, digits) + 0.0
    text = f"{value:.{digits}f}".removesuffix(".0")
    return f"+{text}" if sign and value > 0 else text


def level_text(level_m: float) -> str:
    """A level with its sign, to the millimetre, the unit left to the heading: `+3.150`; a dash for none."""
    return f"{level_m + 0.0:+.3f}" if np.isfinite(level_m) else "-"


def make_up_words(model: Model, joint: int, pipes: PipeWords) -> str:
    """What goes between the stubs of a joint, in order from stub a."""
    pieces = model.joints.pieces
    first, last = np.searchsorted(pieces.joint, [joint, joint + 1]).tolist()
    if first == last:
        return "make-up not given"
    kinds = [PieceKind(int(kind)) for kind in pieces.kind[first:last]]
    families = pieces.family[first:last].tolist()
    if kinds == [PieceKind.COUPLING, PieceKind.PIPE, PieceKind.COUPLING] and families[0] == families[2]:
        return f"{_piece_words(model, first + 1, pipes)} between two {families[0]} couplings"
    words = [_piece_words(model, n, pipes) for n in range(first, last)]
    if kinds == [PieceKind.COUPLING]:
        return f"one {words[0]}"
    return f"closed end: {words[0]}" if kinds == [PieceKind.CAP] else ", ".join(words)


def make_up_short(model: Model, joint: int, pipes: PipeWords) -> str:
    """The same in the few words of a printed row: `2 × NH, 397 mm DN100 cast iron`."""
    pieces = model.joints.pieces
    first, last = np.searchsorted(pieces.joint, [joint, joint + 1]).tolist()
    if first == last:
        return "make-up not given"
    kinds = [PieceKind(int(kind)) for kind in pieces.kind[first:last]]
    families = [str(family) for family in pieces.family[first:last]]
    spool = _piece_words(model, first + kinds.index(PieceKind.PIPE), pipes) if PieceKind.PIPE in kinds else ""
    if kinds == [PieceKind.COUPLING, PieceKind.PIPE, PieceKind.COUPLING] and families[0] == families[2]:
        return f"2 × {families[0]}, {spool.removeprefix('spool ')}"
    if kinds == [PieceKind.COUPLING]:
        return f"1 × {families[0]}"
    words = [
        families[n - first] if kinds[n - first] == PieceKind.COUPLING else _piece_words(model, n, pipes)
        for n in range(first, last)
    ]
    return ", ".join(word.removeprefix("spool ") for word in words)


def _piece_words(model: Model, piece: int, pipes: PipeWords) -> str:
    pieces = model.joints.pieces
    kind, family = PieceKind(int(pieces.kind[piece])), str(pieces.family[piece])
    length = millimetres(float(pieces.length_m[piece]))
    pipe, to_pipe = (pipes.pipe(int(n)) for n in (pieces.pipe[piece], pieces.to_pipe[piece]))
    across = millimetres(float(pieces.offset_m[piece]))
    return {
        PieceKind.COUPLING: f"{family} coupling",
        PieceKind.CAP: f"{family} cap",
        PieceKind.PIPE: f"spool {length} {pipe}",
        PieceKind.REDUCER: f"reducer {pipe} to {to_pipe}, {length}",
        PieceKind.ADAPTER: f"adapter {pipe} to {to_pipe}, {length}",
        PieceKind.OFFSET: f"offset piece {pipe}, {length} long, {across} across",
    }[kind]
