"""The spaCy pipeline: a blank English pipeline with the trade's own components.

Decides: in which order an utterance is read. Each component states what it needs and what it
adds; a test holds the built pipeline to that.
Conventions: one spaCy `Doc` per utterance; findings lie in `doc.user_data` under the component's
name, as tuples of the records of `walkgrade.language.records`.
Public: `build_pipeline`, `Vocabulary`, `COMPONENTS`.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from spacy import blank
from spacy.language import Language
from spacy.tokens import Doc

from walkgrade.checklists.records import Checklist
from walkgrade.language.drives import drive_claims, with_drives
from walkgrade.language.lexicon import Lexicon
from walkgrade.language.numbers import find_numbers
from walkgrade.language.parts import PartIndex, heard_forms
from walkgrade.language.patterns import Match, PatternBook, WordIndex, compile_pattern
from walkgrade.language.places import PlaceIndex
from walkgrade.language.polarity import explains, polarity_of
from walkgrade.language.records import (
    ConditionMention,
    PartMention,
    PatternMention,
    Polarity,
    Token,
)
from walkgrade.language.untold import comes_back, tells_nothing
from walkgrade.language.words import greets

COMPONENTS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("words", ()),
    ("cues", ("words",)),
    ("parts", ("words",)),
    ("places", ("words", "cues")),
    ("conditions", ("words", "cues", "parts")),
    ("patterns", ("words", "cues")),
    ("numbers", ("cues", "parts")),
)
_VEHICLES = {"truck", "bus", "rig", "car", "pickup", "van", "tractor"}
_OURS = {
    "it",
    "that",
    "this",
    "here",
    "there",
    "the",
    "what",
    "driver",
    "today",
    "school",
    "she",
    "he",
}
_FLUIDS = {"oil", "coolant", "fluid", "antifreez", "air", "water", "fuel", "def"}
_STUFF = {
    "no",
    "any",
    "or",
    "leaking",
    "leak",
    "leaks",
    "of",
    "dripping",
    "losing",
    "grease",
    "nor",
}
_COMPARED = {
    "as",
    "like",
    "matches",
    "mirrors",
    "match",
    "than",
    "said",
    "told",
    "described",
    "mentioned",
    "did",
}
_IDLE_CUES = ("other-vehicle", "unchecked")
"""Words after a statement that make it no question."""


class Vocabulary:
    """What the components of one pipeline share: the checklist's vocabulary and the lexicon."""

    def __init__(self, checklist: Checklist, lexicon: Lexicon) -> None:
        self.lexicon = lexicon
        self.vehicle = frozenset({"with", "a", *re.findall(r"[a-z]+", checklist.vehicle.lower())})
        self.parts = PartIndex(
            checklist, lexicon.common | lexicon.words, lexicon.telling | lexicon.generic
        )
        self.places = PlaceIndex(checklist)
        wordings = [
            compile_pattern(text, requirement.id)
            for item in checklist.items
            for requirement in item.requirements
            for text in requirement.patterns
        ]
        self.wordings = PatternBook(wordings)
        said = {word for one in wordings for slot in one.slots for o in slot for word in o}
        self.known = frozenset(self.parts.words | lexicon.words | said)
        self._forms: dict[str, dict[str, float]] = {}

    def heard(self, tokens: Sequence[Token]) -> list[dict[str, float]]:
        """For each token the stems it may stand for."""
        lexicon = self.lexicon
        return heard_forms(tokens, lexicon.confusions, self.known, lexicon.common, self._forms)


@Language.component("walkgrade_words", requires=["doc.user_data"], assigns=["doc.user_data"])
def words(doc: Doc) -> Doc:
    """Index the tokens by every stem they may stand for."""
    reader: Vocabulary = doc.user_data["vocabulary"]
    tokens: tuple[Token, ...] = doc.user_data["tokens"]
    doc.user_data["words"] = WordIndex(reader.heard(tokens), [bool(t.breaks) for t in tokens])
    return doc


