"""How a person is asked for the keys of a vehicle profile.

Decides: which question belongs to a key, and how a key without one is asked.
Conventions: pure. Questions are shared by several kinds of vehicle, so one for a key that a
checklist has not is passed over; one for a key it has must name allowed words only.
Public: `question_faults`, `questions`, `question_for`.
"""

from __future__ import annotations

from collections.abc import Iterator

from walkgrade.checklists.gather import Gathered
from walkgrade.checklists.marked_yaml import Route
from walkgrade.checklists.records import Checklist, Fitted, Question
from walkgrade.errors import Fault

_Meanings = tuple[tuple[str, str], ...]
_USUAL_WORDS: dict[tuple[str, ...], tuple[str, _Meanings]] = {
    ("fitted", "none"): ("Does it have this: {}?", (("fitted", "yes"), ("none", "no"))),
    ("asked", "not-asked"): (
        "Does your examiner or school ask for this: {}?",
        (("asked", "yes"), ("not-asked", "no")),
    ),
}


def question_faults(gathered: Gathered) -> Iterator[Fault]:
    """A `usual` or an answer that the key does not allow."""
    keys = _keys(gathered)
    for marked, model in gathered.files:
        for key, entry in model.profile_questions.items() if model else ():
            if key not in keys:
                continue
            here = ("profile_questions", key)
            given: list[tuple[Route, str]] = [(("answers", word), word) for word in entry.answers]
            given += [(("usual",), entry.usual)] if entry.usual else []
            for route, word in given:
                if word not in keys[key]:
                    text = f"{word!r} is not one of: {', '.join(keys[key])}"
                    yield marked.fault((*here, *route), text)


def questions(gathered: Gathered) -> tuple[Question, ...]:
    """The questions for the keys of the checklist, in the order of the keys."""
    entries = {
        key: entry
        for _, model in gathered.files
        if model
        for key, entry in model.profile_questions.items()
    }
    return tuple(
        Question(
            key=key,
            ask=entries[key].ask,
            hint=entries[key].hint or "",
            usual=entries[key].usual or "",
            meanings=tuple(entries[key].answers.items()),
        )
        for key in _keys(gathered)
        if key in entries
    )


def question_for(rule: Fitted, checklist: Checklist) -> Question:
    """The question for a key, with a meaning for every allowed word and a usual answer.

    A key without a question of its own is asked in its own words.
    """
    own = {question.key: question for question in checklist.questions}.get(rule.key)
    name = rule.key.replace("_", " ")
    ask, meanings = _USUAL_WORDS.get(rule.values, ("Which of these is it: {}?", ()))
    own = own or Question(key=rule.key, ask=ask.format(name))
    told = {**dict(meanings), **dict(own.meanings)}
    return Question(
        key=rule.key,
        ask=own.ask,
        hint=own.hint,
        usual=own.usual if own.usual in rule.values else rule.values[0],
        meanings=tuple((value, told.get(value, value.replace("-", " "))) for value in rule.values),
    )


def _keys(gathered: Gathered) -> dict[str, list[str]]:
    return {
        key: values
        for _, model in gathered.files
        if model
        for key, values in model.profile_keys.items()
    }
