"""What a recogniser is told to expect.

Decides: which words of the trade a checklist's run is likely to hold, and how they are told. A
recogniser that has read them writes "pitman arm" where it would write "pit man farm"; it also
writes on in the manner of what it read, so they stand in plain sentences with full stops: after a
mere list it writes lists, and nobody can tell where a statement ends (docs/decisions/0006).
Conventions: names of parts only, never a condition, so that nothing is told that would earn.
Public: `expected_words`.
"""

from __future__ import annotations

import re
from functools import lru_cache
from importlib import resources

import yaml

from walkgrade.checklists.records import Checklist, Item, Kind
from walkgrade.language.lexicon import load_lexicon

MOST = 42
"""Names told; faster-whisper drops what is beyond 223 word pieces."""
_OPENINGS = ("This is the", "Now the", "Here, the", "Next the", "There, the")
_TOGETHER = 3
_LONGEST = 3  # words of a title that is told


def expected_words(checklist: Checklist) -> tuple[str, ...]:
    """Sentences that name at most `MOST` parts: words of the trade that the checklist's items use,
    then titles of items that hold a word of no everyday English."""
    names = expected_names(checklist)
    groups = [names[at : at + _TOGETHER] for at in range(0, len(names), _TOGETHER)]
    return tuple(
        f"{_OPENINGS[at % len(_OPENINGS)]} {_joined(group)}." for at, group in enumerate(groups)
    )


def expected_names(checklist: Checklist) -> tuple[str, ...]:
    """The parts that `expected_words` names."""
    used = {word for item in checklist.items for text in _texts(item) for word in _words(text)}
    told = [phrase for phrase in _trade() if set(_words(phrase)) <= used]
    known = {word for phrase in told for word in _words(phrase)}
    everyday = {_plain(word) for word in load_lexicon().common}
    for item in checklist.items:
        done = any(requirement.kind == Kind.ACTION for requirement in item.requirements)
        if done or len(item.title.split()) > _LONGEST:
            continue  # something done, or a description: not a part's name
        rare = {word for word in _words(item.title) if word not in everyday}
        if rare - known:
            told.append(item.title.lower())
            known |= rare
    return tuple(told[:MOST])


def _joined(names: tuple[str, ...]) -> str:
    """ "a, the b and the c"."""
    *first, last = names
    return ", the ".join(first) + (" and the " if first else "") + last


def _texts(item: Item) -> list[str]:
    return [item.title, *item.names, *(r.says for r in item.requirements)]


def _words(text: str) -> list[str]:
    return [_plain(word) for word in re.findall(r"[a-z]+(?:'[a-z]+)?", text.lower())]


def _plain(word: str) -> str:
    """Singular and plural alike."""
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word


@lru_cache(maxsize=1)
def _trade() -> tuple[str, ...]:
    place = resources.files("walkgrade.language").joinpath("data", "expected.yaml")
    return tuple(str(phrase) for phrase in yaml.safe_load(place.read_text("utf-8")))
