# ruff: noqa: E501 - one row a line, so that the table can be read down
"""What the clause reader adds to, or takes from, the lexicon's findings; with a reader of fixed
answers, so that each rule is seen alone."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
import pytest
from language_lines import talk
from numpy.typing import NDArray

from walkgrade.checklists.records import Checklist
from walkgrade.language.read import read
from walkgrade.language.records import ConditionMention, Polarity, Utterance, Voice
from walkgrade.language.second import Thresholds, consult

Said = Callable[[str], Utterance]
AT = Thresholds(add=0.8, veto=0.1, step=0.9)
STEP = "air-brake.leak.settle"


class Fixed:
    """Answers from a table: (words of the clause, concept) -> probability; else 0.5."""

    concepts = ("clean", "no_leak", "secure", STEP)

    def __init__(self, table: dict[tuple[str, str], float] | None = None) -> None:
        self.table = table or {}
        self.asked: list[str] = []

    def score(self, clauses: Sequence[str]) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
        self.asked += clauses
        sound = [[self.table.get((c, name), 0.5) for name in self.concepts] for c in clauses]
        return np.array(sound, dtype=np.float32), np.ones((len(clauses), 4), dtype=np.float32)


def asked(utterance: Utterance, table: dict[tuple[str, str], float]) -> Utterance:
    (made,) = consult([utterance], Fixed(table), AT)
    return made


def added(before: Utterance, after: Utterance) -> list[ConditionMention]:
    return [c for c in after.conditions if c not in before.conditions]


# --- what is put to the reader ------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "clauses"),
    [
        ("It is tight.", {"it is tight"}),
        # chunks between punctuation, and the longest run of them
        ("The cap is tight, the hose dry.", {"the cap is tight", "the hose dry", "the cap is tight the hose dry"}),
        # one word is no clause by itself
        ("Tight, dry, clean.", {"tight dry clean"}),
        ("Tight.", {"tight"}),
    ],
)  # fmt: skip
def test_clauses_asked(said: Said, text: str, clauses: set[str]) -> None:
    reader = Fixed()
    consult([said(text)], reader, AT)
    assert set(reader.asked) == clauses


def test_a_run_of_chunks_stays_within_sixteen_words(said: Said) -> None:
    reader = Fixed()
    text = ", ".join(["one two three four five six seven"] * 3) + "."
    consult([said(text)], reader, AT)
    assert max(len(clause.split()) for clause in reader.asked) == 14


def test_the_same_clause_is_asked_once(said: Said) -> None:
    reader = Fixed()
    consult([said("It is tight."), said("It is tight!")], reader, AT)
    assert reader.asked == ["it is tight"]


def test_only_the_trainee_is_read(said: Said) -> None:
    other = replace(said("It is shiny."), voice=Voice.OTHER)
    reader = Fixed({("it is shiny", "clean"): 0.99})
    assert consult([other], reader, AT) == (other,)
    assert reader.asked == []


def test_nothing_said_is_nothing_asked() -> None:
    reader = Fixed()
    assert consult([], reader, AT) == ()
    assert reader.asked == []


# --- adding ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(("score", "heard"), [(0.79, False), (0.81, True), (1.0, True)])
def test_a_condition_only_the_reader_heard(said: Said, score: float, heard: bool) -> None:
    before = said("You could eat off that.")
    after = asked(before, {("you could eat off that", "clean"): score})
    new = added(before, after)
    assert [c.concept for c in new] == (["clean"] if heard else [])
    for one in new:
        assert (one.polarity, one.first, one.last) == (Polarity.SOUND, 0, 5)
        assert one.score == pytest.approx(0.9 * score, abs=1e-3)  # less sure than words heard


def test_it_is_put_on_the_smallest_clause_that_carries_it(said: Said) -> None:
    before = said("That is the cap, you could eat off it.")
    after = asked(before, {
        ("you could eat off it", "clean"): 0.85,
        ("that is the cap you could eat off it", "clean"): 0.99,
    })  # fmt: skip
    (new,) = added(before, after)
    assert before.quote(new.first, new.last) == "you could eat off it."


def test_what_the_lexicon_heard_is_not_added_again(said: Said) -> None:
    before = said("It is clean.")
    assert asked(before, {("it is clean", "clean"): 0.99}) == before


def test_a_denied_condition_is_not_asserted_beside_its_denial(said: Said) -> None:
    before = said("It is leaking.")
    assert [c.polarity for c in before.conditions] == [Polarity.DEFECT]
    assert asked(before, {("it is leaking", "no_leak"): 0.99}) == before


@pytest.mark.parametrize(
    "text",
    [
        "Could you eat off that?",
        "My old truck you could eat off.",
        "I'm not going to check what you eat off.",
    ],
)
def test_nothing_is_added_to_questions_and_other_vehicles(said: Said, text: str) -> None:
    before = said(text)
    reader = Fixed()
    consult([before], reader, AT)
    table = {(clause, concept): 0.99 for clause in reader.asked for concept in Fixed.concepts}
    assert reader.asked or before.voice == Voice.OTHER
    assert asked(before, table).conditions == before.conditions


# --- taking away ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("score", "polarity"), [(0.0, Polarity.IDLE), (0.09, Polarity.IDLE), (0.11, Polarity.SOUND)]
)
def test_the_reader_may_overrule_an_assertion(said: Said, score: float, polarity: Polarity) -> None:
    before = said("It is clean.")
    after = asked(before, {("it is clean", "clean"): score})
    assert [c.polarity for c in after.conditions] == [polarity]
    assert [replace(c, polarity=Polarity.SOUND) for c in after.conditions] == list(
        before.conditions
    )


def test_a_listed_fault_may_be_overruled_too(said: Said) -> None:
    before = said("Leaks, dents.")
    assert Polarity.LISTED in {c.polarity for c in before.conditions if c.concept == "no_leak"}
    after = asked(before, {("leaks dents", "no_leak"): 0.0})
    assert {c.polarity for c in after.conditions if c.concept == "no_leak"} == {Polarity.IDLE}


@pytest.mark.parametrize(
    ("text", "concept", "polarity"),
    [
        ("It is leaking.", "no_leak", Polarity.DEFECT),  # a stated fault is the trainee's word
        ("If it is leaking it fails.", "no_leak", Polarity.IDLE),
    ],
)
@pytest.mark.parametrize("score", [0.0, 0.5, 1.0])
def test_defects_and_idle_talk_are_left_alone(
    said: Said, text: str, concept: str, polarity: Polarity, score: float
) -> None:
    before = said(text)
    reader = Fixed()
    consult([before], reader, AT)
    after = asked(before, {(clause, concept): score for clause in reader.asked})
    assert {c.polarity for c in after.conditions if c.concept == concept} == {polarity}


def test_one_clause_that_carries_it_is_enough(said: Said) -> None:
    before = said("The cap is fine, it is clean.")
    table = {
        ("it is clean", "clean"): 0.0,
        ("the cap is fine it is clean", "clean"): 0.4,
    }
    assert {c.polarity for c in asked(before, table).conditions if c.concept == "clean"} == {
        Polarity.SOUND
    }


def test_conditions_the_reader_does_not_know_are_left_alone(said: Said) -> None:
    before = said("It is not bent.")
    table = {("it is not bent", concept): 0.0 for concept in Fixed.concepts}
    assert asked(before, table).conditions == before.conditions


# --- steps ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("score", "heard"), [(0.89, False), (0.91, True)])
def test_a_step_only_the_reader_heard_is_marked_as_opinion(
    said: Said, score: float, heard: bool
) -> None:
    before = said("Now we give it a little while.")
    after = asked(before, {("now we give it a little while", STEP): score})
    new = [p for p in after.patterns if p not in before.patterns]
    assert [(p.requirement, p.opinion, p.idle) for p in new] == (
        [(STEP, True, False)] if heard else []
    )
    assert after.conditions == before.conditions  # a step is no condition


def test_a_step_already_met_in_words_stays_as_it_is(said: Said) -> None:
    before = said("Let the gauge settle.")
    assert STEP in {p.requirement for p in before.patterns}
    assert asked(before, {("let the gauge settle", STEP): 0.99}).patterns == before.patterns


@pytest.mark.parametrize("text", ["My old truck took a little while.", "Do we give it a while?"])
def test_no_step_is_added_to_questions_and_other_vehicles(said: Said, text: str) -> None:
    before = replace(said(text), voice=Voice.TRAINEE)
    reader = Fixed()
    consult([before], reader, AT)
    table = {(clause, STEP): 0.99 for clause in reader.asked}
    assert asked(before, table).patterns == before.patterns


# --- the whole ------------------------------------------------------------------------------------


def test_the_same_words_give_the_same_opinion(classic: Checklist) -> None:
    transcript = talk("The cap is tight. It is clean, you could eat off it.", "It is leaking.")
    table = {("you could eat off it", "no_leak"): 0.95, ("it is clean", "clean"): 0.0}
    first = read(transcript, classic, Fixed(table))
    assert first == read(transcript, classic, Fixed(table))
    assert first != read(transcript, classic)


def test_mentions_stay_in_order(said: Said) -> None:
    before = said("You could eat off that, it is tight, and dry.")
    reader = Fixed()
    consult([before], reader, AT)
    table = {(clause, concept): 0.95 for clause in reader.asked for concept in Fixed.concepts}
    after = asked(before, table)
    assert len(after.conditions) > len(before.conditions)
    assert list(after.conditions) == sorted(
        after.conditions, key=lambda c: (c.first, c.last, c.concept)
    )
    assert list(after.patterns) == sorted(
        after.patterns, key=lambda p: (p.first, p.last, p.requirement)
    )


@pytest.mark.parametrize("field", ["add", "veto", "step"])
def test_thresholds_are_shares(field: str) -> None:
    assert 0.0 < getattr(Thresholds(), field) < 1.0
    assert Thresholds().veto < Thresholds().add
