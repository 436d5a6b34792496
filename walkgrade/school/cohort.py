"""What a group of trainees covers: frames in, frames out.

Decides: which runs of a trainee count, what "missed by many" means, and how shares are made.
Conventions: pure. Runs of one checklist only (see `checklists`). A trainee's runs are numbered by
time (those without a time come first, by file name). Shares are 0 to 100. Items that need listening
are open: they are neither complete nor missed, and stay out of the shares of misses.
Public: `CHOICES`, `OUTCOMES`, `checklists`, `in_turn`, `choose`, `coverage`, `sections`, `missed`,
`number_calls`, `wrong_values`, `standing`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pandas import DataFrame, Series

    from walkgrade.school.frames import Frames

CHOICES = ("latest", "best", "all")
"""Which runs of each trainee count."""

OUTCOMES = ("complete", "incomplete", "named only", "missed", "wrong", "needs listening")
COMPLETE, OPEN = "complete", "needs listening"
ALL_TRAINEES, ALL_ITEMS = "All trainees", "All items"
MET, NOT_MET, UNDECIDED = "reached", "not reached", "open"


def checklists(attempts: DataFrame) -> tuple[str, ...]:
    """Ids of the checklists, the one with most runs first."""
    counts = attempts.groupby("checklist", observed=True).size()
    return tuple(sorted(map(str, counts.index), key=lambda name: (-int(counts[name]), name)))


def in_turn(attempts: DataFrame) -> DataFrame:
    """`attempts` in order of trainee and time, with `turn` (1, 2, ...) and `turns` (how many)."""
    keyed = attempts.assign(_order=attempts["when"].fillna(float("-inf")))
    sorted_ = keyed.sort_values(["trainee", "_order", "file"], kind="stable")
    by = sorted_.groupby("trainee", sort=False)["run"]
    return sorted_.assign(turn=by.cumcount() + 1, turns=by.transform("size")).drop(columns="_order")


def choose(attempts: DataFrame, which: str = "latest") -> DataFrame:
    """The runs that count, in the order and with the columns of `in_turn`.

    ``latest``: each trainee's last run. ``best``: the one with the highest share of points, the
    later one of two alike. ``all``: every run.
    """
    runs = in_turn(attempts)
    if which == "all":
        return runs
    if which == "latest":
        return runs[runs["turn"] == runs["turns"]]
    ranked = runs.assign(_rank=runs["percent"].fillna(-1.0)).sort_values(
        ["trainee", "_rank", "points_high", "turn"], kind="stable"
    )
    return ranked.drop_duplicates("trainee", keep="last").drop(columns="_rank")


def _joined(data: Frames, chosen: DataFrame) -> DataFrame:
    """Findings of the chosen runs, with the trainee."""
    found = data.findings[data.findings["run"].isin(chosen["run"])]
    trainee = chosen.set_index("run")["trainee"].astype("category")
    return found.assign(trainee=found["run"].map(trainee))


def _items(found: DataFrame) -> DataFrame:
    """One row an item, in the checklist's order, with title, section and `critical`."""
    columns = ["item", "title", "section", "section_title", "critical"]
    return found[columns].drop_duplicates("item").set_index("item").loc[_order(found)]


def _order(found: DataFrame) -> list[str]:
    """Items in the checklist's order, though each run holds only those of its own vehicle.

    The run with most items leads; what other runs have besides stands after the item before it.
    """
    sizes = found.groupby("run").size().sort_values(ascending=False, kind="stable")
    wanted = found["item"].nunique()
    order: list[str] = []
    for run in sizes.index:
        before = -1
        for item in found.loc[found["run"] == run, "item"].astype(str):
            if item in order:
                before = order.index(item)
            else:
                before += 1
                order.insert(before, item)
        if len(order) == wanted:
            break
    return order


def coverage(data: Frames, chosen: DataFrame) -> DataFrame:
    """Item by trainee.

    Returns
    -------
    Index: item. Columns: `title`, `section_title`, `critical`, `runs` (that ask for it),
    `complete`, then one column for each trainee key: the outcome where one run of the trainee
    counts, ``2 of 3`` (complete of runs) where several do, empty where no run asks for the item.
    """
    import pandas as pd

    found = _joined(data, chosen)
    items = _items(found)
    done = found["outcome"] == COMPLETE
    keys = [found["item"], found["trainee"]]
    hits = done.groupby(keys, observed=True).sum().unstack()
    runs = done.groupby(keys, observed=True).size().unstack()
    single = chosen["trainee"].is_unique
    if single:
        cells = found.assign(outcome=found["outcome"].astype(object)).pivot(
            index="item", columns="trainee", values="outcome"
        )
    else:
        cells = (
            hits.fillna(0).astype(int).astype(str) + " of " + runs.fillna(0).astype(int).astype(str)
        )
    cells = cells.where(runs.reindex_like(cells).notna(), "")
    # Names of columns must not meet those of trainees: the counts are put before them by position.
    head = items[["title", "section_title", "critical"]].assign(
        runs=runs.sum(axis=1).astype(int), complete=hits.sum(axis=1).astype(int)
    )
    order = list(dict.fromkeys(chosen["trainee"]))
    return pd.concat([head, cells.reindex(index=head.index, columns=order)], axis=1)


