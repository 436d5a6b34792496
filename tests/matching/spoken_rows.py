"""The shape of a spoken row, and how one is checked.

`gets` and `against` are whole: a row fails on anything earned or held against beyond them, and on
a clash with the vehicle that `clash` (items) does not name. The truth of every row follows
seeds/LABELLING.md, not the engine. `bug` says why a row is known to fail (it must then fail); what
the shipped engine gets wrong is listed in test_judged.py.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import pytest
from spoken_lines import clashes, earned, heard, labels, wrong


@dataclass(frozen=True, slots=True)
class Row:
    """Lines of a talk with everything they earn and everything that stands against them."""

    id: str
    lines: tuple[str, ...]
    gets: str = ""
    against: str = ""
    clash: str = ""
    bug: str = ""


def row(
    id: str, *lines: str, gets: str = "", against: str = "", clash: str = "", bug: str = ""
) -> Row:
    """A row; see `Row`."""
    assert lines, id
    return Row(id, lines, gets, against, clash, bug)


def table(rows: Iterable[Row]) -> list[object]:
    """Rows as pytest parameters, known bugs marked."""
    return [pytest.param(one, id=one.id, marks=_known(one.bug)) for one in rows]


def table_judged(rows: Iterable[Row], known: Mapping[str, str]) -> list[object]:
    """The same for the shipped engine; `known` names the rows it is known to fail, and why."""
    return [pytest.param(one, id=one.id, marks=_known(known.get(one.id, ""))) for one in rows]


def _known(bug: str) -> list[pytest.MarkDecorator]:
    return [pytest.mark.xfail(strict=True, reason=bug)] if bug else []


def check(one: Row) -> None:
    """The rules alone: exactly what the row says is earned, and exactly that stands wrong."""
    found = heard(*one.lines)
    assert earned(found) == labels(one.gets)
    assert wrong(found) == labels(one.against)
    assert clashes(found) == set(one.clash.split())


def check_judged(one: Row) -> None:
    """The shipped engine: nothing beyond the row is earned or held against."""
    found = heard(*one.lines, judged=True)
    assert earned(found) <= labels(one.gets)
    assert wrong(found) <= labels(one.against)
    assert clashes(found) == set(one.clash.split())
