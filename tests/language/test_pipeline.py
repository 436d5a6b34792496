"""The built pipeline: order and needs of its components, and what each adds."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from typing import Any

import pytest
from language_lines import checklist, item, requirement, talk, tokens_of
from spacy.tokens import Doc

from walkgrade.checklists.records import Checklist
from walkgrade.language.lexicon import load_lexicon
from walkgrade.language.pipeline import COMPONENTS, Vocabulary, build_pipeline
from walkgrade.language.read import read
from walkgrade.language.records import Polarity, Utterance

Said = Callable[[str], Utterance]
GIVEN = {"vocabulary", "tokens", "question"}


class Watched(dict[str, Any]):
    """A dictionary that notes which keys were read and written."""

    def __init__(self, **values: Any) -> None:
        super().__init__(**values)
        self.read: set[str] = set()
        self.written: set[str] = set()

    def __getitem__(self, key: str) -> Any:
        self.read.add(key)
        return super().__getitem__(key)

    def __setitem__(self, key: str, value: Any) -> None:
        self.written.add(key)
        super().__setitem__(key, value)


def test_the_pipeline_is_built_in_the_declared_order() -> None:
    assert build_pipeline().pipe_names == [f"walkgrade_{name}" for name, _ in COMPONENTS]


def test_every_need_is_met_by_an_earlier_component() -> None:
    made: set[str] = set()
    for name, needs in COMPONENTS:
        assert set(needs) <= made, name
        made.add(name)


def test_components_read_only_what_they_declare(classic: Checklist) -> None:
    """Held against the running pipeline, so the declaration cannot go stale."""
    nlp = build_pipeline()
    tokens = tokens_of("The brake hose on the rear axle is tight at 4/32 inch, same as the front")
    doc = Doc(nlp.vocab, words=[token.text for token in tokens])
    data = Watched(vocabulary=Vocabulary(classic, load_lexicon()), tokens=tokens, question=False)
    doc.user_data = data
    for (name, needs), (_, component) in zip(COMPONENTS, nlp.pipeline, strict=True):
        data.read.clear()
        data.written.clear()
        component(doc)
        assert data.written == {name}
        unmet = data.read - GIVEN - {name} - set(needs)
        assert not unmet, f"{name} reads {unmet}"


def test_the_same_words_give_the_same_findings(classic: Checklist) -> None:
    transcript = talk("The alternater is tight, no cracks, and 4/32 on the rear axle.")
    assert read(transcript, classic) == read(transcript, classic)


def concepts(utterance: Utterance) -> set[str]:
    return {c.concept for c in utterance.conditions}


@pytest.mark.parametrize(
    ("text", "concept", "heard"),
    [
        ("It is tight.", "secure", True),
        ("Tight fit, that.", "secure", True),
        ("Both on.", "works", True),
        ("The lamp is on.", "works", True),
        ("All lit.", "works", True),
        # the words of a part's name are no condition of it
        ("The red reflectors.", "red", False),
        pytest.param(
            "The low air warning buzzer.", "warns", False,
            marks=pytest.mark.xfail(
                strict=True, reason="'warning buzzer' reaches over the end of 'low air warning'"
            ),
        ),
        ("Mounting bolts.", "secure", False),
        ("Spring hangers.", "secure", False),
    ],
)  # fmt: skip
def test_conditions(said: Said, text: str, concept: str, heard: bool) -> None:
    assert (concept in concepts(said(text))) is heard


def test_one_mention_a_concept_and_stretch(said: Said) -> None:
    """ "Not mounted" and "mounted" overlap: the longer match decides, once."""
    utterance = said("It has no loose, cracked or broken clamps, and no leaks, and no leaks.")
    by_concept: dict[str, list[tuple[int, int]]] = {}
    for mention in utterance.conditions:
        by_concept.setdefault(mention.concept, []).append((mention.first, mention.last))
    assert len(by_concept["no_leak"]) == 2
    for spans in by_concept.values():
        assert all(a[1] <= b[0] for a, b in pairwise(spans))


@pytest.mark.parametrize(
    ("text", "hedged"),
    [
        ("I think it is tight.", True),
        ("It is probably tight.", True),
        ("It is tight.", False),
        ("I think it is tight. It is clean.", None),
    ],
)
def test_a_hedge_marks_the_conditions_of_its_sentence(
    classic: Checklist, text: str, hedged: bool | None
) -> None:
    marks = [
        {c.hedged for c in utterance.conditions}
        for utterance in read(talk(text), classic).utterances
    ]
    assert marks == ([{True}, {False}] if hedged is None else [{hedged}])


@pytest.mark.parametrize(
    ("text", "cue"),
    [
        ("Same as the other side.", "same"),
        ("Everything looks good under here.", "blanket"),
        ("I forgot to say something.", "late"),
        ("My old truck had a leak.", "other-vehicle"),
        ("Dwayne's truck had a leak.", "other-vehicle"),
        ("I'm not going to check that.", "unchecked"),
        ("Sorry, that's wrong.", "retract"),
        ("They're all tight.", "plural"),
        ("It's tight.", "singular"),
        ("Enough tread.", "vague"),
        ("I guess so.", "hedge"),
    ],
)
def test_cues(said: Said, text: str, cue: str) -> None:
    assert said(text).has(cue)


@pytest.mark.parametrize(
    "text", ["It's the bus I mean.", "The school's bus.", "This driver's bus."]
)
def test_this_vehicle_is_no_other(said: Said, text: str) -> None:
    assert not said(text).has("other-vehicle")


@pytest.mark.parametrize(
    ("text", "idle"),
    [
        ("The tread is 4/32.", False),
        ("Is the tread 4/32?", True),
        ("My old truck had 2/32.", True),
        ("The tread is 4/32 on the left front, my old truck had less.", False),
        ("Volts fourteen, isn't it?", False),
        ("The tread is 4/32, right?", False),
        ("Is the tread 4/32 on the right?", True),
        pytest.param(
            "If the tread is less than 4/32 it fails.", True,
            marks=pytest.mark.xfail(
                strict=True, reason="numbers of a supposition are not idle, so they stand wrong"
            ),
        ),
    ],
)  # fmt: skip
def test_idle_numbers(said: Said, text: str, idle: bool) -> None:
    (number,) = said(text).numbers
    assert number.idle is idle


PUMPED = checklist(
    item(
        "step.pump", "pump it", requirements=[requirement("step.pump.fan", patterns=("fan pedal",))]
    )
)


@pytest.mark.parametrize(
    ("text", "idle"),
    [
        ("I fan the pedal.", False),
        ("I'd fan the pedal.", False),
        ("Do I fan the pedal?", True),
        ("If you fan the pedal it drops.", True),
        ("That is because you fan the pedal.", True),
    ],
)
def test_wordings_are_idle_where_they_only_explain(text: str, idle: bool) -> None:
    (utterance,) = read(talk(text), PUMPED).utterances
    (pattern,) = utterance.patterns
    assert (pattern.requirement, pattern.idle) == ("step.pump.fan", idle)


def test_every_mention_lies_in_its_utterance(classic: Checklist) -> None:
    reading = read(
        talk(
            "Pitman arm, drag link, tie rod: tight, not bent, 4/32 on the rear axle, same as that."
        ),
        classic,
    )
    for utterance in reading.utterances:
        size = len(utterance.tokens)
        for group in (utterance.parts, utterance.conditions, utterance.numbers, utterance.places):
            assert group
            assert all(0 <= m.first < m.last <= size for m in group)
            assert list(group) == sorted(group, key=lambda m: m.first)
        assert all(0 <= first < last <= size for _, first, last in utterance.cues)
        assert {c.polarity for c in utterance.conditions} <= set(Polarity)
