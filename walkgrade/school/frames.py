"""Graded runs of a group as tables in memory.

Decides: the columns. One row of `attempts` is one run; the other frames point at it by `run`.
Conventions: `run` counts from 0 in the order the documents were given. `trainee` is the key people
are told apart by, `who` is what is shown. `when` is in seconds since 1970, NaN when no time is
known; percentages are 0 to 100, NaN when nothing was possible. Outcomes are those that count, after
every review; `heard` is what the program made of it before.
Public: `Frames`, `frames`, `ATTEMPTS`, `FINDINGS`, `NUMBERS`, `REVIEWS`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pandas import DataFrame

Rows = Iterable[tuple[Any, ...]]

ATTEMPTS = (
    "run", "file", "attempt", "trainee", "who", "group", "day", "when", "graded_at",
    "checklist", "checklist_title", "version", "vehicle",
    "items", "complete", "to_hear", "critical_open",
    "points", "points_high", "points_possible", "percent", "percent_high", "target",
    "elapsed_ms", "budget_ms",
)  # fmt: skip
FINDINGS = (
    "run", "item", "title", "section", "section_title", "critical", "outcome", "heard", "reviewed",
)  # fmt: skip
NUMBERS = (
    "run", "item", "requirement", "title", "says", "accepted", "critical", "said", "verdict",
    "repaired",
)  # fmt: skip
REVIEWS = ("run", "item", "turn", "who", "call")

# What repeats from run to run; a category holds it once and is grouped quickly.
_REPEATING = (
    "item", "title", "section", "section_title", "outcome", "heard", "requirement", "says",
    "accepted", "verdict",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Frames:
    """Runs of a group; columns as named by the constants of this module.

    `numbers` has a row for each number read against a limit, and one with the verdict ``not
    given`` for each required number that was never said. `reviews` are instructors' calls, `turn`
    counting from 0 within a run.
    """

    attempts: DataFrame
    findings: DataFrame
    numbers: DataFrame
    reviews: DataFrame

    def of(self, runs: Iterable[int]) -> Frames:
        """The same for some runs only."""
        wanted = list(runs)
        return Frames(
            attempts=self.attempts[self.attempts["run"].isin(wanted)],
            findings=self.findings[self.findings["run"].isin(wanted)],
            numbers=self.numbers[self.numbers["run"].isin(wanted)],
            reviews=self.reviews[self.reviews["run"].isin(wanted)],
        )


def frames(attempts: Rows, findings: Rows, numbers: Rows = (), reviews: Rows = ()) -> Frames:
    """Frames from rows whose cells are in the order of the constants."""
    return Frames(
        attempts=_frame(attempts, ATTEMPTS),
        findings=_frame(findings, FINDINGS),
        numbers=_frame(numbers, NUMBERS),
        reviews=_frame(reviews, REVIEWS),
    )


def _frame(rows: Rows, columns: tuple[str, ...]) -> DataFrame:
    import pandas as pd

    made = pd.DataFrame.from_records(list(rows), columns=list(columns))
    for name in set(_REPEATING) & set(columns):
        if name != "title" or "requirement" not in columns:
            made[name] = made[name].astype("category")
    return made
