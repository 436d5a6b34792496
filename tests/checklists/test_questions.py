"""Questions for the keys of a vehicle profile: shipped ones, faulty ones, and keys without one."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from checklist_writer import write_small

from walkgrade.checklists.faults import FaultyFileError
from walkgrade.checklists.library import find_checklist, list_checklists, reference_folder
from walkgrade.checklists.loader import load_checklist
from walkgrade.checklists.questions import question_for
from walkgrade.checklists.records import Checklist, Fitted


def asked(folder: Path, text: str) -> Checklist:
    """The small checklist with `text` at its head."""
    path = write_small(folder)
    path.write_text(text + path.read_text("utf-8"), "utf-8")
    return load_checklist(path)


@pytest.mark.parametrize("name", ["school-bus-air-classic", "school-bus-air-modern"])
def test_every_key_of_a_school_bus_has_a_question_and_a_hint(name: str) -> None:
    checklist = find_checklist(name)
    assert [q.key for q in checklist.questions] == [rule.key for rule in checklist.profile_keys]
    for question in checklist.questions:
        assert question.ask.endswith("?"), question.key
        assert len(question.hint) > 5, question.key
        assert question.usual, question.key


def test_every_shipped_question_belongs_to_a_shipped_key() -> None:
    text = (reference_folder() / "questions.yaml").read_text("utf-8")
    keys = {rule.key for name in list_checklists() for rule in find_checklist(name).profile_keys}
    assert set(yaml.safe_load(text)["profile_questions"]) <= keys


@pytest.mark.parametrize("name", list_checklists())
def test_every_allowed_word_can_be_told_from_the_others(name: str) -> None:
    checklist = find_checklist(name)
    for rule in checklist.profile_keys:
        question = question_for(rule, checklist)
        assert [value for value, _ in question.meanings] == list(rule.values)
        assert question.usual in rule.values
        told = [text.casefold() for _, text in question.meanings]
        assert len(set(told)) == len(told), rule.key


def test_a_question_of_a_file(tmp_path: Path) -> None:
    head = (
        "profile_questions:\n"
        "  brakes: {ask: What stops it?, hint: Look., usual: hydraulic, "
        "answers: {air: air lines}}\n"
    )
    checklist = asked(tmp_path, head)
    question = question_for(checklist.profile_keys[0], checklist)
    assert (question.ask, question.hint, question.usual) == ("What stops it?", "Look.", "hydraulic")
    assert question.meanings == (("air", "air lines"), ("hydraulic", "hydraulic"))


@pytest.mark.parametrize(
    ("entry", "path", "says"),
    [
        ("{ask: Which?, usual: steam}", "profile_questions.brakes.usual", "not one of: air"),
        ("{ask: Which?, answers: {steam: x}}", "profile_questions.brakes.answers.steam", "one of"),
        ("{hint: Look.}", "profile_questions.brakes.ask", "required"),
        ("{ask: Which?, colour: red}", "profile_questions.brakes.colour", "unknown key"),
        ("{ask: ''}", "profile_questions.brakes.ask", ""),
        ("{ask: 7}", "profile_questions.brakes.ask", ""),
    ],
)
def test_faults_are_named(entry: str, path: str, says: str, tmp_path: Path) -> None:
    with pytest.raises(FaultyFileError) as caught:
        asked(tmp_path, f"profile_questions:\n  brakes: {entry}\n")
    assert caught.value.code == "C02"
    assert [(f.path, f.line) for f in caught.value.faults] == [(path, 2)]
    assert says in caught.value.faults[0].message


def test_a_question_for_a_key_of_other_vehicles_is_passed_over(tmp_path: Path) -> None:
    checklist = asked(tmp_path, "profile_questions:\n  sails: {ask: How many?, usual: two}\n")
    assert checklist.questions == ()


def test_a_question_that_stands_twice_is_a_fault(tmp_path: Path) -> None:
    entry = "profile_questions:\n  brakes: {ask: Which?}\n"
    (tmp_path / "more.yaml").write_text(entry, "utf-8")
    with pytest.raises(FaultyFileError, match="'brakes' stands twice"):
        asked(tmp_path, f"include: [more.yaml]\n{entry}")


@pytest.mark.parametrize(
    ("values", "ask", "meanings"),
    [
        (("fitted", "none"), "Does it have this: hub glass?", ("yes", "no")),
        (("asked", "not-asked"), "Does your examiner or school ask for this: hub glass?", None),
        (("one-piece", "split"), "Which of these is it: hub glass?", ("one piece", "split")),
    ],
)
def test_a_key_without_a_question_is_asked_in_its_own_words(
    values: tuple[str, ...], ask: str, meanings: tuple[str, ...] | None, classic: Checklist
) -> None:
    question = question_for(Fitted(key="hub_glass", values=values), classic)
    assert question.ask == ask
    assert question.usual == values[0]
    assert tuple(told for _, told in question.meanings) == (meanings or ("yes", "no"))
