"""The shipped engine on all rows: the clause reader adds nothing that was not said.

The rules are tested alone elsewhere; here the reader may miss, but may not credit or blame beyond
the truth of a row.
"""

from __future__ import annotations

import attachment_rows
import pytest
import statement_rows
from spoken_lines import earned, heard
from spoken_rows import Row, check_second, table_second

from walkgrade.language.clauses import load_clause_reader

ROWS = [
    row
    for module in (attachment_rows, statement_rows)
    for rows in vars(module).values()
    if isinstance(rows, tuple)
    for row in rows
    if isinstance(row, Row)
]


@pytest.mark.parametrize("one", table_second(ROWS))
def test_second_opinion_adds_nothing_unsaid(one: Row) -> None:
    check_second(one, load_clause_reader())


def test_the_reader_is_really_asked() -> None:
    line = "Engine compartment. No puddles on the ground."
    assert earned(heard(line, reader=load_clause_reader())) == {"engine.leaks.none"}


def test_every_table_is_run() -> None:
    assert len(ROWS) > 120
    assert len({row.lines for row in ROWS}) > 115
