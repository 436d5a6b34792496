"""The pieces of the grade document as strict pydantic models; see docs/report.md for each field.

Decides: types and ranges of single fields. Conventions: models are strict, frozen and refuse
unknown keys. Imported only when a file comes in.
Public: one model for each part.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from walkgrade.checklists.records import UNITS, Comparator, Kind, Standing
from walkgrade.grading.pace_records import RateBand
from walkgrade.grading.records import DrillKind, TargetState
from walkgrade.matching.records import (
    ItemOutcome,
    NumberVerdict,
    Outcome,
    RemarkKind,
    StepState,
)

Count = Annotated[int, Field(ge=0)]
Ms = Annotated[int, Field(ge=0)]
Moment = Ms | None
Share = Annotated[float, Field(ge=0, le=1)]
Percent = Annotated[float, Field(ge=0, le=100)] | None
Ratio = Annotated[str, Field(pattern=r"^-?\d+(/[1-9]\d*)?$")]


class Part(BaseModel):
    model_config = ConfigDict(strict=True, extra="forbid", frozen=True)


class Basis(Part):
    title: str
    section: str
    standing: Standing


class Evidence(Part):
    utterance: str
    quote: str
    start_ms: Moment
    end_ms: Moment
    confidence: Share


class Attempt(Part):
    id: str
    trainee: str
    vehicle: str
    group: str
    taken_at: str
    audio: str
    note: str


class ChecklistRef(Part):
    id: str
    version: str
    title: str
    vehicle: str
    edition: str
    sha256: str
    budget_ms: Ms


class ProfileRef(Part):
    id: str
    title: str


class ItemPoints(Part):
    item: str
    points: Count


class Policy(Part):
    id: str
    title: str
    points_per_item: Count
    item_points: list[ItemPoints]
    late_earns: bool
    target_percent: Annotated[int, Field(ge=0, le=100)]
    target_owner: str
    silence_ms: Ms
    long_pause_ms: Ms
    rate_low: Count
    rate_high: Count
    drills: Count


class TranscriptRef(Part):
    id: str
    sha256: str
    origin: Literal["recognised", "typed"]
    timed: bool
    language: str
    duration_ms: Moment
    model: str
    model_sha256: str
    settings: str
    audio_sha256: str
    notices: list[str]


class Provenance(Part):
    tool: str
    tool_version: str
    graded_at: str
    checklist: ChecklistRef
    profile: ProfileRef
    policy: Policy
    transcript: TranscriptRef


class Tally(Part):
    items: Count
    complete: Count
    incomplete: Count
    named_only: Count
    missed: Count
    wrong: Count
    needs_listening: Count
    close_calls: Count = 0
    late: Count
    points: Count
    points_if_confirmed: Count
    points_possible: Count
    requirements: Count
    requirements_said: Count
    requirements_unclear: Count
    percent: Percent
    percent_if_confirmed: Percent


class Target(Part):
    percent: Annotated[int, Field(ge=0, le=100)]
    points_needed: Count
    state: TargetState
    owner: str


class Drill(Part):
    rank: Annotated[int, Field(ge=1)]
    kind: DrillKind
    title: str
    sentence: str
    because: str
    items: list[str]
    critical: bool
    gain: Count
    basis: list[Basis]


class Critical(Part):
    item: str
    title: str
    section: str
    outcome: ItemOutcome
    undecided: bool
    missing: list[str]
    note: str
    basis: list[Basis]


class Listen(Part):
    item: str
    title: str
    section: str
    critical: bool
    counted: bool = False
    confidence: Share
    reason: str
    quote: str
    start_ms: Moment
    end_ms: Moment
    requirements: list[str]


class Silence(Part):
    start_ms: Ms
    end_ms: Ms
    section: str


class Span(Part):
    section: str
    start_ms: Ms
    end_ms: Ms


class Pace(Part):
    known: bool
    budget_ms: Ms
    elapsed_ms: Moment
    over_ms: Moment
    projected_ms: Moment
    left_items: Count | None
    budget_end_ms: Moment
    points_at_budget: Count | None
    unsaid: list[str]
    first_ms: Moment
    last_ms: Moment
    words: Count | None
    speaking_ms: Moment
    rate_wpm: Annotated[float, Field(ge=0)] | None
    rate_band: RateBand
    rate_low: Count
    rate_high: Count
    rate_note: str
    silences: list[Silence]
    spans: list[Span]


class Place(Part):
    id: str
    title: str


class Section(Part):
    id: str
    title: str
    procedure: bool
    reached: bool
    tally: Tally
    budget_ms: Ms
    time_ms: Moment
    over_ms: Moment


class Limit(Part):
    quantity: str
    comparator: Comparator
    low: Ratio | None
    high: Ratio | None
    accept_low: Ratio
    accept_high: Ratio
    unit: Literal[UNITS]  # type: ignore[valid-type]


class Requirement(Part):
    id: str
    row: str
    kind: Kind
    says: str
    required: bool
    outcome: Outcome
    confidence: Share
    reason: str
    carried_from: str
    evidence: list[Evidence]
    limit: Limit | None
    basis: list[Basis]


class Item(Part):
    id: str
    title: str
    row: str
    section: str
    place: str
    step: Count
    critical: bool
    why: str
    caution: str
    outcome: ItemOutcome
    heard: ItemOutcome
    reviewed: bool
    confidence: Share
    points: Count
    points_possible: Count
    late: bool
    close_call: bool = False
    first_at_ms: Moment
    earned_at_ms: Moment
    missing: list[str]
    named: list[Evidence]
    requirements: list[Requirement]


class Number(Part):
    item: str
    requirement: str
    title: str
    says: str
    said: str
    value_low: str
    value_high: str
    unit: str
    comparator: str
    verdict: NumberVerdict
    right: bool
    repaired: bool
    critical: bool
    accepted: str
    basis: list[Basis]
    evidence: Evidence


class NumberGap(Part):
    item: str
    requirement: str
    title: str
    says: str
    accepted: str
    critical: bool
    basis: list[Basis]


class Remark(Part):
    kind: RemarkKind
    note: str
    items: list[str]
    evidence: Evidence


class Phrasing(Part):
    kind: RemarkKind
    advice: str
    remarks: list[Remark]


class Step(Part):
    section: str
    item: str
    step: Count
    state: StepState
    position: Count
    evidence: list[Evidence]


class OrderIssue(Step):
    title: str
    critical: bool
    note: str


class Return(Part):
    place: str
    title: str
    visits: Count
    planned: Count
    starts_ms: list[Moment]


class Visit(Part):
    place: str
    start_ms: Moment
    end_ms: Moment


class Order(Part):
    steps: list[Step]
    issues: list[OrderIssue]
    returns: list[Return]
    visits: list[Visit]


class Line(Part):
    id: str
    text: str
    start_ms: Moment
    end_ms: Moment
    voice: Literal["trainee", "other"]
    place: str
    section: str
    items: list[str]


class Review(Part):
    item: str
    old: ItemOutcome
    new: ItemOutcome
    who: Annotated[str, Field(min_length=1)]
    when: Annotated[str, Field(min_length=1)]
    why: str
