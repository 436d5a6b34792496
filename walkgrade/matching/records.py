"""Records of the match: each checklist requirement with its outcome and the evidence for it.

Conventions: times in milliseconds ``[start, end)``; confidence in 0..1 is the estimated chance
that the outcome is right; reasons are plain sentences for the trainee.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Outcome(StrEnum):
    """Outcome of a requirement."""

    SAID = "said"
    UNCLEAR = "unclear"
    NOT_SAID = "not said"
    CONTRADICTED = "contradicted"


class ItemOutcome(StrEnum):
    """Outcome of an item."""

    COMPLETE = "complete"
    INCOMPLETE = "incomplete"
    NAMED_ONLY = "named only"
    MISSED = "missed"
    WRONG = "wrong"
    NEEDS_LISTENING = "needs listening"


class NumberVerdict(StrEnum):
    """How a spoken number stands against its limit."""

    RIGHT = "right"
    OUT_OF_RANGE = "out of range"
    WRONG_DIRECTION = "wrong direction"
    WRONG_UNIT = "wrong unit"


class RemarkKind(StrEnum):
    """Weak phrasing and other things worth a word."""

    HEDGE = "hedge"
    VAGUE = "vague amount"
    BLANKET = "blanket claim"
    NO_CONDITION = "part without condition"
    NO_PART = "condition without part"
    DEFECT = "defect stated"
    PROFILE = "contradicts the vehicle profile"


class StepState(StrEnum):
    """How a procedure step was done."""

    IN_ORDER = "in order"
    SWAPPED = "out of order"
    UNFINISHED = "unfinished"
    MISSING = "missing"


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """A quote with its time; `confidence` in 0..1."""

    utterance: str
    quote: str
    start: int
    end: int
    confidence: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RequirementFinding:
    """A requirement with its outcome; `carried_from` is an item id when carried over."""

    requirement: str
    required: bool
    outcome: Outcome
    confidence: float
    evidence: tuple[Evidence, ...]
    reason: str
    carried_from: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemFinding:
    """An applicable item with its outcome. `named` holds where it was named. `late`: earned in a
    late addition ("I forgot ...") outside its place. `close_call`: counted as complete, but so
    nearly not that a person should confirm it by ear."""

    item: str
    outcome: ItemOutcome
    confidence: float
    named: tuple[Evidence, ...]
    requirements: tuple[RequirementFinding, ...]
    late: bool = False
    close_call: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberFinding:
    """A spoken number read against a limit. `said` and `accepted` are display texts."""

    item: str
    requirement: str
    said: str
    value_low: str
    value_high: str
    unit: str
    comparator: str
    verdict: NumberVerdict
    accepted: str
    evidence: Evidence


@dataclass(frozen=True, slots=True, kw_only=True)
class Remark:
    """A weak phrase; `items` are the items it touches (may be empty)."""

    kind: RemarkKind
    note: str
    evidence: Evidence
    items: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """A stay in one place; a walk is the tuple of visits in time order."""

    place: str
    start: int
    end: int


@dataclass(frozen=True, slots=True, kw_only=True)
class StepFinding:
    """One step of an ordered procedure; `position` is its spoken place, 0 if absent."""

    section: str
    item: str
    step: int
    state: StepState
    position: int
    evidence: tuple[Evidence, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """An utterance as shown in the transcript of the report.

    `voice` is ``trainee`` or ``other``; `section` is where it was attributed (may be empty);
    `items` are the items it gave evidence for.
    """

    id: str
    text: str
    start: int
    end: int
    voice: str
    place: str
    section: str
    items: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Findings:
    """Everything the match found for one attempt, in checklist order."""

    checklist: str
    profile: str
    items: tuple[ItemFinding, ...]
    numbers: tuple[NumberFinding, ...]
    remarks: tuple[Remark, ...]
    visits: tuple[Visit, ...]
    steps: tuple[StepFinding, ...]
    lines: tuple[Line, ...]