def sections(data: Frames, chosen: DataFrame) -> DataFrame:
    """Section by trainee: share of its items that are complete, over the runs that count.

    Index: section title, in the checklist's order; a last row ``All items``. Columns: trainee keys,
    and a last column ``All trainees`` (over all items of all runs, not the mean of the shares).
    NaN where no item was asked for.
    """
    import pandas as pd

    found = _joined(data, chosen)
    done = (found["outcome"] == COMPLETE).astype(float) * 100
    keys = [found["section"], found["trainee"]]
    table = done.groupby(keys, observed=True).mean().unstack()
    items = _items(found)
    titles = items.drop_duplicates("section").set_index("section")["section_title"].astype(str)
    order = list(dict.fromkeys(chosen["trainee"]))
    table = table.reindex(index=titles.index, columns=order)
    rows = done.groupby(found["section"], observed=True).mean().reindex(titles.index)
    bottom = done.groupby(found["trainee"], observed=True).mean().reindex(order)
    whole = pd.concat([table, rows.rename(ALL_TRAINEES)], axis=1)
    whole.index = pd.Index(titles.tolist())
    last = pd.DataFrame([[*bottom.tolist(), done.mean()]], columns=whole.columns)
    last.index = pd.Index([ALL_ITEMS])
    return pd.concat([whole, last])


def missed(data: Frames, chosen: DataFrame) -> DataFrame:
    """Items by how many runs lack them.

    Returns
    -------
    Index: item, the most lacked first (ties in the checklist's order). Columns: `title`,
    `section_title`, `critical`, `runs`, one for each of `OUTCOMES`, `lacking` (runs in which it is
    incomplete, named only, missed or wrong), `judged` (runs less those to be heard) and `share` =
    100 x lacking / judged (NaN when all are to be heard).
    """
    found = _joined(data, chosen)
    items = _items(found)
    counts = found.groupby(["item", "outcome"], observed=True).size().unstack(fill_value=0)
    counts = counts.reindex(index=items.index, columns=list(OUTCOMES), fill_value=0)
    table = items[["title", "section_title", "critical"]].assign(runs=counts.sum(axis=1))
    for name in OUTCOMES:
        table[name] = counts[name]
    table["lacking"] = table["runs"] - table[COMPLETE] - table[OPEN]
    table["judged"] = table["runs"] - table[OPEN]
    table["share"] = _share(table["lacking"], table["judged"])
    return table.sort_values(["lacking", "share"], ascending=False, kind="stable")


def number_calls(data: Frames, chosen: DataFrame) -> DataFrame:
    """Required numbers by how many runs had them wrong or left them out.

    A run has a number wrong when a wrong value was said and not put right elsewhere in the run, and
    right when a right one was said.

    Returns
    -------
    Index: requirement. Columns: `title`, `says`, `accepted`, `critical`, `runs`, `right`, `wrong`,
    `not_given`; wrong and left out the most first.
    """
    rows = data.numbers[data.numbers["run"].isin(chosen["run"])]
    wrong = ~rows["verdict"].isin(["right", "not given"]) & ~rows["repaired"].astype(bool)
    marked = rows.assign(
        wrong=wrong,
        given=rows["verdict"] != "not given",
    )
    runs = marked.groupby(["requirement", "run"], observed=True).agg(
        wrong=("wrong", "any"), given=("given", "any")
    )
    runs["right"] = runs["given"] & ~runs["wrong"]
    runs["not_given"] = ~runs["given"]
    by = runs.groupby(level="requirement", observed=True)
    table = (
        rows[["requirement", "title", "says", "accepted", "critical"]]
        .drop_duplicates("requirement")
        .set_index("requirement")
        .assign(runs=by.size())
        .join(by[["right", "wrong", "not_given"]].sum())
    )
    return (
        table.assign(_all=table["wrong"] + table["not_given"])
        .sort_values(["wrong", "_all"], ascending=False, kind="stable")
        .drop(columns="_all")
    )


def wrong_values(data: Frames, chosen: DataFrame) -> DataFrame:
    """What was said in the place of a right number, the most frequent first.

    Columns: `requirement`, `said`, `verdict`, `times`; wordings that differ only in case or blanks
    count as one.
    """
    rows = data.numbers[data.numbers["run"].isin(chosen["run"])]
    rows = rows[~rows["verdict"].isin(["right", "not given"])]
    said = rows["said"].astype(str).str.split().str.join(" ").str.casefold()
    keyed = rows.assign(said=said)
    counted = keyed.groupby(["requirement", "said", "verdict"], observed=True).size()
    table = counted.rename("times").reset_index()
    return table.sort_values(
        ["times", "requirement", "said"], ascending=[False, True, True], kind="stable"
    ).reset_index(drop=True)


def standing(chosen: DataFrame, target: int | None = None) -> Series:
    """How each run stands against the school's own target: `MET`, `NOT_MET`, `UNDECIDED` or empty.

    Parameters
    ----------
    chosen : runs.
    target : percent of the points possible, rounded up to whole points; None takes each run's own.

    Open: reached only if doubtful items are confirmed. Empty: nothing was possible.
    """
    percent = chosen["target"] if target is None else target
    needed = -(-chosen["points_possible"] * percent // 100)
    state = chosen["points"].astype(object)
    state[:] = NOT_MET
    state[chosen["points_high"] >= needed] = UNDECIDED
    state[chosen["points"] >= needed] = MET
    state[chosen["points_possible"] == 0] = ""
    return state


def _share(part: Series, whole: Series) -> Series:
    return (100 * part / whole.where(whole > 0)).astype(float)
