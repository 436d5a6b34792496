"""The language data shipped with the package, loaded once.

Decides: nothing; turns conditions.yaml, phrases.yaml and hearing.yaml into pattern books.
Public: `Lexicon`, `load_lexicon`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Any

import yaml

from walkgrade.language.patterns import Pattern, PatternBook, compile_pattern
from walkgrade.language.words import norm, stem


@dataclass(frozen=True, slots=True)
class Lexicon:
    """Pattern books and confusions of the trade's speech.

    `faults` and `sounds` find condition concepts; `phrases` finds cues (hedges, blanket claims,
    carry-over, ...); `telling` are stems that are a condition by themselves,
    `generic` words of part names that tell no part alone; `groups` maps cue labels ``group:NAME`` to row prefixes; `confusions` maps a
    heard word to the stems it may stand for with weights.
    """

    concepts: frozenset[str]
    sounds: PatternBook
    faults: PatternBook
    phrases: PatternBook
    groups: tuple[tuple[str, tuple[str, ...]], ...]
    confusions: dict[str, dict[str, float]]
    words: frozenset[str]
    telling: frozenset[str]
    generic: frozenset[str]
    common: frozenset[str]


def _data(name: str) -> dict[str, Any]:
    text = resources.files("walkgrade.language").joinpath("data", name).read_text("utf-8")
    loaded = yaml.load(text, Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader))
    return dict(loaded)


def _common_words() -> frozenset[str]:
    text = resources.files("walkgrade.language").joinpath("data", "common.txt").read_text("utf-8")
    lines = [line for line in text.splitlines() if not line.startswith("#")]
    return frozenset(lines)


def _compile(entries: dict[str, list[str]]) -> list[Pattern]:
    return [compile_pattern(str(text), label) for label, texts in entries.items() for text in texts]


@lru_cache(maxsize=1)
def load_lexicon() -> Lexicon:
    """The shipped lexicon (about 0.1 s the first time)."""
    conditions = _data("conditions.yaml")["concepts"]
    sounds = _compile({c: body.get("sound") or [] for c, body in conditions.items()})
    faults = _compile({c: body.get("fault") or [] for c, body in conditions.items()})
    phrase_data = _data("phrases.yaml")
    phrases = _compile(phrase_data["cues"])
    groups = phrase_data["groups"]
    phrases += _compile({f"group:{name}": body["says"] for name, body in groups.items()})
    hearing = _data("hearing.yaml")["words"]
    confusions = {
        heard: {stem(norm(meant)): float(weight) for meant, weight in choices.items()}
        for heard, choices in hearing.items()
    }
    every = [*sounds, *faults, *phrases]
    words = frozenset(w for p in every for s in p.slots for option in s for w in option)
    return Lexicon(
        concepts=frozenset(conditions),
        sounds=PatternBook(sounds),
        faults=PatternBook(faults),
        phrases=PatternBook(phrases),
        groups=tuple((name, tuple(body["rows"])) for name, body in groups.items()),
        confusions=confusions,
        words=words,
        telling=frozenset(
            option[0]
            for p in (*sounds, *faults)
            if len(p.slots) == 1
            for option in p.slots[0]
            if len(option) == 1
        ),
        generic=frozenset(stem(word) for word in str(phrase_data["generic"]).split()),
        common=_common_words(),
    )
