"""Who is speaking: labels, and an examiner in an unlabelled talk."""

from __future__ import annotations

import pytest
from language_lines import norms_of

from walkgrade.language.voices import sounds_like_examiner, trainee_labels


@pytest.mark.parametrize(
    ("labels", "trainee"),
    [
        ([], set()),
        ([""], {""}),
        (["Trainee", "Examiner"], {"Trainee"}),
        (["candidate 2", "other"], {"candidate 2"}),
        (["STUDENT", "Instructor", ""], {"STUDENT"}),
        (["Driver", "Trainee", "Coach"], {"Driver", "Trainee"}),
        # one neutral label beside other roles
        (["Ana", "Examiner"], {"Ana"}),
        (["", "Examiner"], {""}),
        (["Examiner", "Instructor"], set()),
        # several neutral labels: who speaks most, and what has no label
        (["A", "B", "B"], {"B"}),
        (["A", "A", "B", "", ""], {"A", ""}),
        (["S1", "S0"], {"S1"}),  # a tie is settled the same way every time
    ],
)
def test_labels(labels: list[str], trainee: set[str]) -> None:
    assert trainee_labels(labels) == trainee
    assert trainee_labels(reversed(labels)) == trainee


EXAMINER = [
    "Go ahead and start with the engine.",
    "Okay, show me the emergency exits.",
    "Tell me about the brakes.",
    "Now you may start the bus.",
    "Whenever you're ready.",
    "When you're ready, begin.",
    "Could you explain the slack adjuster?",
    "What do you check on your tires?",
    "I'd like you to do the light check next.",
    "Please continue.",
    "Alright, please turn on the left signal.",
    "Give me the air brake test.",
    "You can start now.",
]
TRAINEE = [
    "The belt is tight.",
    "I would check that you can see through it.",
    "You want to check it for leaks.",
    "Do I show this one?",
    "Start the engine and watch the gauges.",
    "Turn the key on, engine off.",
    "Is the lamp out?",
    "Show that it is not bent.",
    "Walk up to the bus from the front.",
    "Can I start over?",
    "If it leaks you lose your steering.",
    "Okay.",
    "",
]


@pytest.mark.parametrize("text", EXAMINER)
def test_the_examiner_is_heard_by_the_way_they_talk(text: str) -> None:
    assert sounds_like_examiner(norms_of(text), question=text.endswith("?"))


@pytest.mark.parametrize("text", TRAINEE)
def test_a_trainee_is_not_taken_for_the_examiner(text: str) -> None:
    words = norms_of(text) if text else []
    assert not sounds_like_examiner(words, question=text.endswith("?"))
