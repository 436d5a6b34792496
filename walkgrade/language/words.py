"""How two words are compared: stem, spelling and sound.

Conventions: words are compared in lower case; likeness is 0..1, 1 for the same stem.
Public: `norm`, `stem`, `sound`, `likeness`, `greets`.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import jellyfish
import snowballstemmer
from rapidfuzz.distance import JaroWinkler, Levenshtein

_TIMES_OF_DAY = (("morning",), ("afternoon",), ("evening",), ("night",), ("day",))
_STEMMER = snowballstemmer.stemmer("english")
_MARKS = ',;:!?"()[]{}\u2026\u201c\u201d\u2018\u00ab\u00bb*_~`<>|\\'
# Spellings of the same word that no stemmer joins.
_SPELLINGS = {
    "tyre": "tire", "tyres": "tire", "gauges": "gauge", "gage": "gauge", "gages": "gauge",
    "gauge": "gauge", "axle": "axle", "axles": "axle", "nothing": "nothing", "tired": "tired",
    "ok": "okay", "lights": "light", "axel": "axle", "axels": "axle",
    "braking": "brake", "colour": "color", "centre": "center", "kerb": "curb",
    "teeth": "tooth", "leaves": "leaf", "leafs": "leaf", "missing": "miss", "lit": "light",
    "torn": "tear", "frayed": "fray", "worn": "worn", "bent": "bend", "broke": "broken",
    "broken": "broken", "shown": "show", "cut": "cut", "lamps": "light", "lamp": "light",
    "flashers": "flasher", "headlamp": "headlight", "headlamps": "headlight",
    "fastened": "fasten", "nothing's": "nothing",
    "fusee": "fusee", "fusees": "fusee", "fuse": "fuse", "fuses": "fuse",
    "seal": "seal", "seals": "seal", "alternator": "alternator", "alternators": "alternator", "lining": "lining", "linings": "lining",
    "stepping": "stepping", "lighting": "lighting", "spacing": "spacing", "housing": "housing",
}  # fmt: skip


@lru_cache(maxsize=50000)
def norm(text: str) -> str:
    """Lower case without surrounding punctuation; typographic apostrophes made plain.

    A leading point stays before a digit (".5"), as do a leading dash, slash or apostrophe.
    """
    word = text.lower().replace("\u2019", "'").lstrip(_MARKS).rstrip(_MARKS + ".-/$")
    if word.startswith(".") and not word[1:2].isdigit():
        word = word.lstrip("." + _MARKS)
    return word


@lru_cache(maxsize=20000)
def stem(word: str) -> str:
    """The stem by which words are looked up (Porter2, with the trade's irregular forms)."""
    word = word.lower()
    if word in _SPELLINGS:
        return _SPELLINGS[word]
    base = _STEMMER.stemWord(word.removesuffix("'s"))
    return str(_SPELLINGS.get(base, base))


@lru_cache(maxsize=20000)
def sound(word: str) -> str:
    """Phonetic key (metaphone) of a word or of words run together."""
    return str(jellyfish.metaphone(word))


@lru_cache(maxsize=200000)
def likeness(heard: str, meant: str) -> float:
    """How alike two words are in spelling and sound, 0..1.

    Half from spelling, half from the phonetic key; short words must sound the same.
    """
    if heard == meant:
        return 1.0
    if min(len(heard), len(meant)) < 4:
        return 0.0
    spelling = max(
        Levenshtein.normalized_similarity(heard, meant), JaroWinkler.similarity(heard, meant) - 0.1
    )
    key_a, key_b = sound(heard), sound(meant)
    sounds = Levenshtein.normalized_similarity(key_a, key_b) if key_a and key_b else 0.0
    return 0.5 * spelling + 0.5 * sounds


def greets(norms: Sequence[str], at: int) -> bool:
    """True for the "good" of "good morning", which says nothing of a part."""
    return norms[at] == "good" and tuple(norms[at + 1 : at + 2]) in _TIMES_OF_DAY
