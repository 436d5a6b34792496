# ruff: noqa: E501 - one row a line, so that the table can be read down
"""What a speaker does with a condition: one table of sentences, and properties over all faults.

The rows are this project's own sentences; how they must be heard follows seeds/LABELLING.md rules
2 and 6 ("I'd check that it's not leaking" counts, an explanation earns nothing, a stated defect
contradicts).
"""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from language_lines import tokens_of

from walkgrade.language.polarity import explains, polarity_of
from walkgrade.language.records import Polarity, Utterance

Said = Callable[[str], Utterance]
SOUND, DEFECT, IDLE, LISTED = Polarity.SOUND, Polarity.DEFECT, Polarity.IDLE, Polarity.LISTED


def bug(*row: object, why: str) -> object:
    return pytest.param(*row, marks=pytest.mark.xfail(strict=True, reason=why))


ROWS = [
    # a fault denied
    ("The belt is not cracked.", "no_crack", SOUND),
    ("The belt isn't cracked.", "no_crack", SOUND),
    ("The belt has no cracks.", "no_crack", SOUND),
    ("It doesn't have any cracks.", "no_crack", SOUND),
    ("I don't see any cracks in it.", "no_crack", SOUND),
    ("I can't see a crack.", "no_crack", SOUND),
    ("I cannot see any cracks.", "no_crack", SOUND),
    ("I see no cracks.", "no_crack", SOUND),
    ("I don't see anything cracked or broken.", "no_crack", SOUND),
    ("I don't hear any leaks.", "no_leak", SOUND),
    ("I don't hear it leaking.", "no_leak", SOUND),
    ("The belt is free of cracks.", "no_crack", SOUND),
    ("The belt is free from cracks.", "no_crack", SOUND),
    ("Neither one is leaking.", "no_leak", SOUND),
    ("None of them are leaking.", "no_leak", SOUND),
    ("None of it's bent.", "no_bend", SOUND),
    ("Not one of them is loose.", "secure", SOUND),
    ("Nothing's loose.", "secure", SOUND),
    ("Nothing is cracked, bent or broken.", "no_break", SOUND),
    ("Nothing appears to be leaking.", "no_leak", SOUND),
    ("There's nothing bent.", "no_bend", SOUND),
    ("Not cracked, bent or broken.", "no_break", SOUND),
    ("It's neither bent nor broken.", "no_break", SOUND),
    ("No cracks, leaks or damage.", "no_damage", SOUND),
    ("No signs of leaks.", "no_leak", SOUND),
    ("Without any cracks.", "no_crack", SOUND),
    ("Zero leaks.", "no_leak", SOUND),
    ("It never leaks.", "no_leak", SOUND),
    ("It hasn't cracked.", "no_crack", SOUND),
    ("It ain't leaking.", "no_leak", SOUND),
    ("Ain't no cracks.", "no_crack", SOUND),
    ("I don't see no leaks.", "no_leak", SOUND),
    ("There should be no cracks.", "no_crack", SOUND),
    ("There shouldn't be any leaks.", "no_leak", SOUND),
    ("They shouldn't have any cracks.", "no_crack", SOUND),
    ("It should not be cracked, bent or broken.", "no_crack", SOUND),
    ("It should not be cracked, bent or broken.", "no_break", SOUND),
    ("It shouldn't be leaking.", "no_leak", SOUND),
    ("They must not be bent.", "no_bend", SOUND),
    ("It can't be cracked.", "no_crack", SOUND),
    ("It cannot be loose.", "secure", SOUND),
    ("It isn't supposed to be loose.", "secure", SOUND),
    ("It's not cracked and it's not leaking.", "no_leak", SOUND),
    ("So it's not leaking.", "no_leak", SOUND),
    bug("I don't think it's cracked.", "no_crack", SOUND, why="the new clause hides 'don't think'"),
    # a fault looked for
    ("Checking for leaks.", "no_leak", SOUND),
    ("I check for leaks.", "no_leak", SOUND),
    ("I would look for cracks.", "no_crack", SOUND),
    ("Looking for cracks, bends and breaks.", "no_break", SOUND),
    ("I'd check that it's not leaking.", "no_leak", SOUND),
    ("I'm checking to see if it's leaking.", "no_leak", SOUND),
    ("Check whether it's loose.", "secure", SOUND),
    ("See if it's cracked.", "no_crack", SOUND),
    ("Make sure there's no leaks.", "no_leak", SOUND),
    ("Making sure it isn't cracked.", "no_crack", SOUND),
    ("I want to make sure it isn't leaking.", "no_leak", SOUND),
    ("Check it's not bent, cracked or broken.", "no_break", SOUND),
    ("Because it could leak, I'm checking it's secure.", "secure", SOUND),
    # a fault listed without a verb
    ("Cracks, bends, breaks.", "no_bend", LISTED),
    ("Lug nuts missing.", "complete", LISTED),
    # a fault stated
    ("It is cracked.", "no_crack", DEFECT),
    ("It's leaking.", "no_leak", DEFECT),
    ("This belt's worn.", "no_wear", DEFECT),
    ("The belt looks worn.", "no_wear", DEFECT),
    ("There's a leak here.", "no_leak", DEFECT),
    ("I see a crack.", "no_crack", DEFECT),
    ("I found a leak.", "no_leak", DEFECT),
    ("It has a few cracks.", "no_crack", DEFECT),
    ("It has been cracked.", "no_crack", DEFECT),
    ("It is frayed and cracked.", "no_crack", DEFECT),
    ("One of them is leaking.", "no_leak", DEFECT),
    ("Both are leaking.", "no_leak", DEFECT),
    ("One lug nut is missing.", "complete", DEFECT),
    ("We are missing one here.", "complete", DEFECT),
    ("No, it is leaking.", "no_leak", DEFECT),
    ("It's secure but it's leaking.", "no_leak", DEFECT),
    ("It's not cracked but it's leaking.", "no_leak", DEFECT),
    ("The left one isn't bent, the right one is cracked.", "no_crack", DEFECT),
    ("Checking for dents, and it's leaking.", "no_leak", DEFECT),
    ("Make sure it's not bent, but this one is leaking.", "no_leak", DEFECT),
    ("The hose is not only leaking, it's cracked.", "no_leak", DEFECT),
    bug("It's not bent but leaking.", "no_leak", DEFECT, why="nothing is stated after a bare 'but'"),
    bug("There are no dents but some cracks.", "no_crack", DEFECT, why="nor here"),
    bug("I'm missing a lug nut here.", "complete", DEFECT, why="'I'm' states nothing"),
    bug(
        "I check for bends and the hose is leaking.", "no_leak", DEFECT,
        why="the check reaches over 'and the hose is'",
    ),
    # a good state
    ("It is secure.", "secure", SOUND),
    ("Mounted and secure with no leaks.", "secure", SOUND),
    ("It has to be tight.", "secure", SOUND),
    ("It should be secure.", "secure", SOUND),
    ("It is not only tight but also clean.", "secure", SOUND),
    ("It's not bent and secure.", "secure", SOUND),
    ("I'd make sure that it's tight.", "secure", SOUND),
    ("It's not leaking it's tight.", "secure", SOUND),
    ("It is not loose on either end and secure.", "secure", SOUND),
    ("It's not secure.", "secure", DEFECT),
    ("It isn't tight.", "secure", DEFECT),
    ("They are not mounted.", "secure", DEFECT),
    # reasons, suppositions, questions, things in general
    ("If it were leaking you'd see a wet streak.", "no_leak", IDLE),
    ("If it was cracked it could fail.", "no_crack", IDLE),
    ("If it's leaking, I'd report it.", "no_leak", IDLE),
    ("If it's not secure it could drop.", "secure", IDLE),
    ("When it's leaking you can hear it.", "no_leak", IDLE),
    ("Once it's worn down it has to be replaced.", "no_wear", IDLE),
    ("Unless it's cracked it's fine.", "no_crack", IDLE),
    ("It might be cracked.", "no_crack", IDLE),
    ("It would leak.", "no_leak", IDLE),
    ("It matters because a cracked belt slips.", "no_crack", IDLE),
    ("It matters, because a leak means the brakes fail.", "no_leak", IDLE),
    ("It's there so the kids don't fall on broken glass.", "no_break", IDLE),
    ("It's tight so it doesn't come loose.", "secure", IDLE),
    ("It's tight, otherwise it'd leak.", "no_leak", IDLE),
    ("It prevents leaks.", "no_leak", IDLE),
    ("We don't want any leaks.", "no_leak", IDLE),
    ("In case of a leak we'd stop.", "no_leak", IDLE),
    ("A leaking hose can cause brake failure.", "no_leak", IDLE),
    ("Cracks would let water in.", "no_crack", IDLE),
    ("I didn't check for leaks.", "no_leak", IDLE),
    ("I'm not checking for leaks.", "no_leak", IDLE),
    ("Is it leaking?", "no_leak", IDLE),
    ("Are there any cracks?", "no_crack", IDLE),
    ("What if it's cracked?", "no_crack", IDLE),
    ("Last week mine was leaking on the other bus.", "no_leak", IDLE),
    bug("Leaks are dangerous.", "no_leak", IDLE, why="faults in general before a plain 'are'"),
    bug("Cracked glass is dangerous.", "no_crack", IDLE, why="faults in general before 'is'"),
    bug("Any leaks must be reported.", "no_leak", IDLE, why="'any' alone is taken for 'no'"),
]  # fmt: skip


