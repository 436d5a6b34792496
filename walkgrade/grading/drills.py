"""Drills: the next few things to rehearse, each with one sentence to say aloud.

Decides: what comes first. Rank, worst first: a wrong or missing number in a critical item, steps
out of order, a critical item not complete, a wrong number elsewhere, something said the wrong way,
something half said, something not said. Within a rank what wins most points, then checklist order.
The order is common practice, no source.
Conventions: the same gap on the same sheet row at several places is one drill ("front and rear").
Sentences hold nothing but the checklist's own words; in a critical item the number comes first.
Items a person must hear are no drill: they may have been said.
Public: drills, sentence.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from walkgrade.checklists.records import Checklist, Item, Requirement
from walkgrade.grading.numbers import limit_text
from walkgrade.grading.records import (
    Drill,
    DrillKind,
    ItemGrade,
    NumberGrade,
    Order,
    Policy,
)
from walkgrade.matching.records import Findings, ItemOutcome, NumberVerdict, StepState

_RANKS = tuple(DrillKind)
_DIGIT = re.compile(r"\d")
_BRACKETS = re.compile(r"\s*\([^()]*\)")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Gap:
    """One faulty item: what kind of fault, and which requirements to rehearse."""

    kind: DrillKind
    item: Item
    outcome: ItemOutcome
    parts: tuple[Requirement, ...]
    gain: int
    wrong: tuple[NumberGrade, ...]

    @property
    def key(self) -> tuple[DrillKind, str, str, tuple[str, ...]]:
        """Gaps with the same key are one drill."""
        says = tuple(part.says for part in self.parts)
        return self.kind, self.item.row or self.item.id, _part_name(self.item.title), says


def drills(
    findings: Findings,
    checklist: Checklist,
    grades: tuple[ItemGrade, ...],
    numbers: tuple[NumberGrade, ...],
    order: Order,
    policy: Policy,
) -> tuple[Drill, ...]:
    """The first `policy.drills` things to rehearse, best first; fewer when there are fewer."""
    items = {item.id: item for item in checklist.items}
    required = {
        found.item: {part.requirement for part in found.requirements if part.required}
        for found in findings.items
    }
    gaps = [_gap(row, items[row.item], required[row.item], numbers) for row in grades]
    groups: dict[object, list[_Gap]] = {}
    for gap in gaps:
        if gap is not None:
            groups.setdefault(gap.key, []).append(gap)
    places = {place.id: place.title for place in checklist.places}
    out = [_drill(group, places) for group in groups.values()]
    out += _order_drills(checklist, order, items)
    # sorted() is stable, so what is equal stays in checklist order.
    out.sort(key=lambda drill: (_RANKS.index(drill.kind), -drill.gain))
    return tuple(_numbered(drill, rank) for rank, drill in enumerate(out[: policy.drills], start=1))


def _gap(
    row: ItemGrade, item: Item, required: set[str], numbers: Sequence[NumberGrade]
) -> _Gap | None:
    if row.outcome in (ItemOutcome.COMPLETE, ItemOutcome.NEEDS_LISTENING):
        return None
    wrong = tuple(
        entry
        for entry in numbers
        if entry.finding.item == item.id and not entry.right and not entry.repaired
    )
    faulty = {*row.missing, *(entry.finding.requirement for entry in wrong)} or required
    parts = tuple(part for part in item.requirements if part.id in faulty)
    return _Gap(
        kind=_kind(row, wrong, parts),
        item=item,
        outcome=row.outcome,
        parts=parts,
        gain=row.points_possible,
        wrong=wrong,
    )


def _kind(
    row: ItemGrade, wrong: tuple[NumberGrade, ...], parts: tuple[Requirement, ...]
) -> DrillKind:
    if row.critical:
        number = wrong or any(part.limit for part in parts)
        return DrillKind.CRITICAL_NUMBER if number else DrillKind.CRITICAL
    if wrong:
        return DrillKind.NUMBER
    if row.outcome is ItemOutcome.WRONG:
        return DrillKind.WRONG
    return DrillKind.MISSED if row.outcome is ItemOutcome.MISSED else DrillKind.PART_SAID


def _drill(group: list[_Gap], places: dict[str, str]) -> Drill:
    first = group[0]
    alike = len({gap.item.title for gap in group}) == 1
    name = first.item.title if alike else _part_name(first.item.title)
    where = dict.fromkeys(places.get(gap.item.place, gap.item.place) for gap in group)
    return Drill(
        rank=0,
        kind=first.kind,
        title=f"{name} ({join(map(_lower, where))})" if len(where) > 1 else name,
        sentence=sentence(first.item, first.parts, title=name),
        because=_because(first, len(group)),
        items=tuple(gap.item.id for gap in group),
        critical=first.item.critical,
        gain=sum(gap.gain for gap in group),
        basis=tuple(dict.fromkeys(basis for part in first.parts for basis in part.basis)),
    )


def _part_name(title: str) -> str:
    """The part without its place: ``Brake drum`` of ``Brake drum, front axle``."""
    return title.split(",")[0]


def _because(gap: _Gap, places: int) -> str:
    if gap.wrong:
        entry = gap.wrong[0].finding
        fault = {
            NumberVerdict.WRONG_DIRECTION: "the limit was turned the wrong way",
            NumberVerdict.WRONG_UNIT: "the unit was wrong",
        }.get(entry.verdict, "the number was outside what is accepted")
        said = entry.said.strip(" .,;:")
        return f"You said \u201c{said}\u201d: {fault}. Accepted: {entry.accepted}."
    times = f" at {places} places" if places > 1 else ""
    what = {
        ItemOutcome.WRONG: "Said the wrong way",
        ItemOutcome.MISSED: "Not said",
    }.get(gap.outcome, "Named, but not everything was said")
    return f"{what}{times}."


def sentence(item: Item, parts: Sequence[Requirement], *, title: str = "") -> str:
    """One sentence to say aloud: the part and what is checked on it, a critical number first.

    `title` stands for the item's own title. Remarks in brackets are left out: nobody says them.

    >>> from walkgrade.checklists.records import Item, Kind, Requirement
    >>> level = Requirement(id="e.o.l", row="E2", kind=Kind.CONDITION, required=True,
    ...                     says="above the refill mark (between add and full)")
    >>> oil = Item(id="e.o", title="Oil level", row="E2", section="e", place="e",
    ...            names=("oil level",), requirements=(level,))
    >>> sentence(oil, oil.requirements)
    'Oil level: above the refill mark.'
    """
    name = title or item.title
    lead = [part for part in parts if item.critical and part.limit is not None]
    rest = [part for part in parts if part not in lead]
    first, others = _spoken(lead, name), _spoken(rest, name)
    if first:
        return f"{_capital(join(first))}: {_lower(name)}{_tail(others)}."
    return f"{_capital(name)}: {join(others)}." if others else f"{_capital(name)}."


def _spoken(parts: Iterable[Requirement], title: str) -> list[str]:
    """The wording of `parts` without brackets, and without one that only repeats the title."""
    says = [_without_brackets(part) for part in parts]
    known = title.lower().removeprefix("the ")
    return [text for text in says if text and text.lower().removeprefix("the ") != known]


def _without_brackets(part: Requirement) -> str:
    """Nobody says a remark in brackets, but a number that stood only there must be said."""
    text = _BRACKETS.sub("", part.says).strip().rstrip(".")
    if part.limit is not None and _DIGIT.search(part.says) and not _DIGIT.search(text):
        return f"{text}, {limit_text(part.limit)}"
    return text


def _tail(says: list[str]) -> str:
    return f", {join(says)}" if says else ""


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _lower(text: str) -> str:
    """Lower the first letter, unless the word is an abbreviation such as ABS."""
    return text[:1].lower() + text[1:] if text[1:2].islower() else text


def join(texts: Iterable[str]) -> str:
    """Texts as a spoken list: ``a, b and c``; ``;`` parts them when one holds a comma."""
    rows = list(texts)
    if len(rows) < 2:
        return "".join(rows)
    if any("," in text for text in rows):
        return "; ".join(rows)
    return f"{', '.join(rows[:-1])} and {rows[-1]}"


def _order_drills(checklist: Checklist, order: Order, items: dict[str, Item]) -> list[Drill]:
    """One drill for each procedure with a swapped step: say the steps in order."""
    swapped = {issue.section for issue in order.issues if issue.state is StepState.SWAPPED}
    out = []
    for section in checklist.sections:
        if section.id not in swapped:
            continue
        steps = sorted(
            {
                step.item: step.step
                for step in order.steps
                if step.section == section.id and step.item in items
            }.items(),
            key=lambda pair: pair[1],
        )
        titles = [items[item].title for item, _ in steps]
        late = [row.title for row in order.issues if row.section == section.id
                and row.state is StepState.SWAPPED]  # fmt: skip
        out.append(
            Drill(
                rank=0,
                kind=DrillKind.ORDER,
                title=f"{section.title}: order of the steps",
                sentence=f"{'; then '.join([titles[0], *map(_lower, titles[1:])])}.",
                because=f"Out of order: {join(late)}.",
                items=tuple(item for item, _ in steps),
                critical=any(items[item].critical for item, _ in steps),
                gain=0,
                basis=(),
            )
        )
    return out


def _numbered(drill: Drill, rank: int) -> Drill:
    return replace(drill, rank=rank)
