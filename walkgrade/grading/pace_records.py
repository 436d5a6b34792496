"""Records of the pace: what the word times tell, and where the time went.

Decides: which figures there are; `pace` computes them.
Conventions: as in `walkgrade.grading.records`: whole milliseconds of the recording, None means "not
known".
Public: RateBand, Silence, Speech, SectionSpan, Pace.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class RateBand(StrEnum):
    """Speech rate against the project's own suggested band."""

    SLOWER = "slower than the suggested band"
    WITHIN = "within the suggested band"
    FASTER = "faster than the suggested band"
    UNKNOWN = "not known"


@dataclass(frozen=True, slots=True, kw_only=True)
class Silence:
    """A silence; `section` is where the trainee was (may be empty)."""

    start: int
    end: int
    section: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Speech:
    """What the word times alone tell. `known` False: the transcript has no times.

    `first`/`last`: start of the first and end of the last word of the trainee; `rate_wpm` =
    60 000 x words / speaking_ms, speaking_ms being the time from first to last word less every
    pause of the policy's `long_pause_ms` or more and less the time of other voices.
    """

    known: bool
    words: int = 0
    speaking_ms: int = 0
    first: int = 0
    last: int = 0
    rate_wpm: float | None = None
    silences: tuple[Silence, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionSpan:
    """A stretch of the run spent in one section."""

    section: str
    start: int
    end: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Pace:
    """Where the time went. Every figure but `budget_ms` is None or empty when `known` is False.

    `elapsed_ms` runs from the trainee's first to last word; `projected_ms` adds what was not
    reached at the pace of what was; `left_items` counts the items not reached; `unsaid` are the
    items of which nothing was said before the budget ran out (empty when it did not).
    """

    known: bool
    budget_ms: int
    speech: Speech
    elapsed_ms: int | None = None
    over_ms: int | None = None
    projected_ms: int | None = None
    left_items: int | None = None
    budget_end: int | None = None
    points_at_budget: int | None = None
    unsaid: tuple[str, ...] = ()
    spans: tuple[SectionSpan, ...] = ()
    rate_band: RateBand = RateBand.UNKNOWN
    rate_note: str = ""
