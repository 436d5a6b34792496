"""What a recogniser is told to expect: names of parts in plain sentences, never a condition."""

from __future__ import annotations

from dataclasses import replace

import pytest

from walkgrade.checklists.library import find_checklist, list_checklists
from walkgrade.checklists.records import Kind
from walkgrade.language.expected import MOST, expected_names, expected_words

CONDITIONS = (
    "secure",
    "crack",
    "bent",
    "broken",
    "leak",
    "tight",
    "worn",
    "works",
    "clean",
)


@pytest.mark.parametrize("name", list_checklists())
def test_parts_of_the_vehicle_are_told_and_nothing_that_earns(name: str) -> None:
    text = " ".join(expected_words(find_checklist(name))).lower()
    assert "drag link" in text
    assert not [word for word in CONDITIONS if word in text]
    assert not any(letter.isdigit() for letter in text)


def test_they_stand_in_sentences() -> None:
    told = expected_words(find_checklist("school-bus-air-classic"))
    assert all(one[0].isupper() and one.endswith(".") for one in told)
    assert 8 <= len(told) <= MOST


def test_only_what_the_checklist_uses_is_told() -> None:
    bus, truck = (
        expected_names(find_checklist(name))
        for name in ("school-bus-air-classic", "tractor-trailer-classic")
    )
    assert "fifth wheel" in truck
    assert "fifth wheel" not in bus
    assert "crossing arm" in bus
    assert "crossing arm" not in truck


def test_a_part_of_the_school_s_own_is_told_by_its_title() -> None:
    sheet = find_checklist("straight-truck-hydraulic-modern")
    part = next(i for i in sheet.items if all(r.kind != Kind.ACTION for r in i.requirements))
    own = replace(sheet, items=(replace(part, title="Pantograph", names=()),))
    assert "pantograph" in expected_names(own)