@Language.component("walkgrade_cues")
def cues(doc: Doc) -> Doc:
    """Find phrase cues: hedges, blanket claims, carry-over, other vehicles."""
    found = doc.user_data["vocabulary"].lexicon.phrases.find(doc.user_data["words"])
    cues = [(m.label, m.first, m.last) for m in found if m.score >= 0.9 and not _ours(doc, m)]
    cues += _somebody_elses(doc.user_data["tokens"])
    doc.user_data["cues"] = tuple(sorted(set(cues), key=lambda cue: (cue[1], cue[2], cue[0])))
    return doc


@Language.component("walkgrade_parts")
def parts(doc: Doc) -> Doc:
    """Find part names; those in a reason ("because ...") name nothing."""
    data = doc.user_data
    found = data["vocabulary"].parts.find(data["tokens"], data["words"])
    norms = [token.norm for token in data["tokens"]]
    breaks = [token.breaks for token in data["tokens"]]
    data["parts"] = tuple(
        m for m in found if not explains(norms, breaks, m.first) and not _as_stuff(m, norms)
    )
    return doc


@Language.component("walkgrade_places")
def places(doc: Doc) -> Doc:
    """Find place cues; one compared with ("same as the front") hardly says where the trainee is."""
    data = doc.user_data
    norms = [token.norm for token in data["tokens"]]
    same = min((first for name, first, _ in data["cues"] if name == "same"), default=len(norms))
    data["places"] = tuple(
        replace(cue, strength=0.1 * cue.strength) if _compared(norms, same, cue.first) else cue
        for cue in data["vocabulary"].places.find(data["words"])
    )
    return doc


@Language.component("walkgrade_conditions")
def conditions(doc: Doc) -> Doc:
    """Find conditions of the lexicon and settle their polarity."""
    data = doc.user_data
    lexicon: Lexicon = data["vocabulary"].lexicon
    hedged = any(name == "hedge" for name, _, _ in data["cues"])
    found = []
    norms = [token.norm for token in data["tokens"]]
    for book, fault in ((lexicon.sounds, False), (lexicon.faults, True)):
        for match in book.find(data["words"]):
            if greets(norms, match.first):
                continue
            if match.label != "by_gauge" and _inside(match.first, match.last, data["parts"]):
                continue
            polarity = _polarity(doc, match.head, fault=fault)
            found.append(
                ConditionMention(
                    first=match.first,
                    last=match.last,
                    concept=match.label,
                    score=match.score,
                    polarity=polarity,
                    hedged=hedged,
                )
            )
    found += _bare_on(data["tokens"], hedged)
    data["conditions"] = _settle(_drives(doc, found, hedged))
    return doc


def _drives(doc: Doc, found: list[ConditionMention], hedged: bool) -> list[ConditionMention]:
    """Take in what is said of drives, but for explanations and talk of another vehicle."""
    norms = [token.norm for token in doc.user_data["tokens"]]
    breaks = [token.breaks for token in doc.user_data["tokens"]]
    for claim in drive_claims(norms, breaks):
        idle = _elsewhere(doc, claim.first) or explains(norms, breaks, claim.first)
        found = with_drives(found, (claim,), idle=idle, hedged=hedged)
    return found


def _elsewhere(doc: Doc, first: int) -> bool:
    """True for a question, and for what follows a turn to another vehicle."""
    return _away(doc, first) or bool(doc.user_data["question"])


def _away(doc: Doc, first: int) -> bool:
    """True for what follows a turn to another vehicle, or to what was not looked at."""
    return any(name in _IDLE_CUES and at <= first + 3 for name, at, _ in doc.user_data["cues"])


@Language.component("walkgrade_patterns")
def patterns(doc: Doc) -> Doc:
    """Find the requirements' own wordings."""
    found = doc.user_data["vocabulary"].wordings.find(doc.user_data["words"])
    doc.user_data["patterns"] = tuple(
        PatternMention(
            first=m.first,
            last=m.last,
            requirement=m.label,
            score=m.score,
            idle=_polarity(doc, m.head, fault=False) == Polarity.IDLE,
        )
        for m in found
    )
    return doc