def polarities(utterance: Utterance, concept: str) -> set[Polarity]:
    return {c.polarity for c in utterance.conditions if c.concept == concept}


@pytest.mark.parametrize(("text", "concept", "polarity"), ROWS)
def test_polarity(said: Said, text: str, concept: str, polarity: Polarity) -> None:
    heard = polarities(said(text), concept)
    if text.startswith("It's tight so it"):
        assert heard == {SOUND, IDLE}  # the claim, and the reason after it
    else:
        assert heard == {polarity}


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("It's not cracked but it's leaking.", {"no_crack": SOUND, "no_leak": DEFECT}),
        ("No leaks. ", {"no_leak": SOUND}),
        ("No leaks, secure, not cracked.", {"no_leak": SOUND, "secure": SOUND, "no_crack": SOUND}),
        ("It's clean because glare hides cracks.", {"clean": SOUND, "no_crack": IDLE}),
        ("If it's cracked we stop, so I check that it's not bent.", {"no_crack": IDLE, "no_bend": SOUND}),
        ("It matters, because a leak is bad; it is not cracked.", {"no_leak": IDLE, "no_crack": SOUND}),
    ],
)  # fmt: skip
def test_each_condition_of_a_sentence_has_its_own(
    said: Said, text: str, expected: dict[str, Polarity]
) -> None:
    heard = {concept: polarities(said(text), concept) for concept in expected}
    assert heard == {concept: {polarity} for concept, polarity in expected.items()}


