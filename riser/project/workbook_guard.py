# SPDX-License-Identifier: Apache-2.0
"""What is asked of a workbook before it is opened: is it one, and can opening it fill the memory."""

from __future__ import annotations

import io
import re
import zipfile

from riser.project.faults import Faults
from riser.project.limits import MEBIBYTE, Limits

_OLE_MARK = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_ENCRYPTED = "EncryptedPackage".encode("utf-16-le")
_ZIP_MARK = b"PK\x03\x04"
_UTF16_MARKS = (b"\xff\xfe", b"\xfe\xff")
_REFERENCE = re.compile(rb"""\br\s*=\s*["']([A-Z]{0,3})([0-9]{1,10})["']""")
_OVERLAP = 40
_BLOCK = 4 * MEBIBYTE
_EXPECTED = "a workbook in .xlsx format"
_SAVE = "Save it as Excel workbook (.xlsx)."


def is_safe_workbook(data: bytes, file: str, faults: Faults, limits: Limits) -> bool:
    """Whether this is an .xlsx workbook of reasonable size; otherwise a fault says what it is."""
    found = _other_kind(data)
    if found is None:
        try:
            with zipfile.ZipFile(io.BytesIO(data)) as archive:
                found = _fault_of_archive(archive, limits)
        except Exception:  # a damaged archive raises errors of many types
            found = "a damaged workbook"
    if found is None:
        return True
    faults.add_file(file, found, _EXPECTED, _SAVE)
    return False


def _other_kind(data: bytes) -> str | None:
    if not data:
        return "an empty file"
    if data.startswith(_OLE_MARK):
        return (
            "a workbook locked with a password" if _ENCRYPTED in data else "a workbook in the old .xls format"
        )
    if not data.startswith(_ZIP_MARK):
        return "a file that is no workbook"
    return None


def _fault_of_archive(archive: zipfile.ZipFile, limits: Limits) -> str | None:
    members = archive.infolist()
    names = {member.filename for member in members}
    if "xl/workbook.xml" not in names:
        kinds = {"xl/workbook.bin": "a workbook in .xlsb format", "content.xml": "a workbook in .ods format"}
        return next(
            (kind for name, kind in kinds.items() if name in names), "a packed file that is no workbook"
        )
    if any(member.flag_bits & 1 for member in members):
        return "a workbook locked with a password"
    return _fault_of_sizes(members, limits) or next(
        (fault for member in members if (fault := _fault_of_member(archive, member, limits))), None
    )


def _fault_of_sizes(members: list[zipfile.ZipInfo], limits: Limits) -> str | None:
    declared = sum(member.file_size for member in members)
    packed = sum(member.compress_size for member in members)
    if len(members) > limits.members or declared > limits.inflated:
        return f"a workbook that unpacks to {declared // MEBIBYTE} MB in {len(members)} pieces"
    if declared > MEBIBYTE and declared > packed * limits.ratio:
        return f"a workbook that unpacks to {declared // max(packed, 1)} times its size"
    return None


def _fault_of_member(archive: zipfile.ZipFile, member: zipfile.ZipInfo, limits: Limits) -> str | None:
    """Unpack once and look: one cell far away costs as much as a full sheet.

    zipfile unpacks no more than the size told beforehand and then compares the checksum, so a false size
    comes to light as a damaged archive.
    """
    is_sheet = member.filename.startswith("xl/worksheets/")
    rows, letters, before = 0, set[bytes](), b""
    with archive.open(member) as stream:
        while block := stream.read(_BLOCK):
            if not before and (block.startswith(_UTF16_MARKS) or b"<!DOCTYPE" in block[:4096]):
                return "a workbook with declarations that no spreadsheet writes"
            if is_sheet:
                found = _REFERENCE.findall(before + block)
                letters.update(column for column, _ in found)
                rows = max(rows, *(int(row) for _, row in found)) if found else rows
                if rows * _columns(letters) > limits.sheet_cells:
                    return f"a sheet that reaches to row {rows} and column {_columns(letters)}"
            before = block[-_OVERLAP:]
    return None


def _columns(letters: set[bytes]) -> int:
    """The number of the last column: A is 1, AA is 27."""
    numbers = [0]
    for word in letters:
        number = 0
        for letter in word:
            number = number * 26 + letter - ord("A") + 1
        numbers.append(number)
    return max(numbers)
