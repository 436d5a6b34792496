"""Whether two people call the same item alike: frames in, frames out.

Decides: which calls are compared: the last call of each person on the same item of the same run.
Conventions: pure. Cohen's kappa (J. Cohen, "A Coefficient of Agreement for Nominal Scales",
Educational and Psychological Measurement 20 (1960), 37-46) over "complete or not", because that is
what earns the point; NaN when one call alone was ever given. Corrections are made knowing the
program's call and those before, so agreement comes out higher than between people who cannot see
each other's calls.
Public: `kappa`, `between_people`, `with_program`.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from typing import TYPE_CHECKING

from walkgrade.school.cohort import COMPLETE

if TYPE_CHECKING:
    from pandas import DataFrame


def kappa(first: Sequence[object], second: Sequence[object]) -> float:
    """Cohen's kappa of two equally long rows of calls: (agreement - chance) / (1 - chance).

    NaN when there is nothing to compare or chance alone explains everything.
    """
    size = len(first)
    if size != len(second):
        raise ValueError(f"{size} calls cannot be compared with {len(second)}")
    kinds = {*first, *second}
    if len(kinds) < 2:
        return float("nan")
    agreed = sum(one == other for one, other in zip(first, second, strict=True)) / size
    chance = sum(
        sum(one == kind for one in first) * sum(one == kind for one in second) for kind in kinds
    ) / (size * size)
    return (agreed - chance) / (1 - chance)


def _last_calls(reviews: DataFrame) -> DataFrame:
    named = reviews.assign(who=reviews["who"].astype(str).str.split().str.join(" "))
    ordered = named.sort_values(["run", "turn"], kind="stable")
    return ordered.drop_duplicates(["run", "item", "who"], keep="last")


def between_people(reviews: DataFrame) -> DataFrame:
    """Every two people who called the same items.

    Columns: `first`, `second`, `items` (called by both), `alike` (share with the very same
    outcome), `alike_credit` (share alike in complete or not), `kappa` of the latter.
    """
    import pandas as pd

    calls = _last_calls(reviews)
    wide = calls.pivot(index=["run", "item"], columns="who", values="call")
    rows = []
    for one, other in combinations(sorted(wide.columns), 2):
        both = wide[[one, other]].dropna()
        if both.empty:
            continue
        left, right = both[one] == COMPLETE, both[other] == COMPLETE
        rows.append(
            (
                one,
                other,
                len(both),
                100 * float((both[one] == both[other]).mean()),
                100 * float((left == right).mean()),
                kappa(left.tolist(), right.tolist()),
            )
        )
    columns = ["first", "second", "items", "alike", "alike_credit", "kappa"]
    return pd.DataFrame(rows, columns=columns)


def with_program(findings: DataFrame) -> DataFrame:
    """What people made of the program's calls, for the items they called at all.

    Index: the program's call. Columns: `items`, `kept`, `to_complete`, `from_complete`.
    """
    called = findings[findings["reviewed"].astype(bool)]
    heard, now = called["heard"].astype(str), called["outcome"].astype(str)
    told = called.assign(
        heard=heard,
        kept=heard == now,
        to_complete=(now == COMPLETE) & (heard != COMPLETE),
        from_complete=(heard == COMPLETE) & (now != COMPLETE),
    )
    by = told.groupby("heard")
    return by.agg(
        items=("run", "size"),
        kept=("kept", "sum"),
        to_complete=("to_complete", "sum"),
        from_complete=("from_complete", "sum"),
    )
