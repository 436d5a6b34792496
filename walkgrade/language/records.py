"""Records of what was said, before it is tied to checklist items.

Conventions: token positions are half-open ``[first, last)`` within their utterance; times in
milliseconds; scores and probabilities in 0..1.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction


class Voice(StrEnum):
    """Who speaks; only the trainee earns."""

    TRAINEE = "trainee"
    OTHER = "other"


class Polarity(StrEnum):
    """What the speaker does with a condition.

    SOUND asserts or checks the good state; LISTED names the fault to look for without a verb;
    DEFECT states the fault; IDLE explains, supposes, asks or talks about something else.
    """

    SOUND = "sound"
    LISTED = "listed"
    DEFECT = "defect"
    IDLE = "idle"


@dataclass(frozen=True, slots=True, kw_only=True)
class Token:
    """One word piece. `norm` is lower case without punctuation; `breaks`: punctuation before it
    (``""``, ``","`` or ``";"``)."""

    text: str
    norm: str
    stem: str
    start: int
    end: int
    prob: float
    breaks: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PartMention:
    """A part name and the item ids it may mean.

    `sub`: it names a sub-part. `local`: one word of a longer name, enough only at its place
    ("chamber" at the brakes).
    """

    first: int
    last: int
    items: tuple[str, ...]
    name: str
    score: float
    sub: bool = False
    local: bool = False


class Drive(StrEnum):
    """What turns a part; a shaft counts with the gears, as in the vehicle profiles."""

    BELT = "belt"
    GEAR = "gear"


@dataclass(frozen=True, slots=True, kw_only=True)
class ConditionMention:
    """A condition of the lexicon with its polarity; `hedged` when said weakly; `drive` when the
    words plainly state what turns the part."""

    first: int
    last: int
    concept: str
    polarity: Polarity
    score: float
    hedged: bool = False
    drive: Drive | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PatternMention:
    """A requirement's own wording, met; `requirement` is its id."""

    first: int
    last: int
    requirement: str
    score: float
    idle: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """A number as one reading of the words; a range when `low` and `high` differ."""

    low: Fraction
    high: Fraction
    unit: str
    comparator: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberMention:
    """A number with its readings, likeliest first ("for 30 seconds": 30 s, or 4/32)."""

    first: int
    last: int
    readings: tuple[Quantity, ...]
    score: float
    idle: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceMention:
    """Words that say where the trainee is or which one is meant; `places` are place ids."""

    first: int
    last: int
    places: tuple[str, ...]
    strength: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Utterance:
    """A sentence-sized piece of speech with everything found in it, in token order."""

    id: str
    text: str
    start: int
    end: int
    gap: int
    voice: Voice
    tokens: tuple[Token, ...]
    parts: tuple[PartMention, ...] = ()
    conditions: tuple[ConditionMention, ...] = ()
    patterns: tuple[PatternMention, ...] = ()
    numbers: tuple[NumberMention, ...] = ()
    places: tuple[PlaceMention, ...] = ()
    cues: tuple[tuple[str, int, int], ...] = ()

    def quote(self, first: int, last: int) -> str:
        """The words of tokens ``[first, last)``."""
        return " ".join(token.text for token in self.tokens[first:last])

    def has(self, cue: str) -> bool:
        """True when a phrase cue of that name stands in the utterance."""
        return any(name == cue for name, _, _ in self.cues)


@dataclass(frozen=True, slots=True, kw_only=True)
class Opinion:
    """How likely an utterance answers a question of the checklist, by the trained readers.

    `row` is the utterance's place in the reading; `targets` are the ids the question stands for:
    requirements (`kind` ``told``), items (``named``) or places (``place``); `told` and `against`
    are the probabilities of a right answer and of one that contradicts. Of kind ``number``, `told`
    is the probability that the utterance's number `mention` speaks to the targets' limit; of kind
    ``same``, that the targets (items) are said to be as they were told at another place.
    """

    row: int
    kind: str
    targets: tuple[str, ...]
    told: float
    against: float = 0.0
    mention: int = -1


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """The whole talk, utterance by utterance, read against one checklist.

    `recognised`: the words come from a recogniser, not from a keyboard. `opinions` are those of
    the run reader, by row; empty where none was asked.
    """

    checklist: str
    utterances: tuple[Utterance, ...]
    duration: int
    timed: bool
    recognised: bool = False
    opinions: tuple[Opinion, ...] = ()
