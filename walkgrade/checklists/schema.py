"""Shape of checklist, shared and profile files.

Decides: which keys exist and which types they take; what they mean together is `checks`.
Conventions: strict types, unknown keys refused; lists stay lists here and become tuples in
`build`; numbers are whole numbers or quoted text (``"4/32"``, ``"2.5"``, ``"1 1/2"``), never YAML
floats, because YAML turns 1.10 into 1.1. A None in a list of entries marks one that had a fault
and was left out (`gather`); an empty entry in a file is a fault itself.
Public: `ChecklistFile`, `SharedFile`, `ProfileFile` and their entries, `parse_number`.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Annotated, Any

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    PlainValidator,
    StringConstraints,
)

from walkgrade.checklists.records import UNITS, Comparator, Standing

_WORD = "[a-z0-9]+(?:-[a-z0-9]+)*"
_NUMBER = re.compile(r"(?:(\d+) )?(\d+)/(\d+)|(\d+(?:\.\d+)?)")


def parse_number(value: Any) -> Fraction:
    """Read a whole number or text such as ``4/32``, ``1 1/2``, ``2.5`` as an exact fraction.

    Raises
    ------
    ValueError : anything else (a YAML float, a sign, a zero denominator).
    """
    if isinstance(value, int) and not isinstance(value, bool) and value >= 0:
        return Fraction(value)
    found = _NUMBER.fullmatch(value.strip()) if isinstance(value, str) else None
    if not found or (found[3] and not int(found[3])):
        raise ValueError(f'{value!r} is no number; write 120, or quoted "4/32", "1 1/2", "2.5"')
    if found[4]:
        return Fraction(found[4])
    return int(found[1] or 0) + Fraction(int(found[2]), int(found[3]))


def _one_of(allowed: tuple[str, ...]) -> PlainValidator:
    def check(value: Any) -> str:
        if value not in allowed:
            raise ValueError(f"{value!r} is not one of: {', '.join(allowed)}")
        return str(value)

    return PlainValidator(check)


def _as_list(value: Any) -> Any:
    return [value] if isinstance(value, str) else value


Text = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1)]
ShortId = Annotated[str, StringConstraints(pattern=f"^{_WORD}$")]
ItemId = Annotated[str, StringConstraints(pattern=rf"^{_WORD}(?:\.{_WORD})+$")]
KeyId = Annotated[str, StringConstraints(pattern="^[a-z][a-z0-9]*(?:_[a-z0-9]+)*$")]
Number = Annotated[Fraction, PlainValidator(parse_number)]
Texts = Annotated[list[Text], Field(min_length=1)]
Words = Annotated[list[Text], BeforeValidator(_as_list), Field(min_length=1)]
Rules = dict[KeyId, Words]


class Strict(BaseModel):
    """Strict types, no unknown keys."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)


class SourceEntry(Strict):
    """A published source, or the admission that there is none."""

    title: Text
    section: Text
    standing: Annotated[str, _one_of(tuple(Standing))]


class LimitEntry(Strict):
    """A number of the rule with the range of spoken numbers that count as right."""

    quantity: Text
    comparator: Annotated[str, _one_of(tuple(Comparator))]
    low: Number | None = None
    high: Number | None = None
    unit: Annotated[str, _one_of(UNITS)]
    accept: Annotated[list[Number], Field(min_length=2, max_length=2)]


class RequirementEntry(Strict):
    """One thing to say; see docs/checklist-format.md."""

    id: ShortId
    row: Text = ""
    says: Text
    concepts: Texts | None = None
    patterns: Texts | None = None
    about: Texts | None = None
    limit: LimitEntry | None = None
    if_fitted: Rules | None = None
    basis: Texts | None = None


class RequirementChange(Strict):
    """Keys that replace those of one requirement of a part."""

    row: Text | None = None
    says: Text | None = None
    concepts: Texts | None = None
    patterns: Texts | None = None
    about: Texts | None = None
    limit: LimitEntry | None = None
    if_fitted: Rules | None = None
    basis: Texts | None = None


class PartEntry(Strict):
    """A part written once and used at several places."""

    row: Text | None = None
    title: Text | None = None
    names: Texts | None = None
    why: str | None = None
    caution: str | None = None
    carry_over: list[ItemId] | None = None
    if_fitted: Rules | None = None
    critical: bool | None = None
    basis: Texts | None = None
    requires: Annotated[list[RequirementEntry | None], Field(min_length=1)] | None = None
    optional: list[RequirementEntry | None] | None = None


class VariedEntry(PartEntry):
    """Keys it leaves out come from another part; some of that part's may be changed."""

    names_add: Texts | None = None
    requires_change: dict[ShortId, RequirementChange] | None = None
    requires_drop: list[ShortId] | None = None
    requires_add: list[RequirementEntry | None] | None = None
    optional_add: list[RequirementEntry | None] | None = None


class SharedPart(VariedEntry):
    """A part of a shared file; `like` names the part that it is a kind of."""

    like: ShortId | None = None


class ItemEntry(VariedEntry):
    """An item; keys it leaves out come from its `part`."""

    id: ItemId | None = None
    part: ShortId | None = None
    place: ShortId | None = None


class PlaceEntry(Strict):
    """A zone of the walk."""

    id: ShortId
    title: Text
    cues: list[Text] = []


class SectionEntry(Strict):
    """A part of the test."""

    id: ShortId
    title: Text
    budget_minutes: Number
    place: ShortId | None = None
    procedure: bool = False
    items: Annotated[list[ItemEntry | None], Field(min_length=1)]


class QuestionEntry(Strict):
    """How a person is asked for a key of the vehicle profile."""

    ask: Text
    hint: Text | None = None
    usual: Text | None = None
    answers: dict[Text, Text] = {}


class SharedFile(Strict):
    """A file that checklists include."""

    include: list[Text] = []
    cautions: list[Text] = []
    profile_keys: Rules = {}
    profile_questions: dict[KeyId, QuestionEntry] = {}
    places: list[PlaceEntry | None] = []
    sources: dict[str, SourceEntry] = {}
    parts: dict[ShortId, SharedPart] = {}


class ChecklistFile(SharedFile):
    """A checklist."""

    format: Annotated[int, Field(ge=1, le=1)]
    id: ShortId
    version: Text
    title: Text
    vehicle: Text
    edition: Text
    budget_minutes: Number
    sections: Annotated[list[SectionEntry | None], Field(min_length=1)]


class ProfileFile(Strict):
    """What one vehicle has."""

    format: Annotated[int, Field(ge=1, le=1)]
    id: ShortId
    title: Text
    fitted: dict[KeyId, Text]
