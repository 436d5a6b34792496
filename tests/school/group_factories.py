"""Rows of a group's frames with every cell defaulted, so a test names what matters."""

from __future__ import annotations

from typing import Any

from walkgrade.school.frames import ATTEMPTS, FINDINGS, NUMBERS

LETTERS = {
    "C": "complete",
    "I": "incomplete",
    "N": "named only",
    "M": "missed",
    "W": "wrong",
    "?": "needs listening",
}


def attempt(run: int, who: str = "A", **values: Any) -> tuple[Any, ...]:
    """A row of `attempts`; whatever is not given is plain."""
    row = {
        "run": run,
        "file": f"run-{run:03}.json",
        "attempt": f"id-{run}",
        "trainee": who.casefold(),
        "who": who,
        "group": "",
        "day": "",
        "when": float(run),
        "graded_at": "",
        "checklist": "list",
        "checklist_title": "The list",
        "version": "1.0",
        "vehicle": "bus",
        "items": 4,
        "complete": 0,
        "to_hear": 0,
        "critical_open": 0,
        "points": 0,
        "points_high": 0,
        "points_possible": 4,
        "percent": 0.0,
        "percent_high": 0.0,
        "target": 80,
        "elapsed_ms": float("nan"),
        "budget_ms": 60_000,
    } | values
    assert set(row) == set(ATTEMPTS)
    return tuple(row[name] for name in ATTEMPTS)


def finding(run: int, item: str, letter: str, **values: Any) -> tuple[Any, ...]:
    """A row of `findings`; the section is the first letter of the item."""
    row = {
        "run": run,
        "item": item,
        "title": item.upper(),
        "section": item[0],
        "section_title": f"Section {item[0]}",
        "critical": False,
        "outcome": LETTERS[letter],
        "heard": LETTERS[letter],
        "reviewed": False,
    } | values
    return tuple(row[name] for name in FINDINGS)


def number(
    run: int, requirement: str, verdict: str, said: str = "", **values: Any
) -> tuple[Any, ...]:
    """A row of `numbers`."""
    row = {
        "run": run,
        "item": "item",
        "requirement": requirement,
        "title": requirement.upper(),
        "says": "says",
        "accepted": "accepted",
        "critical": False,
        "said": said,
        "verdict": verdict,
        "repaired": False,
    } | values
    return tuple(row[name] for name in NUMBERS)
