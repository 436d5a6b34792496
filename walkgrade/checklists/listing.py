"""A checklist as plain text, for people who write checklists, scripts and labels.

Decides: what a listing shows. With `ids` every item and requirement id; without, the sheet a
trainee learns from.
Conventions: pure; the caller prints. Optional requirements are marked ``(optional)``.
Public: `describe`, `limit_text`.
"""

from __future__ import annotations

from fractions import Fraction

from walkgrade.checklists.records import Checklist, Comparator, Fitted, Item, Limit, Requirement

_SYMBOLS = {
    "F": "°F", "percent": "%", "degree": "degrees", "count": "", "fraction": "", "unit": "units",
}  # fmt: skip


def describe(checklist: Checklist, *, ids: bool = False) -> str:
    """Return the whole checklist as text, one line an item and one a requirement."""
    lines = [
        f"{checklist.title} ({checklist.id}, version {checklist.version})",
        f"{checklist.edition}; {checklist.budget_s // 60} minutes; {len(checklist.items)} items",
        *_school(checklist),
        *(f"Caution: {text}" for text in checklist.cautions),
    ]
    for section in checklist.sections:
        minutes = Fraction(section.budget_s, 60)
        name = f"[{section.id}] {section.title}" if ids else section.title
        steps = ", in order" if section.procedure else ""
        lines += ["", f"{name} ({float(minutes):g} min{steps})"]
        for item in checklist.items:
            if item.section == section.id:
                lines += _item(item, ids)
    return "\n".join(lines) + "\n"


def _school(checklist: Checklist) -> list[str]:
    """What an overlay changed beyond items and numbers."""
    lines = []
    if checklist.changes:
        lines.append(f"Changes {checklist.changes}, as of {checklist.dated}")
    marking = checklist.marking
    if marking is not None:
        said = [] if marking.each is None else [f"{marking.each} an item"]
        said += [f"{points} for {item}" for item, points in marking.items]
        if marking.late_counts is not None:
            said.append(f"late additions {'count' if marking.late_counts else 'do not count'}")
        if said:
            lines.append(f"The school's points: {', '.join(said)}")
        if marking.target_percent is not None:
            lines.append(f"The school's own target: {marking.target_percent} % (no official mark)")
    return lines


def limit_text(limit: Limit) -> str:
    """Write a limit as ``at least 4/32 in`` or ``between 120 and 140 psi``."""
    unit = _SYMBOLS.get(limit.unit, limit.unit)
    low, high = (_number(v, limit.quantity) for v in (limit.low, limit.high))
    if limit.comparator is Comparator.BETWEEN:
        text = f"between {low} and {high}"
    else:
        text = f"{limit.comparator} {low or high}"
    return f"{text} {unit}".strip()


def _number(value: Fraction | None, quantity: str) -> str:
    if value is None:
        return ""
    # Tread is read in thirty-seconds; 4/32 must not become 1/8 on the sheet.
    if quantity == "tread depth" and (value * 32).denominator == 1:
        return f"{value * 32}/32"
    return str(value)


def _item(item: Item, ids: bool) -> list[str]:
    step = f"{item.step}. " if item.step else ""
    star = " (a miss commonly fails the test)" if item.critical else ""
    head = f"  {step}{item.id}: {item.title}" if ids else f"  {step}{item.title}"
    lines = [f"{head}{star}"]
    if ids:
        lines.append(f"      names: {', '.join(item.names)}")
    lines += [_requirement(req, ids) for req in item.requirements]
    if item.carry_over:
        lines.append(f"      same as: {', '.join(item.carry_over)}")
    if item.why:
        lines.append(f"      why: {item.why}")
    if item.caution:
        lines.append(f"      caution: {item.caution}")
    if ids and item.if_fitted:
        lines.append(f"      only if {_rules(item.if_fitted)}")
    return lines


def _requirement(req: Requirement, ids: bool) -> str:
    name = f"{req.id}: {req.says}" if ids else req.says
    extra = "" if req.required else " (optional)"
    if ids:
        extra += f" [{limit_text(req.limit)}]" if req.limit else ""
        extra += f" [about {', '.join(req.about)}]" if req.about else ""
        extra += f" [only if {_rules(req.if_fitted)}]" if req.if_fitted else ""
    return f"    - {name}{extra}"


def _rules(rules: tuple[Fitted, ...]) -> str:
    return "; ".join(f"{rule.key} is {' or '.join(rule.values)}" for rule in rules)
