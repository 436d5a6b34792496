"""Records of a checklist: what must be named, said, and by which source.

Conventions: ids are lower-case words joined by ``-``, levels by ``.``: item ``front-axle.tyre``,
requirement ``front-axle.tyre.tread``. Rows name lines of docs/sources.md (``E5``, ``W2``, ``1.1``).
Quantities are exact fractions; units are those of `UNITS`.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

UNITS = (
    "in", "ft", "psi", "min", "s", "mph", "V", "F", "degree", "count", "percent",
    "fraction", "lb", "rpm", "unit",
)  # fmt: skip


class Comparator(StrEnum):
    """How a number bounds a quantity."""

    AT_LEAST = "at least"
    AT_MOST = "at most"
    ABOVE = "above"
    BELOW = "below"
    BETWEEN = "between"
    ABOUT = "about"
    EXACTLY = "exactly"


class Standing(StrEnum):
    """How well a requirement is backed."""

    PUBLISHED = "published"
    SECOND_HAND = "second hand"
    FROM_MEMORY = "from memory"
    PRACTICE = "common practice, no source"


class Kind(StrEnum):
    """What a requirement asks the trainee to say."""

    CONDITION = "condition"
    LIMIT = "limit"
    ACTION = "action"


@dataclass(frozen=True, slots=True, kw_only=True)
class Basis:
    """The source of a requirement: title and section, and how well it was seen."""

    title: str
    section: str
    standing: Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """A number with comparator and unit.

    `low`/`high` state the rule (one is None for one-sided comparators); a spoken number is right
    when it lies in [`accept_low`, `accept_high`] and its comparator does not point the other way.
    """

    quantity: str
    comparator: Comparator
    low: Fraction | None
    high: Fraction | None
    accept_low: Fraction
    accept_high: Fraction
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitted:
    """A rule on the vehicle profile: the part `key` must have one of `values`."""

    key: str
    values: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Requirement:
    """One thing that must (or may) be said of an item.

    Any of `concepts` (ids of the condition lexicon) or any of `patterns` (wording patterns, see
    docs/checklist-format.md) earns it; a limit is earned by a right number. `about` names the
    sub-part it belongs to ("hose" of the steering box); empty means the item itself.
    """

    id: str
    row: str
    kind: Kind
    says: str
    required: bool
    concepts: tuple[str, ...] = ()
    patterns: tuple[str, ...] = ()
    about: tuple[str, ...] = ()
    limit: Limit | None = None
    if_fitted: tuple[Fitted, ...] = ()
    basis: tuple[Basis, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One part or step at one place.

    `names` are what the trade calls it; `carry_over` lists items whose credit "same as the other
    side" may bring here; `step` (1, 2, ...) is its place in an ordered procedure, 0 outside one;
    a miss of a `critical` item commonly fails the whole test.
    """

    id: str
    title: str
    row: str
    section: str
    place: str
    names: tuple[str, ...]
    requirements: tuple[Requirement, ...]
    why: str = ""
    caution: str = ""
    carry_over: tuple[str, ...] = ()
    if_fitted: tuple[Fitted, ...] = ()
    step: int = 0
    critical: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A zone of the walk; `cues` are phrases that say the trainee is there."""

    id: str
    title: str
    cues: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A part of the test with its time budget; `procedure`: its items are ordered steps."""

    id: str
    title: str
    budget_s: int
    procedure: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Marking:
    """A school's own points; a value that is None is left to the grading policy.

    `each` are the points of an item, `items` those of single ones as (item id, points), all 0..100;
    `late_counts`: what is added after its time earns too; `target_percent` is the school's own
    target share, 0..100. No official pass mark exists.
    """

    each: int | None = None
    items: tuple[tuple[str, int], ...] = ()
    late_counts: bool | None = None
    target_percent: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """How a person is asked for a key of the vehicle profile.

    `hint` says how to see it on the vehicle; `usual` is the answer to begin with, empty for none;
    `meanings` are (value, what it means in plain words), for some or all values.
    """

    key: str
    ask: str
    hint: str = ""
    usual: str = ""
    meanings: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Checklist:
    """A versioned list for one kind of vehicle and one edition of the test.

    `changes` and `dated` are filled when it is a base checklist with a school's or state's changes:
    the id of the base, and the day (ISO 8601) the changes speak for.
    """

    id: str
    version: str
    title: str
    vehicle: str
    edition: str
    budget_s: int
    cautions: tuple[str, ...]
    places: tuple[Place, ...]
    sections: tuple[Section, ...]
    items: tuple[Item, ...]
    profile_keys: tuple[Fitted, ...] = ()
    questions: tuple[Question, ...] = ()
    sha256: str = ""
    marking: Marking | None = None
    changes: str = ""
    dated: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class VehicleProfile:
    """What this vehicle has, as (key, value) pairs; switches items and requirements on and off."""

    id: str
    title: str
    fitted: tuple[tuple[str, str], ...]

    def has(self, rules: tuple[Fitted, ...]) -> bool:
        """True when every rule is met; a key the profile does not state meets no rule."""
        values = dict(self.fitted)
        return all(values.get(rule.key) in rule.values for rule in rules)
