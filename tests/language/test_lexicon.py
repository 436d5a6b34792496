"""The shipped language data: complete, compiling, and in step with docs/checklist-format.md."""

from __future__ import annotations

import re
from importlib import resources
from pathlib import Path
from typing import Any

import pytest
import yaml

from walkgrade.checklists.concepts import CONCEPTS
from walkgrade.checklists.records import Checklist
from walkgrade.language.lexicon import Lexicon
from walkgrade.language.patterns import compile_pattern
from walkgrade.language.words import stem

ROOT = Path(__file__).resolve().parents[2]


def data(name: str) -> dict[str, Any]:
    text = resources.files("walkgrade.language").joinpath("data", name).read_text("utf-8")
    return dict(yaml.safe_load(text))


CONDITIONS = data("conditions.yaml")["concepts"]
PHRASES = data("phrases.yaml")
HEARING = data("hearing.yaml")["words"]
ALL = [
    (f"{concept}.{side}", text)
    for concept, body in CONDITIONS.items()
    for side in ("sound", "fault")
    for text in body.get(side) or []
]
ALL += [(f"cues.{name}", text) for name, texts in PHRASES["cues"].items() for text in texts]
ALL += [(f"groups.{n}", text) for n, body in PHRASES["groups"].items() for text in body["says"]]


def test_every_concept_of_the_format_is_known(lexicon: Lexicon) -> None:
    page = (ROOT / "docs" / "checklist-format.md").read_text(encoding="utf-8")
    table = page.split("| id | meaning |")[1].split("\n\n")[0]
    named = {
        word
        for row in table.splitlines()[2:]
        for word in re.split(r"[ ·]+", row.split("|")[1])
        if word
    }
    assert len(named) > 50
    assert lexicon.concepts == named == set(CONCEPTS)


def test_every_concept_of_the_shipped_lists_is_known(
    lexicon: Lexicon, classic: Checklist, modern: Checklist
) -> None:
    used = {
        concept
        for checklist in (classic, modern)
        for item in checklist.items
        for requirement in item.requirements
        for concept in requirement.concepts
    }
    assert len(used) > 30
    assert used <= lexicon.concepts


def test_a_concept_can_be_said(lexicon: Lexicon) -> None:
    silent = [c for c, body in CONDITIONS.items() if not (body.get("sound") or body.get("fault"))]
    assert not silent
    assert set().union(*(set(body) for body in CONDITIONS.values())) == {"sound", "fault"}


def test_the_data_is_text_without_empty_places() -> None:
    assert len(ALL) > 900
    assert not [
        (where, text) for where, text in ALL if not isinstance(text, str) or not text.strip()
    ]


@pytest.mark.parametrize("where", sorted({where for where, _ in ALL}))
def test_no_pattern_compiles_to_nothing(where: str) -> None:
    for name, text in ALL:
        if name != where:
            continue
        pattern = compile_pattern(text, name)
        assert pattern.slots, text
        for option in (*(o for slot in pattern.slots for o in slot), *pattern.forbidden):
            assert option, text
            assert all(word.strip("=") for word in option), text
        assert all(slot for slot in pattern.slots), text


def test_no_pattern_of_the_shipped_lists_compiles_to_nothing(
    classic: Checklist, modern: Checklist
) -> None:
    seen = 0
    for checklist in (classic, modern):
        for item in checklist.items:
            for requirement in item.requirements:
                for text in requirement.patterns:
                    pattern = compile_pattern(text, requirement.id)
                    assert pattern.slots, (requirement.id, text)
                    assert all(o and all(o) for slot in pattern.slots for o in slot), text
                    seen += 1
    assert seen > 100


@pytest.mark.parametrize("heard", sorted(HEARING))
def test_hearing_weights_are_shares(heard: str, lexicon: Lexicon) -> None:
    assert heard == heard.lower().strip()
    choices = HEARING[heard]
    assert choices
    assert all(0.0 < weight <= 1.0 for weight in choices.values())
    assert set(lexicon.confusions[heard]) == {stem(meant) for meant in choices}


def test_the_mishearings_measured_are_listed(lexicon: Lexicon) -> None:
    """Pairs heard from the default models, see the head of hearing.yaml."""
    pairs = {
        "blood": "lug", "petman": "pitman", "fuses": "fusee", "duels": "dual", "phrase": "fray",
        "thread": "tread", "trend": "tread", "depth": "def", "df": "def",
    }  # fmt: skip
    assert not {h for h, meant in pairs.items() if stem(meant) not in lexicon.confusions[h]}


def test_a_word_can_say_what_it_may_stand_for(lexicon: Lexicon) -> None:
    """A mishearing of a word that no pattern, cue or part uses would never be looked up."""
    assert len(lexicon.confusions) > 100
    assert not [heard for heard in lexicon.confusions if " " in heard]


def test_cues_that_the_code_asks_for_exist() -> None:
    asked = {
        name
        for path in (ROOT / "walkgrade").rglob("*.py")
        for name in re.findall(r"\.has\(\"([a-z-]+)\"\)", path.read_text("utf-8"))
    }
    assert len(asked) > 2
    assert asked <= set(PHRASES["cues"])


def test_groups_name_rows_of_the_shipped_list(classic: Checklist, lexicon: Lexicon) -> None:
    rows = {item.row for item in classic.items} | {
        r.row for item in classic.items for r in item.requirements
    }
    unknown = {name: [r for r in wanted if r not in rows] for name, wanted in lexicon.groups}
    assert not {name: missing for name, missing in unknown.items() if missing}


def test_telling_words_are_conditions_of_one_word(lexicon: Lexicon) -> None:
    assert {"amber", "clean", stem("secure"), stem("leaking")} <= lexicon.telling
    assert not {"cap", "hose", "lug"} & lexicon.telling


def test_common_words_are_plain(lexicon: Lexicon) -> None:
    assert len(lexicon.common) > 10000
    assert not [w for w in lexicon.common if w.startswith("#") or w != w.strip().lower()]
    assert {"the", "morning", "yesterday"} <= lexicon.common
    assert not {"pitman", "alternator"} & lexicon.common
