# SPDX-License-Identifier: Apache-2.0
"""Times as the records keep them: ISO 8601 text, never corrected.

Server times are UTC and end in Z. Device times are kept as the device said them, with their offset.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime

_SERVER_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,6})?Z")
_LOCAL_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d(\.\d{1,6})?)?(Z|[+-]\d\d:\d\d)")


def utc_now() -> str:
    """The system clock as a server time, to the millisecond; callers hand it to `open_store(clock=...)`."""
    return datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def is_server_time(text: str) -> bool:
    """Whether the text is a UTC time such as 2031-05-04T09:30:00.125Z.

    >>> is_server_time("2031-05-04T09:30:00.125Z"), is_server_time("2031-05-04 09:30")
    (True, False)
    """
    return _SERVER_TIME.fullmatch(text) is not None and _is_on_the_calendar(text)


def is_time_with_offset(text: str) -> bool:
    """Whether the text is a time that says its offset, such as 2031-05-04T11:30+02:00."""
    return _LOCAL_TIME.fullmatch(text) is not None and _is_on_the_calendar(text)


def instant(text: str) -> datetime:
    """The moment that a time with offset names, in UTC."""
    return datetime.fromisoformat(text).astimezone(UTC)


def _is_on_the_calendar(text: str) -> bool:
    try:
        datetime.fromisoformat(text).astimezone(UTC)
    except (ValueError, OverflowError):
        return False
    return True
