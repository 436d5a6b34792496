"""Records of a sheet to print, before it is HTML or PDF.

Conventions: texts are plain, never markup; numbers are written as they are read aloud
(`limit_text`); lines are counted from 1 through the whole sheet, sources from 1 through the card.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Kind(StrEnum):
    """Which sheet; the value is the word used on the command line and in file names."""

    CLIPBOARD = "clipboard"
    STUDY = "study"
    NUMBERS = "numbers"


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """One thing that must (or, not `needed`, may) be said; `number` is empty without a limit."""

    id: str
    says: str
    number: str
    needed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One item of the checklist. `step` counts within an ordered section, 0 elsewhere."""

    number: int
    item: str
    title: str
    marks: tuple[Mark, ...]
    why: str
    caution: str
    critical: bool
    step: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """Lines that follow each other at one place of the walk."""

    place: str
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A section: its time (``4 min``), and whether its lines are steps in order."""

    title: str
    minutes: str
    ordered: bool
    stops: tuple[Stop, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A source of the number card: what it is, and how well it was seen."""

    number: int
    title: str
    section: str
    standing: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A number with everything it holds for; `sources` are numbers of `Source`.

    `wordings` are the checklist's own words for it; not `needed`: nothing is lost without it;
    `critical`: it is needed, and a miss commonly fails the test.
    """

    quantity: str
    limit: str
    parts: tuple[str, ...]
    wordings: tuple[str, ...]
    sources: tuple[int, ...]
    needed: bool
    critical: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Names:
    """What is already known when the sheet is made; what is empty becomes a line to write on."""

    trainee: str = ""
    instructor: str = ""
    date: str = ""
    vehicle: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """Everything on one sheet. `blocks` are empty on the number card, `figures` elsewhere."""

    kind: Kind
    title: str
    checklist: str
    edition: str
    mark: str
    vehicle: str
    minutes: str
    items: int
    names: Names
    notice: str
    cautions: tuple[str, ...]
    blocks: tuple[Block, ...] = ()
    figures: tuple[Figure, ...] = ()
    sources: tuple[Source, ...] = ()
