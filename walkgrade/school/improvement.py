"""Whether trainees get better from run to run: frames in, frames out.

Decides: what is compared: the first and the last run of the same trainee on the same checklist.
Conventions: pure; runs are numbered as in `cohort.in_turn`. A change is in percentage points of the
share of points. Only trainees with two runs or more appear.
Public: `changes`, `by_turn`, `groups`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from walkgrade.school.cohort import COMPLETE, MET, OPEN, in_turn, standing

if TYPE_CHECKING:
    from pandas import DataFrame, Series

    from walkgrade.school.frames import Frames


def changes(data: Frames) -> DataFrame:
    """From each trainee's first to the last run.

    Returns
    -------
    Index: trainee key. Columns: `who`, `runs`, `first_day`, `last_day`, `first`, `last`, `best`
    (percent), `change` = last - first, `gained` (items complete in the last run and not in the
    first, of those both ask for and neither leaves to be heard), `slipped` (the other way round).
    """
    runs = in_turn(data.attempts)
    runs = runs[runs["turns"] > 1]
    first = runs[runs["turn"] == 1].set_index("trainee")
    last = runs[runs["turn"] == runs["turns"]].set_index("trainee")
    table = last[["who"]].assign(
        runs=last["turns"],
        first_day=first["day"],
        last_day=last["day"],
        first=first["percent"],
        last=last["percent"],
        best=runs.groupby("trainee")["percent"].max(),
    )
    table["change"] = (table["last"] - table["first"]).round(1)
    moved = _moved(data, first["run"], last["run"])
    return (
        table.join(moved)
        .fillna({"gained": 0, "slipped": 0})
        .astype({"gained": int, "slipped": int})
    )


def _moved(data: Frames, first: Series, last: Series) -> DataFrame:
    """Items gained and slipped between two runs of each trainee (run numbers by trainee)."""
    import pandas as pd

    def decided(runs: Series) -> DataFrame:
        names = pd.Series(runs.index, index=runs.to_numpy())
        found = data.findings[data.findings["run"].isin(runs)]
        found = found[found["outcome"] != OPEN]
        return pd.DataFrame(
            {
                "trainee": found["run"].map(names),
                "item": found["item"].astype(str),
                "done": found["outcome"] == COMPLETE,
            }
        )

    both = decided(first).merge(decided(last), on=["trainee", "item"], suffixes=("_first", "_last"))
    both["gained"] = both["done_last"] & ~both["done_first"]
    both["slipped"] = both["done_first"] & ~both["done_last"]
    return both.groupby("trainee")[["gained", "slipped"]].sum()


def by_turn(attempts: DataFrame) -> DataFrame:
    """Percent of all first runs, all second runs, and so on.

    Index: turn. Columns: `trainees`, `lowest`, `median`, `highest`. Later turns hold fewer people,
    so two rows do not compare the same ones.
    """
    import pandas as pd

    by = in_turn(attempts).groupby("turn")["percent"]
    return pd.DataFrame(
        {
            "trainees": by.size(),
            "lowest": by.min(),
            "median": by.median(),
            "highest": by.max(),
        }
    )


def groups(chosen: DataFrame, target: int | None = None) -> DataFrame:
    """The runs that count, by class or yard.

    Index: group (empty: none given). Columns: `trainees`, `runs`, `lowest`, `median`, `highest`
    (percent), `reached` (runs that reach the school's target), `to_hear` (items, mean of the runs).
    """
    told = chosen.assign(reached=standing(chosen, target) == MET)
    by = told.groupby("group")
    return by.agg(
        trainees=("trainee", "nunique"),
        runs=("run", "size"),
        lowest=("percent", "min"),
        median=("percent", "median"),
        highest=("percent", "max"),
        reached=("reached", "sum"),
        to_hear=("to_hear", "mean"),
    )
