"""Suggestions that tie a school's own words to what walkgrade knows.

Decides: which known part, condition, number or name a row of a sheet probably means, and how sure
that is: ``sure`` (the same words, or what the grader itself hears in them and the known part asks
for), ``likely`` (near words, or heard but not asked of that part), ``guess`` (nothing known; the
words themselves).
Conventions: pure; nothing replaces what a person has written. Scores are 0..100 of `rapidfuzz`.
Public: `Sure`, `KnownPart`, `Hear`, `Link`, `known_parts`, `link_part`, `link_conditions`,
`own_wording`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import lru_cache
from typing import Protocol

from rapidfuzz import fuzz, process
from snowballstemmer import stemmer

from walkgrade.checklists.records import Checklist
from walkgrade.checklists.schema import PartEntry, RequirementEntry

_SURE, _LIKELY = 92, 78
_SAME_WORDS = 95
_MOST_NAMES = 5
_MOST_HITS = 25
_SMALL_WORDS = """
a an and any are as at be by do does never nothing for from has have if in into is it its my not no
of off on or out so that the their then there they this to up we with without all both each
"""
_SMALL = frozenset(_SMALL_WORDS.split())
_DENIALS = "no|not|never|without|nothing"


class Sure(StrEnum):
    """How sure a suggestion is."""

    SURE = "sure"
    LIKELY = "likely"
    GUESS = "guess"


class HeardLine(Protocol):
    """What is heard in a written line: concept ids, in the order of the words."""

    @property
    def concepts(self) -> tuple[str, ...]: ...


Hear = Callable[[str], HeardLine]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class KnownPart:
    """A part of the shipped files with what is asked of it; `near`: the checklist that the sheet
    is made like has it."""

    id: str
    title: str
    names: tuple[str, ...]
    requirements: tuple[RequirementEntry, ...]
    near: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """A suggestion: `values` to take, how sure, and what it was taken from (for the list)."""

    sure: Sure
    values: tuple[str, ...]
    source: str
    kind: str = "conditions"


def known_parts(
    parts: dict[str, PartEntry], like: Checklist | None = None
) -> tuple[KnownPart, ...]:
    """Parts with a title and names, as one may link to them; those of `like` are near."""
    of_like = [frozenset(item.names) for item in like.items] if like is not None else []
    return tuple(
        KnownPart(
            id=name,
            title=re.sub(r",?\s*\{place\}", "", part.title),
            names=tuple(part.names),
            requirements=tuple(e for e in (*(part.requires or ()), *(part.optional or ())) if e),
            near=any(names.issuperset(part.names) for names in of_like),
        )
        for name, part in parts.items()
        if part.title and part.names
    )


def link_part(
    title: str, names: Iterable[str], known: Sequence[KnownPart]
) -> tuple[KnownPart, Sure] | None:
    """The known part that an item with this title and these names probably is."""
    forms, owners = _forms(tuple(known))
    best, found = 0.0, list[KnownPart]()
    for text in (title, *tuple(names)[:_MOST_NAMES]):
        words = _words(text)
        hits = process.extract(
            words, forms, scorer=fuzz.ratio, score_cutoff=max(best, _LIKELY), limit=_MOST_HITS
        )
        if hits and hits[0][1] > best:
            best = hits[0][1]
            found = [owners[at] for _, score, at in hits if score == best]
    if not found:
        return None
    chosen = [part for part in found if part.near] or found
    # "Reds" are lamps outside and a lamp on the dash: both fit, so a person must say which.
    alone = len({part.title for part in chosen}) == 1
    return chosen[0], Sure.SURE if best >= _SURE and alone else Sure.LIKELY


@lru_cache(maxsize=4)
def _forms(known: tuple[KnownPart, ...]) -> tuple[list[str], list[KnownPart]]:
    """Every title and name as comparable words, and the part behind each."""
    pairs = [
        (words, part)
        for part in known
        for text in (part.title, *part.names)
        if (words := _words(text))
    ]
    return [words for words, _ in pairs], [part for _, part in pairs]


def link_conditions(say: str, linked: tuple[KnownPart, Sure] | None, hear: Hear) -> Link | None:
    """What earns `say`: conditions, else the wording of the same line at the known part; never
    surer than the part itself."""
    link = _link_conditions(say, linked[0] if linked is not None else None, hear)
    if link is not None and linked is not None and linked[1] is not Sure.SURE:
        return replace(link, sure=Sure.LIKELY)
    return link


def _link_conditions(say: str, part: KnownPart | None, hear: Hear) -> Link | None:
    heard = hear(say).concepts
    if part is not None:
        same = _same_line(say, part)
        if same is not None and same.concepts:
            return Link(sure=Sure.SURE, values=tuple(same.concepts), source=f"{part.id}.{same.id}")
        if same is not None and same.patterns:
            where = f"{part.id}.{same.id}"
            return Link(sure=Sure.LIKELY, values=tuple(same.patterns), source=where, kind="wording")
        asked = {concept for req in part.requirements for concept in req.concepts or ()}
        shared = tuple(concept for concept in heard if concept in asked)
        if shared:
            # Any one of several earns the line, which is not what "snug and not frayed" means.
            sure = Sure.SURE if len(shared) == 1 else Sure.LIKELY
            return Link(sure=sure, values=shared, source=f"heard, and asked of {part.id}")
    if heard:
        return Link(sure=Sure.LIKELY, values=heard, source="heard in these words")
    return None


def own_wording(say: str) -> str:
    """A pattern of the words themselves, for a line in which nothing known is heard."""
    words = re.findall(r"[a-z0-9][a-z0-9'/-]*", say.casefold())
    strong = [word for word in words if word not in _SMALL] or words or ["said"]
    # "does not hop" must not be earned by "it hops".
    denied = [_DENIALS] if set(words) & set(_DENIALS.split("|")) else []
    return " ".join(dict.fromkeys((*denied, *strong[:4])))


def _same_line(say: str, part: KnownPart) -> RequirementEntry | None:
    words = _words(say)
    for requirement in part.requirements:
        if fuzz.ratio(words, _words(requirement.says)) >= _SAME_WORDS:
            return requirement
    return None


@lru_cache(maxsize=20_000)
def _words(text: str) -> str:
    """Stems, sorted, without small words when others are left."""
    plain = re.findall(r"[a-z0-9/]+", text.casefold())
    kept = [word for word in plain if word not in _SMALL or len(plain) == 1]
    return " ".join(sorted(stemmer("english").stemWords(kept or plain)))
