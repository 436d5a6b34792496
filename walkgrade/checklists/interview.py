"""A talk with a person that ends in a vehicle profile.

Decides: what counts as an answer, how one goes back, and how the file reads.
Conventions: nothing is printed or read here: `ask` shows a text and gives the line typed, `tell`
shows a text. An answer is a number, the word of the profile, what it means, or the beginning of
either; an empty line takes the answer offered, ``?`` explains, ``back`` goes one question back.
Public: `interview`, `understood`, `offers`, `profile_text`, `profile_id`.
"""

from __future__ import annotations

import json
import re
import textwrap
from collections.abc import Callable, Mapping, Sequence

import yaml

from walkgrade.checklists.questions import question_for
from walkgrade.checklists.records import Checklist, Question, VehicleProfile

Ask = Callable[[str], str]
Tell = Callable[[str], None]

BACK, EXPLAIN = "back", "?"


def offers(checklist: Checklist, like: VehicleProfile | None = None) -> dict[str, str]:
    """The answer offered for each key: that of a vehicle like it, else the usual one."""
    known = dict(like.fitted) if like else {}
    return {
        rule.key: known[rule.key]
        if known.get(rule.key) in rule.values
        else question_for(rule, checklist).usual
        for rule in checklist.profile_keys
    }


def interview(
    checklist: Checklist, offered: Mapping[str, str], ask: Ask, tell: Tell
) -> dict[str, str]:
    """Ask for every key of the checklist, let the person change any, and give the answers.

    Raises
    ------
    EOFError, KeyboardInterrupt : whatever `ask` raises goes through; nothing is kept.
    """
    questions = [question_for(rule, checklist) for rule in checklist.profile_keys]
    answers = dict(offered)
    at = 0
    while at < len(questions):
        at = max(0, at + _one(questions, at, answers, ask, tell))
    while questions:
        tell(_summary(questions, answers))
        said = ask("Enter keeps all this, a number changes that answer: ").strip()
        if not said:
            break
        chosen = len(questions) if said.casefold() == BACK else _count(said)
        if 1 <= chosen <= len(questions):
            _one(questions, chosen - 1, answers, ask, tell)
        else:
            tell(f"{said!r} is no number from 1 to {len(questions)}.")
    return answers


def _one(
    questions: Sequence[Question], at: int, answers: dict[str, str], ask: Ask, tell: Tell
) -> int:
    """Ask until there is an answer; how many questions to go on (1) or back (-1)."""
    question = questions[at]
    meanings = dict(question.meanings)
    tell(f"\n{at + 1} of {len(questions)}. {question.ask}")
    choices = [f"{n} = {told}" for n, told in enumerate(meanings.values(), start=1)]
    tell("   " + "   ".join(choices))
    while True:
        said = ask(f"   Enter = {meanings[answers[question.key]]} > ").strip()
        if said.casefold() == BACK:
            return -1
        if said == EXPLAIN:
            tell(_wrapped(question.hint or "There is no more to say about it; ask your mechanic."))
            continue
        value = understood(question, said) if said else answers[question.key]
        if value:
            answers[question.key] = value
            return 1
        tell(f"   {said!r} is none of these: a number from 1 to {len(meanings)}, or the word.")


def understood(question: Question, said: str) -> str:
    """The value that was meant, or nothing when it is none or more than one."""
    values = [value for value, _ in question.meanings]
    said = said.strip().casefold()
    if said.isdecimal():
        return values[_count(said) - 1] if 1 <= _count(said) <= len(values) else ""
    spoken = {value: (value.casefold(), told.casefold()) for value, told in question.meanings}
    whole = [value for value, forms in spoken.items() if said in forms]
    begun = [v for v, forms in spoken.items() if said and any(f.startswith(said) for f in forms)]
    found = whole or begun
    return found[0] if len(found) == 1 else ""


def _wrapped(text: str) -> str:
    return textwrap.fill(text, 90, initial_indent="   ", subsequent_indent="   ")


def _count(said: str) -> int:
    """A number of one to three digits, else 0."""
    return int(said) if said.isdecimal() and len(said) <= 3 else 0


def _summary(questions: Sequence[Question], answers: Mapping[str, str]) -> str:
    lines = [
        f"  {number:>3}  {question.ask} {dict(question.meanings)[answers[question.key]]}"
        for number, question in enumerate(questions, start=1)
    ]
    return "\n".join(("", "Your answers:", *lines))


def profile_id(name: str) -> str:
    """An id from the name of a file: lower-case words joined by ``-``."""
    return re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-") or "vehicle"


def profile_text(profile: VehicleProfile, checklist: Checklist) -> str:
    """The file of a profile, each answer under its question."""
    lines = [
        f"# What this vehicle has, for {checklist.id} and every checklist with the same keys.",
        "format: 1",
        f"id: {_scalar(profile.id)}",
        f"title: {json.dumps(profile.title, ensure_ascii=False)}",
        "fitted:" if profile.fitted else "fitted: {}",
    ]
    asked = {rule.key: question_for(rule, checklist).ask for rule in checklist.profile_keys}
    for key, value in profile.fitted:
        lines += [f"  # {' '.join(asked[key].split())}", f"  {key}: {_scalar(value)}"]
    return "\n".join(lines) + "\n"


def _scalar(value: str) -> str:
    """`value` as it is where YAML reads it back as the same text, else quoted."""
    plain = re.fullmatch(r"[A-Za-z0-9][\w -]*", value) and yaml.safe_load(value) == value
    return value if plain and value == value.strip() else json.dumps(value, ensure_ascii=False)
