"""Records of the grade: everything a report shows about one attempt.

Decides: which figures a grade holds. Nothing here computes; see the modules beside it.
Conventions: times in whole milliseconds of the recording, half-open ``[start, end)``; spans named
``*_ms`` without a place on the recording (budget, speaking time) are lengths; None means
"not known", never zero. Texts are plain sentences for the trainee.
Public: Policy, Review, Tally, SectionGrade, ItemGrade, Listen, NumberGrade, NumberGap, Phrasing,
Order, OrderIssue, ZoneReturn, CriticalMiss, Drill, Target, Grade.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from walkgrade.checklists.records import Basis
from walkgrade.errors import InputError
from walkgrade.grading.pace_records import Pace
from walkgrade.matching.records import (
    Evidence,
    ItemOutcome,
    NumberFinding,
    Remark,
    RemarkKind,
    StepFinding,
    StepState,
)

TARGET_OWNER = "The school's own practice target. It is not an official pass mark."


@dataclass(frozen=True, slots=True, kw_only=True)
class Policy:
    """How points are given; every value is the school's choice.

    `points_per_item` 0..100; `item_points` overrides it for single items, as (item id, points);
    `target_percent` 0..100 of the possible points; `silence_ms` is the shortest silence listed,
    `long_pause_ms` the shortest pause taken out of the speaking time, both over 0; `rate_low` and
    `rate_high` in words per minute; `drills` 0..50.

    Raises
    ------
    InputError ``I70`` for a value outside its range.
    """

    id: str = "one-point-an-item"
    title: str = "One point for each complete item; late additions count"
    points_per_item: int = 1
    item_points: tuple[tuple[str, int], ...] = ()
    late_earns: bool = True
    target_percent: int = 80
    target_owner: str = TARGET_OWNER
    silence_ms: int = 8_000
    long_pause_ms: int = 2_000
    rate_low: int = 100
    rate_high: int = 150
    drills: int = 5

    def __post_init__(self) -> None:
        ranges = (
            ("points_per_item", self.points_per_item, 0, 100),
            ("target_percent", self.target_percent, 0, 100),
            ("silence_ms", self.silence_ms, 1, 3_600_000),
            ("long_pause_ms", self.long_pause_ms, 1, 3_600_000),
            ("rate_low", self.rate_low, 1, 1_000),
            ("rate_high", self.rate_high, self.rate_low, 1_000),
            ("drills", self.drills, 0, 50),
            *((f"item_points of {item}", points, 0, 100) for item, points in self.item_points),
        )
        for name, value, low, high in ranges:
            if not low <= value <= high:
                raise InputError(
                    "I70",
                    f"The grading policy sets {name} to {value}; allowed is {low} to {high}.",
                    "Correct the policy, or leave the value out to use the default.",
                )


class TargetState(StrEnum):
    """How the points stand against the school's target."""

    MET = "met"
    NOT_MET = "not met"
    OPEN = "open until the doubtful items are heard"
    NOTHING = "nothing to grade"


class DrillKind(StrEnum):
    """Why something is on the drill list."""

    CRITICAL_NUMBER = "wrong or missing number in a brake check or other critical item"
    ORDER = "steps out of order"
    CRITICAL = "critical item not complete"
    NUMBER = "wrong number"
    WRONG = "said the wrong way"
    PART_SAID = "named, but not everything said"
    MISSED = "not said"


@dataclass(frozen=True, slots=True, kw_only=True)
class Review:
    """An instructor's change of one item: both calls, who, when (ISO 8601 text) and why."""

    item: str
    old: ItemOutcome
    new: ItemOutcome
    who: str
    when: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """Counts over some items. `points` leaves doubtful items out, `points_if_confirmed` takes all
    of them as complete. `close_calls` are complete, but to be confirmed. Requirements counted are
    required ones."""

    items: int = 0
    complete: int = 0
    incomplete: int = 0
    named_only: int = 0
    missed: int = 0
    wrong: int = 0
    needs_listening: int = 0
    close_calls: int = 0
    late: int = 0
    points: int = 0
    points_if_confirmed: int = 0
    points_possible: int = 0
    requirements: int = 0
    requirements_said: int = 0
    requirements_unclear: int = 0

    @property
    def percent(self) -> float | None:
        """100 x points / points possible, to one decimal; None when nothing is possible."""
        return _percent(self.points, self.points_possible)

    @property
    def percent_if_confirmed(self) -> float | None:
        """The same with every doubtful item taken as complete."""
        return _percent(self.points_if_confirmed, self.points_possible)


