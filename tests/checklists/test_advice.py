# ruff: noqa: E501 - one row a line, so that the tables can be read down
"""What will probably surprise, with why and how to mend it."""

from __future__ import annotations

from pathlib import Path

import pytest
from checklist_writer import write_small

from walkgrade.checklists.advice import advice, advice_text
from walkgrade.checklists.library import find_checklist, shipped_parts
from walkgrade.checklists.lint import Oddity
from walkgrade.checklists.records import Checklist
from walkgrade.checklists.sheet_links import KnownPart, known_parts


@pytest.fixture(scope="module")
def known() -> tuple[KnownPart, ...]:
    return known_parts(shipped_parts())


ITEM = """      - id: engine.second
        row: X
        title: {title}
        names: [{name}]
        why: So.
        basis: [manual]
        requires:
          - {{id: a, says: a, concepts: [{concepts}]}}
  - id: check
"""


def with_item(
    title: str = "Second", name: str = "second", concepts: str = "works"
) -> tuple[str, str]:
    return ("  - id: check\n", ITEM.format(title=title, name=name, concepts=concepts))


def notes(path: Path, known: tuple[KnownPart, ...] = ()) -> set[tuple[Oddity, str, str]]:
    found = advice(find_checklist(str(path)), known)
    return {(one.note.kind, one.note.where, one.note.message) for one in found}


CASES = {
    "sounds alike": (with_item(name="oil lavel"), Oddity.SOUNDS_ALIKE, "engine.second", "name 'oil lavel' sounds like 'oil level' of engine.oil-level"),
    "odd condition": (with_item(title="Horn", name="horn", concepts="even_wear"), Oddity.ODD_CONDITION, "engine.second", "asks for 'even_wear', which elsewhere is asked of"),
    "earned together": (
        ("concepts: [level]}", "concepts: [level]}\n          - {id: full, says: full, concepts: [clean, level]}"),
        Oddity.EARNED_TOGETHER, "engine.oil-level", "'level' and 'full' are both earned by level",
    ),
    "memory alone": (("        basis: [manual]\n", "        basis: [head]\n"), Oddity.NO_PUBLISHED_SOURCE, "engine.oil-level", "level: from memory"),
}  # fmt: skip
SHARED = (
    ("profile_keys:", "  head: {title: Head, section: none, standing: from memory}\nprofile_keys:"),
)


@pytest.mark.parametrize("name", CASES)
def test_each_is_told(name: str, tmp_path: Path, known: tuple[KnownPart, ...]) -> None:
    change, kind, where, says = CASES[name]
    before = notes(write_small(tmp_path, shared=SHARED), known)
    new = notes(write_small(tmp_path, change, shared=SHARED), known) - before
    assert [one for one in new if one[:2] == (kind, where) and says in one[2]], new


def test_a_place_word_at_two_places(tmp_path: Path) -> None:
    path = write_small(tmp_path, shared=(("cues: [rear axle]", "cues: [rear axle, Front axle]"),))
    assert (Oddity.SHARED_CUE, "places.rear-axle", "'front axle' leads to front-axle too") in notes(
        path
    )


@pytest.mark.parametrize(
    "change",
    [
        with_item(name="oil levels"),  # the same word
        with_item(title="Horn", name="horn", concepts="works"),
        with_item(title="Gizmo", name="gizmo", concepts="even_wear"),  # no known part
        ("concepts: [level]}", "concepts: [level]}\n          - {id: full, says: full, concepts: [level], about: [cap]}"),
    ],
    ids=["plural", "usual condition", "unknown part", "other sub-part"],
)  # fmt: skip
def test_what_is_not_told(
    change: tuple[str, str], tmp_path: Path, known: tuple[KnownPart, ...]
) -> None:
    before = notes(write_small(tmp_path), known)
    new = notes(write_small(tmp_path, change), known) - before
    kinds = {Oddity.SOUNDS_ALIKE, Oddity.ODD_CONDITION, Oddity.EARNED_TOGETHER}
    assert not [one for one in new if one[0] in kinds], new


def test_names_of_items_that_no_vehicle_has_together_may_sound_alike(tmp_path: Path) -> None:
    air, other = ("        if_fitted: {brakes: air}\n", "        if_fitted: {brakes: hydraulic}\n")
    old, new = with_item(name="oil lavel")
    path = write_small(
        tmp_path,
        (old, new.replace("        row: X\n", f"        row: X\n{other}")),
        ("        row: E2\n", f"        row: E2\n{air}"),
    )
    assert not [one for one in notes(path) if one[0] is Oddity.SOUNDS_ALIKE]


def test_every_kind_is_explained_once(tmp_path: Path) -> None:
    found = advice(
        find_checklist(
            str(write_small(tmp_path, ("        why: Low oil can seize the engine.\n", "")))
        )
    )
    text = advice_text(found)
    assert text.count("why:  The report cannot tell") == 1
    assert "engine.oil-level: does not say why" in text
    assert "mend: Add one plain sentence" in text
    assert advice_text(()) == ""


def test_a_shipped_list_warns_of_what_recognisers_mix_up(
    classic: Checklist, known: tuple[KnownPart, ...]
) -> None:
    found = advice(classic, known)
    alike = {
        (one.note.where, one.note.message) for one in found if one.note.kind is Oddity.SOUNDS_ALIKE
    }
    assert (
        "cab.red-indicator",
        "name 'red indicator' sounds like 'right indicator' of cab.right-turn-indicator",
    ) in alike
    assert not [one for one in found if one.note.kind in (Oddity.ODD_CONDITION, Oddity.SHARED_CUE)]
    assert "profile_keys: " in advice_text(found)
    assert "more" in advice_text(found), "long rows end in a count"
