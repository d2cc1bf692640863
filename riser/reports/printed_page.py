# SPDX-License-Identifier: Apache-2.0
"""Paper: a template and values in, a PDF out; the same values give the same bytes.

Values reach the template as JSON and are shown as text: nothing that people wrote is ever read as
typesetting. The PDF is PDF/A-2b, in which a missing letter is an error and not an empty box. The font is
Source Sans Pro, as the package font-source-sans-pro installs it (SIL Open Font License 1.1), so that a sheet
looks the same on every machine; the machine's fonts are asked only for letters that it lacks.
"""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Mapping
from datetime import date
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from riser.errors import RiserError
from riser.reports.plain_text import plain_text

TEMPLATES = Path(__file__).parent / "templates"
FONT_FILES = ("SourceSansPro-Regular.ttf", "SourceSansPro-Bold.ttf")
LINE_MAY_END = "\u200b"
_MISSING = re.compile(r'the text `"(.*?)"` could not be displayed')


class PrintError(RiserError):
    """A sheet holds letters that no font on this machine can print; the sentence names them."""


class Picture(str):
    """An SVG picture among the values of a sheet: made by riser, handed on as it is."""

    __slots__ = ()


def printed(template: str, values: Mapping[str, Any], day: str) -> bytes:
    """The PDF of a template filled with values. `day` is the date on the sheet, as 2026-03-02.

    Raises PrintError for letters that no font has.
    """
    data = _data(values, day)
    try:
        return _compiled(template, data, machine_fonts=False)
    except _error() as error:
        if not _MISSING.search(str(error)):
            raise
    try:
        return _compiled(template, data, machine_fonts=True)
    except _error() as error:
        letters = "".join(sorted({letter for text in _MISSING.findall(str(error)) for letter in text}))
        if not letters:
            raise
        raise PrintError(
            f"No font on this machine can print {letters!r}. Install a font that has these letters"
            " (for Chinese, Japanese and Korean: Noto Sans CJK) and print again."
        ) from error


def row_pages(template: str, values: Mapping[str, Any], day: str) -> dict[int, int]:
    """The page on which each numbered row of the template comes to stand."""
    import typst

    compiler = typst.Compiler(**_source(template, _data(values, day), machine_fonts=False))
    rows = json.loads(compiler.query("<row>", field="value"))
    return {int(row["number"]): int(row["page"]) for row in rows}


def qr_svg(text: str) -> Picture:
    """A QR code of the text as an SVG picture."""
    from io import BytesIO

    import segno

    out = BytesIO()
    segno.make(text, error="m", micro=False).save(out, kind="svg", xmldecl=False, border=2, svgclass=None,
                                                  lineclass=None, omitsize=True)  # fmt: skip
    return Picture(out.getvalue().decode())


def breakable(text: str, most: int) -> str:
    """The text with places where a line may end in words longer than `most` letters, which ids can be."""
    if all(len(word) <= most for word in text.split()):
        return text
    shown, run = "", 0
    for letter in text:
        run = 0 if letter == " " else run + 1
        shown += letter
        least = most // 3 if letter in "/+" else 2 * most // 3
        if run >= most or (letter in "/+_.-" and run > least):
            shown, run = f"{shown}{LINE_MAY_END}", 0
    return shown


def _data(values: Mapping[str, Any], day: str) -> str:
    when = date.fromisoformat(day)
    dated = {
        **values,
        "day": {"year": when.year, "month": when.month, "day": when.day, "text": when.isoformat()},
    }
    return json.dumps(_plain(dated), ensure_ascii=False, sort_keys=True, allow_nan=False)


def _plain(value: Any) -> Any:
    if isinstance(value, str):
        return value if isinstance(value, Picture) else plain_text(value)
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    return value


def _source(template: str, data: str, *, machine_fonts: bool) -> dict[str, Any]:
    return {
        "input": TEMPLATES / f"{template}.typ",
        "root": TEMPLATES,
        "font_paths": _fonts(machine_fonts),
        "sys_inputs": {"data": data},
    }


def _compiled(template: str, data: str, *, machine_fonts: bool) -> bytes:
    import typst

    # One compiler per sheet: a second use of the same one may keep what the first left.
    compiler = typst.Compiler(**_source(template, data, machine_fonts=machine_fonts))
    pdf = compiler.compile(format="pdf", pdf_standards=["a-2b"], pdf_tags=False)
    if not isinstance(pdf, bytes):
        raise TypeError("typst gave pages, not one PDF")
    return pdf


@cache
def _fonts(machine_fonts: bool) -> Any:
    import typst

    return typst.Fonts(
        include_system_fonts=machine_fonts,
        include_embedded_fonts=machine_fonts,
        font_paths=[_font_folder().name],
    )


@cache
def _font_folder() -> TemporaryDirectory[str]:
    """The two font files of the sheets in a folder of their own, kept as long as the program runs.

    The package holds each font twice, as .ttf and as .otf, and typst reads whole folders: which of the two it
    takes would hang on the order of a machine's file system, and with it the bytes of a sheet.
    """
    folder: TemporaryDirectory[str] = TemporaryDirectory(prefix="riser_fonts_")
    for name in FONT_FILES:
        shutil.copyfile(font_home() / name, Path(folder.name) / name)
    return folder


def font_home() -> Path:
    """Where the installed package keeps the font files."""
    # The package reaches for every one of its fonts when it is imported: only printing should pay for that.
    import font_source_sans_pro

    return Path(font_source_sans_pro.font_directory)


def _error() -> type[Exception]:
    import typst

    found: type[Exception] = typst.TypstError
    return found
