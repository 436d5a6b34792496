"""A talk that ends in a vehicle profile, with answers fed in."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from walkgrade.checklists.applicable import check_profile
from walkgrade.checklists.interview import (
    interview,
    offers,
    profile_id,
    profile_text,
    understood,
)
from walkgrade.checklists.library import find_checklist, list_checklists
from walkgrade.checklists.loader import load_profile
from walkgrade.checklists.questions import question_for
from walkgrade.checklists.records import Checklist, Fitted, Question, VehicleProfile

BRAKES = Question(
    key="brakes", ask="Which?", hint="Look from the side.", usual="drum",
    meanings=(("drum", "a pot"), ("disc", "a plate"), ("none", "no brakes")),
)  # fmt: skip


class Person:
    """Types the given lines; remembers all that was shown."""

    def __init__(self, *lines: str) -> None:
        self.lines: Iterator[str] = iter(lines)
        self.shown: list[str] = []

    def ask(self, text: str) -> str:
        self.shown.append(text)
        try:
            return next(self.lines)
        except StopIteration:
            raise EOFError from None

    def talk(self, checklist: Checklist, offered: dict[str, str]) -> dict[str, str]:
        return interview(checklist, offered, self.ask, self.shown.append)


def three(classic: Checklist) -> Checklist:
    """The classic list with three keys, so that a talk is short."""
    from dataclasses import replace

    keys = {rule.key: rule for rule in classic.profile_keys}
    chosen = tuple(keys[name] for name in ("transmission", "slack_adjusters", "lift"))
    return replace(classic, profile_keys=chosen)


OFFERED = {"transmission": "automatic", "slack_adjusters": "automatic", "lift": "none"}


@pytest.mark.parametrize(
    ("said", "value"),
    [
        ("1", "drum"), ("3", "none"), ("drum", "drum"), ("DISC", "disc"), ("dr", "drum"),
        ("a plate", "disc"), ("a p", ""), ("d", ""), ("no", "none"), ("n", "none"),
        ("0", ""), ("4", ""), ("9" * 5000, ""), ("²", ""), ("", ""), ("steam", ""), (" 2 ", "disc"),
    ],
)  # fmt: skip
def test_understood(said: str, value: str) -> None:
    assert understood(BRAKES, said) == value


@pytest.mark.parametrize(
    ("lines", "wanted"),
    [
        (["", "", "", ""], OFFERED),
        (["2", "none", "yes", ""], {**OFFERED, "transmission": "manual",
                                    "slack_adjusters": "none", "lift": "fitted"}),
        (["manual", "back", "1", "", "", ""], OFFERED),
        (["back", "2", "", "", ""], {**OFFERED, "transmission": "manual"}),
        (["2", "man", "BACK", "auto", "y", ""], {**OFFERED, "transmission": "manual",
                                                  "lift": "fitted"}),
        (["", "", "", "3", "yes", ""], {**OFFERED, "lift": "fitted"}),
        (["", "", "", "back", "yes", "1", "2", ""], {**OFFERED, "lift": "fitted",
                                                      "transmission": "manual"}),
        (["", "", "", "2", "back", ""], OFFERED),
        (["", "", "", "0", "4", "what", ""], OFFERED),
        (["?", "what", "7", "", "", "", ""], OFFERED),
    ],
)  # fmt: skip
def test_talks(lines: list[str], wanted: dict[str, str], classic: Checklist) -> None:
    person = Person(*lines)
    assert person.talk(three(classic), OFFERED) == wanted
    with pytest.raises(StopIteration):
        next(person.lines)  # every line was used


def test_a_question_mark_shows_how_to_see_it(classic: Checklist) -> None:
    person = Person("?", "", "", "", "")
    person.talk(three(classic), OFFERED)
    hint = next(q.hint for q in classic.questions if q.key == "transmission")
    assert any(" ".join(text.split()) == hint for text in person.shown)


def test_a_key_without_a_hint_says_so(classic: Checklist) -> None:
    from dataclasses import replace

    person = Person("?", "", "", "", "")
    person.talk(replace(three(classic), questions=()), OFFERED)
    assert any("ask your mechanic" in text for text in person.shown)
    assert any("transmission" in text for text in person.shown)


def test_a_wrong_answer_says_what_is_allowed(classic: Checklist) -> None:
    person = Person("steam", "", "", "", "")
    person.talk(three(classic), OFFERED)
    assert any("'steam' is none of these: a number from 1 to 2" in text for text in person.shown)


def test_a_talk_that_breaks_off_gives_nothing(classic: Checklist) -> None:
    offered = dict(OFFERED)
    with pytest.raises(EOFError):
        Person("2", "").talk(three(classic), offered)
    assert offered == OFFERED


def test_what_is_offered(classic: Checklist, lift_bus: VehicleProfile) -> None:
    usual = offers(classic)
    assert usual == {r.key: question_for(r, classic).usual for r in classic.profile_keys}
    assert offers(classic, lift_bus) == dict(lift_bus.fitted)
    odd = VehicleProfile(id="o", title="O", fitted=(("lift", "maybe"), ("sails", "two")))
    assert offers(classic, odd) == usual


@pytest.mark.parametrize("name", list_checklists())
def test_taking_every_offer_gives_a_profile_that_fits(name: str, tmp_path: Path) -> None:
    checklist = find_checklist(name)
    lines = [""] * (len(checklist.profile_keys) + 1)
    answers = Person(*lines).talk(checklist, offers(checklist))
    profile = VehicleProfile(id="ours", title="Ours", fitted=tuple(answers.items()))
    (tmp_path / "ours.yaml").write_text(profile_text(profile, checklist), "utf-8")
    assert load_profile(tmp_path / "ours.yaml") == profile
    check_profile(profile, checklist)


TITLES = st.text(st.characters(categories=["L", "N", "P", "S", "Zs"]), min_size=1).filter(
    lambda text: text.isprintable() and text == text.strip()
)


@given(title=TITLES, word=st.sampled_from(["no", "on", "1.10", "null", "~", "a: b", "x #y", "- z"]))
def test_any_title_and_word_comes_back(
    title: str, word: str, tmp_path_factory: pytest.TempPathFactory, classic: Checklist
) -> None:
    from dataclasses import replace

    odd = replace(classic, profile_keys=(Fitted(key="odd", values=(word, "else")),), questions=())
    profile = VehicleProfile(id="1e3", title=title, fitted=(("odd", word),))
    path = tmp_path_factory.mktemp("v") / "v.yaml"
    path.write_text(profile_text(profile, odd), "utf-8")
    assert load_profile(path) == profile


def test_the_file_tells_its_questions(classic: Checklist, air_bus: VehicleProfile) -> None:
    text = profile_text(air_bus, classic)
    for question in classic.questions:
        assert f"  # {question.ask}\n  {question.key}: " in text


@pytest.mark.parametrize(
    ("name", "wanted"),
    [("bus-14", "bus-14"), ("Bus 14 (new)", "bus-14-new"), ("été", "t"), ("---", "vehicle")],
)
def test_an_id_from_a_name(name: str, wanted: str) -> None:
    assert profile_id(name) == wanted
