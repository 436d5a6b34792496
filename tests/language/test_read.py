"""A whole talk: voices, times, typed and recognised words, the same result every time."""

from __future__ import annotations

import time
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from language_lines import LENGTH, STEP, checklist, item, talk

from walkgrade.checklists.records import Checklist
from walkgrade.language.read import read
from walkgrade.language.records import Reading, Voice
from walkgrade.language.run_reader import load_run_reader
from walkgrade.speech.records import Transcript

SMALL = checklist(item("yard.hose", "hose"), item("yard.drum", "drum"))


def voices(reading: Reading) -> list[Voice]:
    return [utterance.voice for utterance in reading.utterances]


T, O = Voice.TRAINEE, Voice.OTHER  # noqa: E741 - a column of letters reads best


@pytest.mark.parametrize(
    ("transcript", "expected"),
    [
        (talk(("Trainee", "The hose is tight."), ("Examiner", "The drum is tight.")), [T, O]),
        (talk(("Examiner", "Go ahead."), ("Ana", "The hose is tight.")), [O, T]),
        # labelled: the way of talking does not matter
        (talk(("Trainee", "Go ahead and show me the hose."), ("Examiner", "Fine.")), [T, O]),
        (talk(("A", "The hose is tight and dry."), ("B", "Fine.")), [T, O]),
        # one label, or none: an examiner is known by the way they talk
        (talk("Go ahead and show me the hose.", "The hose is tight."), [O, T]),
        (talk(("Ana", "Please show me the hose."), ("Ana", "The hose is tight.")), [O, T]),
        (talk("The hose is tight."), [T]),
        # a talk of other roles only: nobody earns
        (talk(("Examiner", "The hose is tight."), ("Instructor", "The drum too.")), [O, O]),
        (talk(("Examiner", "The hose is tight.")), [O]),
        pytest.param(
            talk(("Trainee", "Go ahead and show me the hose.")), [T],
            marks=pytest.mark.xfail(
                strict=True, reason="a label that says trainee counts only beside another label"
            ),
        ),
        # a stretch without label beside a labelled trainee is not the trainee's
        (talk(("Trainee", "The hose is tight."), ("", "The drum too.")), [T, O]),
    ],
)  # fmt: skip
def test_who_speaks(transcript: Transcript, expected: list[Voice]) -> None:
    assert voices(read(transcript, SMALL)) == expected


ROLES = ["Examiner", "examiner 2", "Instructor", "Bystander", "Coach"]
LINES = st.sampled_from(["The hose is tight.", "Go ahead.", "No leaks, it is dry.", "Is it?"])


@settings(max_examples=60, deadline=None)
@given(lines=st.lists(st.tuples(st.sampled_from([*ROLES, "Trainee"]), LINES), max_size=8))
def test_another_voice_is_never_the_trainee(lines: list[tuple[str, str]]) -> None:
    heard = voices(read(talk(*lines), SMALL))
    for (speaker, _), voice in zip(lines, heard, strict=True):
        assert voice is O or speaker == "Trainee"
    if len({speaker for speaker, _ in lines}) > 1:
        assert heard == [T if speaker == "Trainee" else O for speaker, _ in lines]


@settings(max_examples=60, deadline=None)
@given(
    lines=st.lists(LINES, min_size=1, max_size=6),
    pauses=st.lists(st.sampled_from([0, 100, 2600, 60000]), max_size=6),
    origin=st.sampled_from(["typed", "recognised"]),
)
def test_times_are_those_of_the_words_and_run_forwards(
    lines: list[str], pauses: list[int], origin: str
) -> None:
    transcript = talk(*lines, pauses=pauses, origin=origin)
    reading = read(transcript, SMALL)
    at = 0
    for number, utterance in enumerate(reading.utterances, start=1):
        assert utterance.id == f"u{number}"
        assert at <= utterance.start < utterance.end <= reading.duration
        assert utterance.gap == utterance.start - at
        assert utterance.tokens[0].start == utterance.start
        assert utterance.tokens[-1].end == utterance.end
        at = utterance.end
    words = [word for segment in transcript.segments for word in segment.words]
    assert reading.utterances[0].start == words[0].start
    assert reading.utterances[-1].end == words[-1].end


