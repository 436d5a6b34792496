"""What changes for a trainee between two versions of a checklist, in plain words.

Decides: which differences are worth a sentence, and which of them matter while rehearsing (the
others: sources, names, ids).
Conventions: pure. Changes come in the order of `Kind`, then of the new version.
Public: `Kind`, `Change`, `changes_between`, `as_data`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from enum import StrEnum
from typing import Any

from walkgrade.checklists.listing import limit_text
from walkgrade.checklists.pairs import item_pairs, requirement_pairs
from walkgrade.checklists.records import Checklist, Fitted, Item, Limit, Requirement
from walkgrade.checklists.sheet_cells import number_text

FORMAT = "walkgrade-comparison"


class Kind(StrEnum):
    """What kind of change."""

    NEW = "new to say"
    GONE = "no longer to say"
    NUMBER = "other number"
    PLACE = "other place"
    RENAMED = "renamed"
    NEEDED = "needed or bonus"
    WORDS = "other words earn it"
    VEHICLE = "asked of other vehicles"
    ORDER = "other order"
    CRITICAL = "critical or not"
    CARRY = "same as the other side"
    TIME = "other time"
    POINTS = "other points or target"
    SAID = "worded differently"
    NAMES = "names understood"
    SOURCE = "other source"


FOR_RECORD = (Kind.SAID, Kind.NAMES, Kind.SOURCE)
"""Kinds that change nothing a trainee must do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One change: the item (its id in the new version, or the old one when it has gone) or
    requirement, what was and what is (either may be empty), and a sentence."""

    kind: Kind
    where: str
    title: str
    was: str
    now: str

    @property
    def text(self) -> str:
        """The change as a sentence."""
        if not self.was or not self.now:
            return f"{self.title}: {self.now or self.was}"
        return f"{self.title}: {self.now} (was: {self.was})"


def changes_between(old: Checklist, new: Checklist) -> tuple[Change, ...]:
    """Every change from `old` to `new`."""
    found = [*_items(old, new), *_order(old, new), *_frame(old, new)]
    ranks = list(Kind)
    return tuple(sorted(found, key=lambda change: ranks.index(change.kind)))


def as_data(old: Checklist, new: Checklist, changes: tuple[Change, ...]) -> dict[str, Any]:
    """The comparison ready for JSON."""

    def head(one: Checklist) -> dict[str, str]:
        return {"id": one.id, "version": one.version, "title": one.title, "sha256": one.sha256}

    rows = [{**asdict(change), "kind": str(change.kind), "text": change.text} for change in changes]
    return {
        "format": FORMAT, "format_version": 1, "old": head(old), "new": head(new), "changes": rows,
    }  # fmt: skip


def _items(old: Checklist, new: Checklist) -> Iterator[Change]:
    pairs = item_pairs(old, new)
    renamed = {a.id: b.id for a, b in pairs if a is not None and b is not None}
    order = {item.id: n for n, item in enumerate(new.items)}
    pairs.sort(key=lambda pair: order[pair[1].id] if pair[1] is not None else -1)
    for before, after in pairs:
        if before is None and after is not None:
            for req in after.requirements:
                yield _said(Kind.NEW, after, req, now=_line(req))
        elif after is None and before is not None:
            for req in before.requirements:
                yield _said(Kind.GONE, before, req, was=_line(req))
        elif before is not None and after is not None:
            yield from _item(before, after, old, new, renamed)


def _item(
    old: Item, new: Item, first: Checklist, second: Checklist, renamed: dict[str, str]
) -> Iterator[Change]:
    def change(kind: Kind, was: str, now: str) -> Change:
        return Change(kind=kind, where=new.id, title=new.title, was=was, now=now)

    if old.title != new.title:
        yield change(Kind.RENAMED, old.title, f"now called {new.title}")
    if old.id != new.id:
        yield change(Kind.NAMES, f"id {old.id}", f"id {new.id}")
    was, now = _place(first, old), _place(second, new)
    if was != now:
        yield change(Kind.PLACE, was, now)
    if old.critical != new.critical:
        told = ("a miss commonly fails the test", "a miss alone does not fail the test")
        yield change(Kind.CRITICAL, told[not old.critical], told[not new.critical])
    if old.if_fitted != new.if_fitted:
        yield change(Kind.VEHICLE, _rules(old.if_fitted), _rules(new.if_fitted))
    linked = {renamed.get(name, name) for name in old.carry_over}
    if linked != set(new.carry_over):
        yield change(Kind.CARRY, _links(sorted(linked)), _links(sorted(new.carry_over)))
    gone = [name for name in old.names if name not in new.names]
    come = [name for name in new.names if name not in old.names]
    if gone:
        yield change(Kind.NAMES, f"{', '.join(gone)} no longer understood as this", "")
    if come:
        yield change(Kind.NAMES, "", f"{', '.join(come)} now understood as this")
    for before, after in requirement_pairs(old, new):
        if before is None and after is not None:
            yield _said(Kind.NEW, new, after, now=_line(after))
        elif after is None and before is not None:
            yield _said(Kind.GONE, new, before, was=_line(before))
        elif before is not None and after is not None:
            yield from _requirement(new, before, after)


def _requirement(item: Item, old: Requirement, new: Requirement) -> Iterator[Change]:
    if old.required != new.required:
        told = ("a bonus only", "needed")
        was, now = told[old.required], f"{told[new.required]}: {new.says}"
        yield _said(Kind.NEEDED, item, new, was=was, now=now)
    if old.limit != new.limit:
        yield _said(Kind.NUMBER, item, new, was=_number(old.limit), now=_number(new.limit))
    elif old.says != new.says:
        yield _said(Kind.SAID, item, new, was=old.says, now=new.says)
    earns = ("concepts", "patterns", "about")
    if any(getattr(old, key) != getattr(new, key) for key in earns):
        yield _said(Kind.WORDS, item, new, was=_earns(old), now=f"{new.says}: {_earns(new)}")
    if old.if_fitted != new.if_fitted:
        now = f"{new.says}: {_rules(new.if_fitted)}"
        yield _said(Kind.VEHICLE, item, new, was=_rules(old.if_fitted), now=now)
    if old.basis != new.basis:
        yield _said(Kind.SOURCE, item, new, was=_sources(old), now=f"{new.says}: {_sources(new)}")


def _said(kind: Kind, item: Item, req: Requirement, *, was: str = "", now: str = "") -> Change:
    return Change(kind=kind, where=req.id, title=item.title, was=was, now=now)


def _order(old: Checklist, new: Checklist) -> Iterator[Change]:
    """Steps of a procedure that swapped; steps that came or went are told already."""
    pairs = [(a, b) for a, b in item_pairs(old, new) if a is not None and b is not None]
    for section in new.sections:
        steps = [(a, b) for a, b in pairs if b.section == section.id and a.step and b.step]
        before = [b.title for a, b in sorted(steps, key=lambda pair: pair[0].step)]
        after = [b.title for a, b in sorted(steps, key=lambda pair: pair[1].step)]
        if before != after:
            yield Change(
                kind=Kind.ORDER,
                where=section.id,
                title=section.title,
                was=", ".join(before),
                now=", ".join(after),
            )


def _frame(old: Checklist, new: Checklist) -> Iterator[Change]:
    """Time, points and target."""
    sections = {section.id: section for section in old.sections}
    for section in new.sections:
        before = sections.get(section.id)
        if before is not None and before.budget_s != section.budget_s:
            yield Change(
                kind=Kind.TIME,
                where=section.id,
                title=section.title,
                was=_minutes(before.budget_s),
                now=_minutes(section.budget_s),
            )
    pairs = (
        (Kind.TIME, "The whole run", _minutes(old.budget_s), _minutes(new.budget_s)),
        (Kind.POINTS, "Points", _points(old), _points(new)),
        (Kind.POINTS, "The school's own target", _target(old), _target(new)),
    )
    for kind, title, was, now in pairs:
        if was != now:
            yield Change(kind=kind, where="", title=title, was=was, now=now)


def _line(req: Requirement) -> str:
    number = f" [{limit_text(req.limit)}]" if req.limit else ""
    return f"{req.says}{number}{'' if req.required else ' (a bonus)'}"


def _number(limit: Limit | None) -> str:
    if limit is None:
        return "no number"
    first, last = (number_text(v, limit.quantity) for v in (limit.accept_low, limit.accept_high))
    counts = first if first == last else f"{first} to {last}"
    return f"{limit.quantity} {limit_text(limit)} (right: {counts})"


def _place(checklist: Checklist, item: Item) -> str:
    return {place.id: place.title for place in checklist.places}.get(item.place, item.place)


def _rules(rules: tuple[Fitted, ...]) -> str:
    told = "; ".join(f"{rule.key} is {' or '.join(rule.values)}" for rule in rules)
    return f"only if {told}" if told else "every vehicle"


def _links(items: list[str]) -> str:
    return f"counts from {', '.join(items)}" if items else "does not count"


def _earns(req: Requirement) -> str:
    about = f" (of {', '.join(req.about)})" if req.about else ""
    return ", ".join((*req.concepts, *(f'"{p}"' for p in req.patterns))) + about or "a number"


def _sources(req: Requirement) -> str:
    return "; ".join(f"{b.title}, {b.section} [{b.standing}]" for b in req.basis)


def _minutes(seconds: int) -> str:
    return f"{seconds / 60:g} min"


def _points(checklist: Checklist) -> str:
    marking = checklist.marking
    if marking is None or (marking.each is None and not marking.items):
        return "the usual ones"
    told = [] if marking.each is None else [f"{marking.each} an item"]
    return ", ".join((*told, *(f"{value} for {item}" for item, value in marking.items)))


def _target(checklist: Checklist) -> str:
    marking = checklist.marking
    percent = None if marking is None else marking.target_percent
    return "the usual one" if percent is None else f"{percent} %"