# --- properties ----------------------------------------------------------------------------------

FAULTS = {
    "cracked": "no_crack", "bent": "no_bend", "broken": "no_break", "leaking": "no_leak",
    "dented": "no_dent", "frayed": "no_fray", "torn": "no_cut", "rusted": "no_rust",
    "worn": "no_wear", "loose": "secure", "damaged": "no_damage", "missing": "complete",
    "punctured": "no_hole", "bulging": "no_bulge", "shifted": "no_shift", "separating": "no_separation",
}  # fmt: skip
GOOD = {"secure": "secure", "tight": "secure", "clean": "clean", "undamaged": "no_damage"}
SUBJECTS = st.sampled_from(["it", "the hose", "this one", "the left bracket", "that mount"])
BE = st.sampled_from(["is", "was"])
NOT = st.sampled_from(["{} not", "{}n't", "{} never"])


def be_sentence(subject: str, be: str, word: str) -> str:
    return f"{subject} {be} {word}."


@settings(max_examples=120, deadline=None)
@given(subject=SUBJECTS, be=BE, word=st.sampled_from(sorted(FAULTS)), no=NOT)
def test_a_negation_turns_a_defect_to_sound(
    said: Said, subject: str, be: str, word: str, no: str
) -> None:
    plain = polarities(said(be_sentence(subject, be, word)), FAULTS[word])
    turned = polarities(said(be_sentence(subject, no.format(be), word)), FAULTS[word])
    assert (plain, turned) == ({DEFECT}, {SOUND})