def _percent(part: int, whole: int) -> float | None:
    return round(100 * part / whole, 1) if whole else None


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionGrade:
    """One section. `reached`: something of it was said; `time_ms` None when not timed."""

    section: str
    title: str
    procedure: bool
    reached: bool
    tally: Tally
    budget_ms: int
    time_ms: int | None
    over_ms: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemGrade:
    """One item. `outcome` is what counts, `heard` the outcome before any review; `missing` are
    the ids of required requirements not earned; `first_at`/`earned_at` the first word about it and
    the moment it was complete (None: never, or not timed). `close_call`: complete, to be confirmed
    by ear (not once reviewed)."""

    item: str
    section: str
    outcome: ItemOutcome
    heard: ItemOutcome
    points: int
    points_possible: int
    critical: bool
    late: bool
    reviewed: bool
    close_call: bool
    missing: tuple[str, ...]
    first_at: int | None
    earned_at: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Listen:
    """An item a person must hear, with the moment to play (None: nothing to play). `counted`: it
    counts as complete unless the person says otherwise."""

    item: str
    title: str
    section: str
    critical: bool
    counted: bool
    confidence: float
    reason: str
    quote: str
    start: int | None
    end: int | None
    requirements: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberGrade:
    """A spoken number with what is accepted and by which source. `repaired`: a right statement
    elsewhere in the run makes up for this wrong one."""

    finding: NumberFinding
    title: str
    says: str
    right: bool
    repaired: bool
    critical: bool
    basis: tuple[Basis, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberGap:
    """A required number that was not given."""

    item: str
    requirement: str
    title: str
    says: str
    accepted: str
    critical: bool
    basis: tuple[Basis, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Phrasing:
    """All weak phrases of one kind, with advice."""

    kind: RemarkKind
    advice: str
    remarks: tuple[Remark, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderIssue:
    """A procedure step missing, swapped or unfinished. `position` in the spoken order, 0 absent."""

    section: str
    item: str
    title: str
    step: int
    state: StepState
    position: int
    critical: bool
    note: str
    evidence: tuple[Evidence, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneReturn:
    """A place visited more often than the checklist's own walk asks for. `starts`: the visits
    beyond the first `planned` ones."""

    place: str
    title: str
    visits: int
    planned: int
    starts: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """Steps of the procedures, what went wrong there, and walking back and forth."""

    steps: tuple[StepFinding, ...]
    issues: tuple[OrderIssue, ...]
    returns: tuple[ZoneReturn, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CriticalMiss:
    """A critical item that is not complete; `undecided` when a person must hear it first."""

    item: str
    title: str
    section: str
    outcome: ItemOutcome
    undecided: bool
    missing: tuple[str, ...]
    note: str
    basis: tuple[Basis, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Drill:
    """One thing to rehearse: `sentence` is to be spoken aloud; `gain` the points in it."""

    rank: int
    kind: DrillKind
    title: str
    sentence: str
    because: str
    items: tuple[str, ...]
    critical: bool
    gain: int
    basis: tuple[Basis, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """The school's target and how the points stand against it."""

    percent: int
    points_needed: int
    state: TargetState
    owner: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Grade:
    """Everything a report shows about one attempt."""

    checklist: str
    profile: str
    policy: Policy
    totals: Tally
    target: Target
    sections: tuple[SectionGrade, ...]
    items: tuple[ItemGrade, ...]
    listening: tuple[Listen, ...]
    numbers: tuple[NumberGrade, ...]
    number_gaps: tuple[NumberGap, ...]
    phrasing: tuple[Phrasing, ...]
    notices: tuple[Remark, ...]
    order: Order
    critical: tuple[CriticalMiss, ...]
    pace: Pace
    drills: tuple[Drill, ...]
    reviews: tuple[Review, ...] = ()
