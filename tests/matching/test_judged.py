"""The shipped engine on all rows: run reader and judge add nothing that was not said.

The rules are tested alone elsewhere; here the judge may miss, but may not credit or blame beyond
the truth of a row.
"""

from __future__ import annotations

import attachment_rows
import drive_rows
import pytest
import statement_rows
from spoken_lines import earned, heard
from spoken_rows import Row, check_judged, table_judged

ROWS = [
    row
    for module in (attachment_rows, statement_rows, drive_rows)
    for rows in vars(module).values()
    if isinstance(rows, tuple)
    for row in rows
    if isinstance(row, Row)
]


KNOWN = {
    "habit": "conditions said before their part, a sentence apart, go to the part before as well",
    "only-named": "a part only named right after its twin was told of",
    "list-then-everything-here": "a bare list is taken to be told of by a blanket verdict after it",
    "before-described": "the same as a part that is described only later is taken for told",
    "next-i-look": "what is said before 'next I look at' a part is read with it",
    "belt-turns-two": "the belt that turns a part is taken for a word on how the part is driven",
    "gone-stale": "'it' is taken for a part that was named long before",
}
"""Rows that readers and judge get wrong, by cause: they learnt from runs in which most of what is
named is told well. Rows of this table must fail until they learn better."""


@pytest.mark.parametrize("one", table_judged(ROWS, KNOWN))
def test_nothing_unsaid_is_earned(one: Row) -> None:
    check_judged(one)


def test_the_reader_is_really_asked() -> None:
    line = "Front axle. Steering box: you could hang a horse off it and it would not stir."
    assert earned(heard(line)) == set()
    assert earned(heard(line, judged=True)) == {"front-axle.steering-box.secure"}


def test_every_table_is_run() -> None:
    assert len(ROWS) > 120
    assert len({row.lines for row in ROWS}) > 115