def test_overlapping_voices_leave_no_negative_gap() -> None:
    first, second = talk(("Trainee", "The hose is tight."), ("Examiner", "Fine.")).segments
    early = replace(
        second, start=0, end=LENGTH, words=(replace(second.words[0], start=0, end=LENGTH),)
    )
    transcript = replace(talk("x"), segments=(first, early), duration=4 * STEP)
    assert [utterance.gap for utterance in read(transcript, SMALL).utterances] == [0, 0]


@pytest.mark.parametrize(
    ("origin", "texts"),
    [
        ("typed", ["The hose", "is tight"]),  # a typed line is a sentence
        ("recognised", ["The hose is tight"]),  # a recogniser's segment need not be
    ],
)
def test_typed_lines_and_recognised_segments(origin: str, texts: list[str]) -> None:
    reading = read(talk("The hose", "is tight", origin=origin), SMALL)
    assert [utterance.text for utterance in reading.utterances] == texts


def test_the_reading_says_where_it_came_from() -> None:
    reading = read(talk("The hose is tight.", timed=False), SMALL)
    assert (reading.checklist, reading.timed, reading.duration) == ("small", False, 4 * STEP)
    assert read(talk("The hose."), SMALL).timed


def test_what_is_found_is_laid_on_the_words() -> None:
    (utterance,) = read(talk("The hose is tight, no leaks, and 4/32."), SMALL).utterances
    assert [utterance.quote(m.first, m.last) for m in utterance.parts] == ["hose"]
    assert {c.concept for c in utterance.conditions} >= {"secure", "no_leak"}
    assert [utterance.quote(n.first, n.last) for n in utterance.numbers] == ["4/32."]


def test_no_words_are_no_utterances() -> None:
    empty = replace(talk("x"), segments=())
    assert read(empty, SMALL).utterances == ()


def test_an_examiner_who_answers_says_nothing_for_the_trainee() -> None:
    reading = read(
        talk(("Examiner", "So the hose is tight, no leaks?"), ("Trainee", "Um, yes.")), SMALL
    )
    first, second = reading.utterances
    assert (first.voice, second.voice) == (O, T)
    assert second.conditions == () == second.parts


def test_the_whole_reading_can_be_kept_in_a_set() -> None:
    """A list that slipped into a record would make this fail."""
    reading = read(talk("The hose is tight, 4/32, same as the front.", "Okay."), SMALL)
    assert hash(reading) == hash(
        read(talk("The hose is tight, 4/32, same as the front.", "Okay."), SMALL)
    )


def test_the_run_reader_gives_opinions(classic: Checklist) -> None:
    transcript = talk("Front axle.", "The steering box is bolted on tight.")
    assert read(transcript, classic).opinions == ()
    opinions = read(transcript, classic, load_run_reader()).opinions
    sure = {target for one in opinions if one.told > 0.8 for target in one.targets}
    assert "front-axle.steering-box.secure" in sure
    assert "front-axle.brake-chamber.secure" not in sure
    assert {one.kind for one in opinions} <= {"told", "named", "place", "number"}


# --- speed ----------------------------------------------------------------------------------------

PARTS = ["brake chamber", "petman arm", "slack adjuster", "leaf springs", "alternater", "lug nuts"]
CLAIMS = [
    "it is mounted tight and not cracked, bent or broken",
    "there are no leaks and I don't see anything dripping from the fittings",
    "I'd check that it is not loose because if it falls off we lose the brakes",
    "it should move no more than one inch when I pull on it by hand with the brakes released",
    "and the tread is at least four thirty-seconds of an inch, evenly worn, same as the other side",
]


def long_talk(words: int) -> Transcript:
    """A talk of about `words` words in sentences that are all different."""
    lines, count = [], 0
    while count < words:
        part, claim = PARTS[len(lines) % len(PARTS)], CLAIMS[len(lines) % len(CLAIMS)]
        lines.append(f"Number {len(lines)}, the {part} over here, {claim}.")
        count += len(lines[-1].split())
    return talk(*lines)


def test_a_run_is_read_in_well_under_three_seconds(classic: Checklist) -> None:
    """Half an hour of talk without the run reader; the goal on two quiet cores is 1 s."""
    read(talk("Warm up the vocabulary."), classic)
    transcript = long_talk(2600)
    begun = time.perf_counter()
    reading = read(transcript, classic)
    assert time.perf_counter() - begun < 3.0
    assert sum(len(utterance.tokens) for utterance in reading.utterances) >= 2600
