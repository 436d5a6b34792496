"""A written line is heard as a spoken one."""

from __future__ import annotations

import pytest

from walkgrade.checklists.records import Checklist
from walkgrade.language.plain import heard_in


@pytest.mark.parametrize(
    ("line", "concepts"),
    [
        ("not leaking", {"no_leak"}),
        ("fluid between add and full", {"level"}),
        ("not cracked or bent", {"no_crack", "no_bend"}),
        ("the rabbit hops", set()),
        ("", set()),
    ],
)
def test_conditions(line: str, concepts: set[str], classic: Checklist) -> None:
    assert set(heard_in(line, classic).concepts) == concepts


def test_numbers(classic: Checklist) -> None:
    (number,) = heard_in("tread not less than 4/32 inch", classic).numbers
    assert (str(number.low), number.unit, number.comparator) == ("1/8", "in", "at least")