@settings(max_examples=60, deadline=None)
@given(subject=SUBJECTS, be=BE, word=st.sampled_from(sorted(GOOD)), no=NOT)
def test_a_negation_turns_a_good_state_to_a_defect(
    said: Said, subject: str, be: str, word: str, no: str
) -> None:
    plain = polarities(said(be_sentence(subject, be, word)), GOOD[word])
    turned = polarities(said(be_sentence(subject, no.format(be), word)), GOOD[word])
    assert (plain, turned) == ({SOUND}, {DEFECT})


@settings(max_examples=120, deadline=None)
@given(
    subject=SUBJECTS,
    word=st.sampled_from(sorted(FAULTS)),
    frame=st.sampled_from(
        ["if {} is {} it could fail.", "it matters because {} is {}.", "is it that {} is {}?"]
    ),
)
def test_a_supposed_fault_claims_nothing(said: Said, subject: str, word: str, frame: str) -> None:
    assert polarities(said(frame.format(subject, word)), FAULTS[word]) == {IDLE}


@settings(max_examples=120, deadline=None)
@given(
    subject=SUBJECTS,
    word=st.sampled_from(sorted(FAULTS)),
    frame=st.sampled_from(
        [
            "I check that {} is not {}.",
            "I'm making sure {} isn't {}.",
            "I'd see if {} is {}.",
            "{} should not be {}.",
        ]
    ),
)
def test_a_fault_looked_for_is_sound(said: Said, subject: str, word: str, frame: str) -> None:
    assert polarities(said(frame.format(subject, word)), FAULTS[word]) == {SOUND}


@settings(max_examples=80, deadline=None)
@given(words=st.lists(st.sampled_from(sorted(FAULTS)), min_size=2, max_size=4, unique=True))
def test_one_negation_holds_for_a_whole_list(said: Said, words: list[str]) -> None:
    listed = ", ".join(words[:-1]) + f" or {words[-1]}"
    denied, stated = said(f"It is not {listed}."), said(f"It is {' and '.join(words)}.")
    for word in words:
        assert polarities(denied, FAULTS[word]) == {SOUND}
        assert polarities(stated, FAULTS[word]) == {DEFECT}


# --- the functions by themselves ----------------------------------------------------------------


def judged(text: str, word: str, **flags: bool) -> Polarity:
    tokens = tokens_of(text)
    norms, breaks = [t.norm for t in tokens], [t.breaks for t in tokens]
    return polarity_of(norms, breaks, norms.index(word), **{"fault": True, **flags})


def test_a_denial_does_not_reach_over_a_but() -> None:
    assert judged("It is not bent and leaking", "leaking") == SOUND
    assert judged("It is not bent but leaking", "leaking") != SOUND


def test_a_split_pin_is_no_split(said: Said) -> None:
    assert polarities(said("The belt and those split pins are there."), "no_crack") == set()
    assert polarities(said("The belt is split."), "no_crack") == {DEFECT}


def test_a_question_is_idle_whatever_it_says() -> None:
    assert judged("It is leaking", "leaking") == DEFECT
    assert judged("It is leaking", "leaking", question=True) == IDLE


def test_fault_and_good_state_are_turned_the_other_way() -> None:
    assert judged("It is not tight", "tight", fault=False) == DEFECT
    assert judged("It is not tight", "tight", fault=True) == SOUND


@pytest.mark.parametrize(
    ("text", "word", "reason"),
    [
        ("It is tight because it slips", "slips", True),
        ("It is tight because it slips", "tight", False),
        ("It is tight since it slips", "slips", True),
        ("It is tight so that nobody falls", "falls", True),
        ("It is tight in case it slips", "slips", True),
        ("It is tight and it slips", "slips", False),
        ("It is tight because of dirt; it slips", "slips", False),
        ("Because it gets hot I check that it slips", "slips", False),
        ("So it is tight", "tight", False),
    ],
)
def test_explains(text: str, word: str, reason: bool) -> None:
    tokens = tokens_of(text)
    norms = [t.norm for t in tokens]
    assert explains(norms, [t.breaks for t in tokens], norms.index(word)) is reason
