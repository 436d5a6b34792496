"""What a person must decide after a sheet was imported, as plain text.

Conventions: pure; one line a decision, by the rows of the sheet; what is sure is listed last, so
that it can be checked too.
Public: `decisions_text`, `grouped`.
"""

from __future__ import annotations

from collections.abc import Sequence

from walkgrade.checklists.sheet_draft import Decision

_QUESTIONS = {
    "known part": "Is this the part you mean?",
    "names": "What else do people call it?",
    "place": "Is this where one stands?",
    "place words": "What does one say on getting there?",
    "conditions": "Is this what must be said?",
    "wording": "What words should earn it?",
    "numbers that count": "May other numbers count as right too?",
    "source": "Which manual or page asks for it?",
    "minutes": "How many minutes may it take?",
    "new thing a vehicle may have": "Which words may a vehicle file use? It must state one.",
}


def grouped(decisions: Sequence[Decision]) -> list[tuple[str, str, Decision]]:
    """Decisions as (rows, where, decision); sources filled in alike stand together."""
    groups: dict[tuple[str, ...], list[Decision]] = {}
    for n, one in enumerate(decisions):
        key = (one.what, one.took) if one.what == "source" else (str(n),)
        groups.setdefault(key, []).append(one)
    told = []
    for group in groups.values():
        rows = ", ".join(str(one.row) for one in group)
        where = group[0].where if len(group) == 1 else f"{len(group)} rows without a source"
        told.append((f"row{'s' if len(group) > 1 else ''} {rows}", where, group[0]))
    return told


def decisions_text(decisions: Sequence[Decision], sheet: str, checklist: str) -> str:
    """The list as text, ending in a line break."""
    waiting = grouped([one for one in decisions if one.asks])
    sure = grouped([one for one in decisions if not one.asks])
    lines = [f"{len(waiting)} to decide: from {sheet} to {checklist}", ""]
    lines += [_entry(*one) for one in waiting] or ["Nothing."]
    if sure:
        lines += ["", f"{len(sure)} taken as sure:", *(_entry(*one) for one in sure)]
    return "\n".join(lines) + "\n"


def _entry(rows: str, where: str, one: Decision) -> str:
    told = f"{rows}: {where}\n    {one.what} [{one.sure}]: {one.took}"
    if not one.asks:
        return told
    question = _QUESTIONS[one.what]
    if one.what == "conditions" and "," in one.took.split(" (")[0]:
        question += " Any one of them earns it; for each to be needed, make a row of each."
    return f"{told}\n    {question}"
