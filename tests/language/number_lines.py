"""What the tests of numbers share: the numbers of a line, and rows of known bugs."""

from __future__ import annotations

import pytest
from language_lines import norms_of

from walkgrade.language.numbers import find_numbers
from walkgrade.language.records import NumberMention


def found(text: str) -> tuple[NumberMention, ...]:
    return find_numbers(norms_of(text))


def one(text: str) -> tuple[str, str, str, str]:
    """Low, high, unit and comparator of the likeliest reading of the only number."""
    mentions = found(text)
    assert len(mentions) == 1, [m.readings for m in mentions]
    first = mentions[0].readings[0]
    return str(first.low), str(first.high), first.unit, first.comparator


def bug(*row: str, why: str) -> object:
    return pytest.param(*row, marks=pytest.mark.xfail(strict=True, reason=why))
