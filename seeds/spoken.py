"""Written text -> text that a speech synthesiser reads the way a trainee speaks.

Decides: how fractions, units, abbreviations and ranges sound. The words do not change, so labels
and word counts of a script stay true for its sound.
Public: `spoken`.
"""

from __future__ import annotations

import re

_ONES = (
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
    "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen",
    "nineteen",
)  # fmt: skip
_PARTS = {2: "half", 4: "quarter", 8: "eighth", 16: "sixteenth", 32: "thirty-second"}
_LETTERS = {
    "psi": "P S I", "abs": "A B S", "def": "D E F", "dpf": "D P F", "cdl": "C D L",
    "led": "L E D", "dot": "D O T", "rpm": "R P M", "id": "I D", "bc": "B C",
}  # fmt: skip
_WORDS = {
    "mph": "miles an hour", "tyre": "tire", "tyres": "tires", "lbs": "pounds", "lb": "pounds",
    "vs": "versus",
}  # fmt: skip
_CAPITALS_ONLY = {"def", "led", "dot", "id", "bc"}
"""Abbreviations that are also words: spelled out only when written in capitals."""

_FRACTION = re.compile(r"(?:(\d+) )?(\d+)/(\d+)(?: (in|inch|inches)\b)?")


def spoken(text: str) -> str:
    """`text` with "4/32" as "four thirty-seconds", "psi" as "P S I", "120-140" as "120 to 140".

    >>> spoken("At least 4/32 in, below 55-60 psi.")
    'At least four thirty-seconds of an inch, below 55 to 60 P S I.'
    """
    text = _FRACTION.sub(_say_fraction, text)
    text = re.sub(r"(\d)\s*[-–]\s*(\d)", r"\1 to \2", text)
    text = re.sub(r"\b([A-Z])-0(\d)\b", lambda m: f"{m[1]} oh {_ONES[int(m[2])]}", text)
    text = text.replace("°", " degrees").replace("&", "and")
    return re.sub(r"\b[A-Za-z]+\b", _say_word, text)


def _say_fraction(match: re.Match[str]) -> str:
    whole, top, bottom = match.group(1), int(match.group(2)), int(match.group(3))
    name = _PARTS.get(bottom)
    if name is None:
        said = f"{top} over {bottom}"
    elif (whole or bottom == 2) and top == 1:
        said = f"a {name}" if whole else f"one {name}"
    else:
        said = f"{_small(top)} {_plural(name) if top != 1 else name}"
    if whole:
        said = f"{_small(int(whole))} and {said}"
    if match.group(4):
        said += " inches" if whole else " of an inch"
    return said


def _small(number: int) -> str:
    return _ONES[number] if number < len(_ONES) else str(number)


def _plural(name: str) -> str:
    return "halves" if name == "half" else f"{name}s"


def _say_word(match: re.Match[str]) -> str:
    word = match.group(0)
    key = word.lower()
    if key in _LETTERS and (key not in _CAPITALS_ONLY or word.isupper()):
        return _LETTERS[key]
    said = _WORDS.get(key)
    if said is None:
        return word
    return said.capitalize() if word[0].isupper() else said
