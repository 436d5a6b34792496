"""How figures of the grade document are written: clock times, counts, shares.

Decides: the form of a number on a page. Changes no value.
Conventions: clock times are ``m:ss`` (``h:mm:ss`` from one hour), cut to whole seconds as a clock
shows them; lengths are rounded. Null reads "not known".
Public: clock, length, plural, percent, NOT_KNOWN, OUTCOME_WORDS.
"""

from __future__ import annotations

NOT_KNOWN = "not known"

OUTCOME_WORDS: dict[str, str] = {
    "complete": "Complete",
    "incomplete": "Incomplete",
    "named only": "Named only",
    "missed": "Missed",
    "wrong": "Wrong",
    "needs listening": "Needs listening",
}
"""Outcomes of an item in the order pages list them."""


def clock(ms: int | None) -> str:
    """A moment as a clock shows it.

    >>> clock(151_900), clock(3_661_000), clock(None)
    ('2:31', '1:01:01', 'not known')
    """
    return NOT_KNOWN if ms is None else _clock(ms // 1_000)


def length(ms: int | None) -> str:
    """A length of time, rounded to the second.

    >>> length(151_900)
    '2:32'
    """
    return NOT_KNOWN if ms is None else _clock((ms + 500) // 1_000)


def _clock(seconds: int) -> str:
    hours, rest = divmod(seconds, 3_600)
    minutes, left = divmod(rest, 60)
    return f"{hours}:{minutes:02}:{left:02}" if hours else f"{minutes}:{left:02}"


def plural(count: int, one: str, many: str = "") -> str:
    """A count with its noun.

    >>> plural(1, "item"), plural(0, "item"), plural(2, "miss", "misses")
    ('1 item', '0 items', '2 misses')
    """
    return f"{count} {one if count == 1 else many or one + 's'}"


def percent(value: float | None) -> str:
    """A percentage without a needless decimal.

    >>> percent(80.0), percent(79.9), percent(None)
    ('80 %', '79.9 %', 'not known')
    """
    return NOT_KNOWN if value is None else f"{value:g} %"
