"""The shipped engine on all rows: run reader and judge add nothing that was not said.

The rules are tested alone elsewhere; here the judge may miss, but may not credit or blame beyond
the truth of a row.
"""

from __future__ import annotations

import attachment_rows
import pytest
import statement_rows
from spoken_lines import earned, heard
from spoken_rows import Row, check_judged, table_judged

ROWS = [
    row
    for module in (attachment_rows, statement_rows)
    for rows in vars(module).values()
    if isinstance(rows, tuple)
    for row in rows
    if isinstance(row, Row)
]


SPILLS = "a condition said of one part is also given to the part named beside it"
GUESSES = "a part that is named is taken to be told, without a word of its state"
STALE = "a pronoun or a condition without a part reaches a part named long before"
OVERRULED = "what was said before outweighs the fault or exception stated after it"
PLACES = "two tread depths in two short lines: both go to the second axle"
KNOWN = {
    "each-its-own": SPILLS,
    "semicolon-parts": SPILLS,
    "then-its-hoses": SPILLS,
    "list-then-everything-here": GUESSES,
    "gone-stale": STALE,
    "only-named": GUESSES,
    "habit": STALE,
    "no-habit": STALE,
    "low-only": SPILLS,
    "low-works-high-dead": SPILLS,
    "clamp-before": SPILLS,
    "place-said-just-before": PLACES,
    "on-is-a-place-word": GUESSES,
    "and-more": SPILLS,
    "stated-later": OVERRULED,
    "hold-on": OVERRULED,
    "warning-too-late": "a pressure far too low for the warning is taken for the valve's",
    "correction": "a number told anew is tied to nothing where the part is named again with it",
}
"""Rows the run reader gets wrong, by cause: it learnt from runs in which most of what is named is
told well. Rows of this table must fail until it learns better."""


@pytest.mark.parametrize("one", table_judged(ROWS, KNOWN))
def test_nothing_unsaid_is_earned(one: Row) -> None:
    check_judged(one)


def test_the_reader_is_really_asked() -> None:
    line = "Engine compartment. No puddles on the ground."
    assert earned(heard(line, judged=True)) == {"engine.leaks.none"}


def test_every_table_is_run() -> None:
    assert len(ROWS) > 120
    assert len({row.lines for row in ROWS}) > 115