@Language.component("walkgrade_numbers")
def numbers(doc: Doc) -> Doc:
    """Find numbers with unit and comparator."""
    data = doc.user_data
    tokens: tuple[Token, ...] = data["tokens"]
    question, vehicle = data["question"], data["vocabulary"].vehicle
    data["numbers"] = tuple(
        replace(
            m,
            idle=(_away(doc, m.first) and not comes_back(m, tokens))
            or tells_nothing(m, tokens, data["parts"], question=question, vehicle=vehicle),
        )
        for m in find_numbers([t.norm for t in tokens], [t.breaks for t in tokens])
    )
    return doc


def _ours(doc: Doc, cue: Match) -> bool:
    """True for "with a trailer" where the vehicle inspected is a tractor with a trailer."""
    said = {token.norm for token in doc.user_data["tokens"][cue.first : cue.last]}
    return cue.label == "other-vehicle" and said <= doc.user_data["vocabulary"].vehicle


def _somebody_elses(tokens: tuple[Token, ...]) -> list[tuple[str, int, int]]:
    """ "Dwayne's truck": a vehicle with an owner is not the one being inspected."""
    return [
        ("other-vehicle", at, at + 2)
        for at, (one, two) in enumerate(zip(tokens, tokens[1:], strict=False))
        if one.norm.endswith("'s") and one.norm[:-2] not in _OURS and two.norm in _VEHICLES
    ]


def _compared(norms: list[str], same: int, at: int) -> bool:
    """True when the place at token `at` is what the speaker compares with."""
    between = norms[min(same, max(0, at - 3)) : at]
    return bool(_COMPARED & set(between)) or between[-2:] in (["same", "the"], ["ditto", "the"])


def _as_stuff(mention: PartMention, norms: list[str]) -> bool:
    """True when a fluid is what leaks or soils ("leaking oil", "no have oil"), not the part."""
    before = norms[max(0, mention.first - 2) : mention.first]
    return mention.name in _FLUIDS and bool(_STUFF & set(before))


def _polarity(doc: Doc, first: int, *, fault: bool) -> Polarity:
    data = doc.user_data
    if _away(doc, first):
        return Polarity.IDLE
    tokens: tuple[Token, ...] = data["tokens"]
    norms = [token.norm for token in tokens]
    breaks = [token.breaks for token in tokens]
    return polarity_of(norms, breaks, first, fault=fault, question=data["question"])


def _inside(first: int, last: int, parts: tuple[Any, ...]) -> bool:
    """True when the words lie within a part's name ("light" of "brake light")."""
    return any(not (m.sub or m.local) and m.first <= first and last <= m.last for m in parts)


def _bare_on(tokens: tuple[Token, ...], hedged: bool) -> list[ConditionMention]:
    """ "Both on.", ", on,": an "on" that is a clause by itself says that a lamp works."""
    found = []
    for at, token in enumerate(tokens):
        opens = (
            at == 0
            or token.breaks
            or tokens[at - 1].norm in ("both", "all", "they're", "it's", "and")
        )
        closes = (
            at + 1 == len(tokens) or bool(tokens[at + 1].breaks) or tokens[at + 1].norm == "and"
        )
        if token.norm in ("on", "lit", "going") and opens and closes:
            found.append(
                ConditionMention(
                    first=at,
                    last=at + 1,
                    concept="works",
                    polarity=Polarity.SOUND,
                    score=0.9,
                    hedged=hedged,
                )
            )
    return found


def _settle(found: list[ConditionMention]) -> tuple[ConditionMention, ...]:
    """One mention per concept and stretch: the longer match decides the polarity."""
    kept: list[ConditionMention] = []
    for mention in sorted(found, key=lambda m: (m.first - m.last, m.first, m.concept, m.polarity)):
        clash = any(
            mention.concept == k.concept and mention.first < k.last and k.first < mention.last
            for k in kept
        )
        if not clash:
            kept.append(mention)
    return tuple(sorted(kept, key=lambda m: (m.first, m.last, m.concept)))


def build_pipeline() -> Language:
    """A blank English pipeline; each `Doc` brings its vocabulary, tokens and `question` flag."""
    nlp = blank("en")
    for name, _ in COMPONENTS:
        nlp.add_pipe(f"walkgrade_{name}")
    return nlp
