"""The report for a terminal: the page's summary, readable without colour in 80 columns.

Decides: what fits a terminal; nothing is computed. Colour only repeats what a word says.
Conventions: every text goes in as plain `Text`, never as markup, with control signs taken out, so
that no name or transcript can steer the terminal. Printing is the caller's business.
Public: terminal_report.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from rich.box import SIMPLE_HEAD
from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from walkgrade.reports.wording import NOT_KNOWN, clock, length, percent, plural

Json = dict[str, Any]

_CONTROL = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")
_STYLES = {
    "complete": "green",
    "incomplete": "yellow",
    "named only": "yellow",
    "missed": "bold",
    "wrong": "bold red",
    "needs listening": "magenta",
}


def terminal_report(document: Json, *, every_item: bool = False) -> RenderableType:
    """The report as one renderable for `rich.console.Console.print`.

    Parameters
    ----------
    document : a grade document.
    every_item : also list every item that is not complete, by section.
    """
    return Group(*_parts(document, every_item))


def _parts(document: Json, every_item: bool) -> Iterator[RenderableType]:
    yield from _head(document)
    yield from _score(document)
    yield from _critical(document)
    yield from _notices(document)
    yield from _drills(document)
    yield from _listening(document)
    yield from _numbers(document)
    yield _heading("Sections")
    yield _sections(document)
    yield from _pace(document)
    yield from _wording(document)
    if every_item:
        yield from _items(document)
    yield Text("")
    yield _plain(document["statement"], "italic")


def _plain(text: str, style: str = "") -> Text:
    return Text(_CONTROL.sub(" ", text), style=style)


def _heading(text: str) -> Text:
    return Text(f"\n{text}", style="bold underline")


def _indent(text: Text | str, by: int = 2) -> Padding:
    return Padding(_plain(text) if isinstance(text, str) else text, (0, 0, 0, by), expand=False)


def _head(document: Json) -> Iterator[RenderableType]:
    attempt, made = document["attempt"], document["provenance"]
    who = attempt["trainee"] or "Practice run"
    facts = (attempt["taken_at"].replace("T", " "), attempt["vehicle"], attempt["group"])
    yield _plain(", ".join(fact for fact in (who, *facts) if fact), "bold")
    yield _plain(f"{made['checklist']['title']}, version {made['checklist']['version']}")
    yield Text("Practice evidence, not official.", style="italic")
    if document["cautions"]:
        yield _plain(f"Cautions: {' '.join(document['cautions'])}")


def _score(document: Json) -> Iterator[RenderableType]:
    totals, target = document["totals"], document["target"]
    yield _heading("Summary")
    if not totals["points_possible"]:
        yield _indent("Nothing to grade: no item of the checklist applies.")
        return
    line = (
        f"{totals['points']} of {totals['points_possible']} points ({percent(totals['percent'])})"
    )
    if totals["needs_listening"]:
        line += (
            f", up to {totals['points_if_confirmed']} ({percent(totals['percent_if_confirmed'])}) "
            f"if {plural(totals['needs_listening'], 'doubtful item')} "
            f"{'is' if totals['needs_listening'] == 1 else 'are'} confirmed"
        )
    yield _indent(Text(f"{line}.", style="bold"))
    yield _indent(
        f"School's target {target['points_needed']} ({target['percent']} %): {target['state']}. "
        f"{target['owner']}"
    )
    words = ("complete", "incomplete", "named only", "missed", "wrong", "needs listening")
    counts = Text(", ").join(
        Text(f"{totals[word.replace(' ', '_')]} {word}", style=_STYLES[word]) for word in words
    )
    yield _indent(counts)
    if totals["late"]:
        yield _indent(f"{plural(totals['late'], 'late addition')} among them.")
    if totals["close_calls"]:
        yield _indent(
            f"{plural(totals['close_calls'], 'close call')} among the complete: confirm by ear."
        )
    if document["reviews"]:
        yield _indent(f"{plural(len(document['reviews']), 'change')} by an instructor.")


def _critical(document: Json) -> Iterator[RenderableType]:
    rows = document["critical"]
    if not rows:
        return
    yield _heading(f"Critical: {plural(len(rows), 'item')}")
    yield _indent("Of the kind that commonly fails the whole test; the state's manual decides.")
    for row in rows:
        missing = f": {'; '.join(row['missing'])}" if row["missing"] else ""
        note = f". {row['note']}" if row["note"] else ""
        yield _indent(
            Text.assemble(
                (f"{row['outcome'].upper()} ", _STYLES[row["outcome"]]),
                _plain(f"{row['title']}{missing}{note}"),
            )
        )


def _notices(document: Json) -> Iterator[RenderableType]:
    rows, sound = document["notices"], document["provenance"]["transcript"]["notices"]
    if rows or sound:
        yield _heading("Please note")
    for row in rows:
        start = row["evidence"]["start_ms"]
        moment = "" if start is None else f" (at {clock(start)})"
        yield _indent(f"{row['kind'].capitalize()}: {row['note']}{moment}")
    if any(row["kind"] == "defect stated" for row in rows):
        yield _indent("A real defect on a real vehicle: report it and do not drive.")
    yield from map(_indent, sound)


def _drills(document: Json) -> Iterator[RenderableType]:
    yield _heading("Drill next")
    if not document["drills"]:
        yield _indent("Nothing to drill from this run.")
    for row in document["drills"]:
        flag = " (critical)" if row["critical"] else ""
        yield _indent(_plain(f"{row['rank']}. {row['title']}{flag}", "bold"))
        yield _indent(f'"{row["sentence"]}"', 5)
        yield _indent(row["because"], 5)


def _table(*columns: tuple[str, str]) -> Table:
    table = Table(box=SIMPLE_HEAD, pad_edge=False, expand=False, header_style="")
    for name, side in columns:
        table.add_column(name, justify="right" if side == "right" else "left", overflow="fold")
    return table


def _listening(document: Json) -> Iterator[RenderableType]:
    if not document["listening"]:
        return
    yield _heading(f"To be heard by a person: {plural(len(document['listening']), 'item')}")
    table = _table(("Play", "right"), ("Item", "left"), ("What was heard", "left"))
    for row in document["listening"]:
        moment = "-" if row["start_ms"] is None else clock(row["start_ms"])
        title = f"{row['title']} (counted, a close call)" if row["counted"] else row["title"]
        table.add_row(Text(moment), _plain(title), _plain(row["quote"] or row["reason"]))
    yield table


def _numbers(document: Json) -> Iterator[RenderableType]:
    wrong = [row for row in document["numbers"] if not row["right"]]
    right = len(document["numbers"]) - len(wrong)
    gaps = document["number_gaps"]
    yield _heading(f"Numbers: {right} right, {len(wrong)} wrong, {len(gaps)} not given")
    for row in wrong:
        later = " (put right later)" if row["repaired"] else ""
        yield _indent(
            f"{row['title']}: said {row['said']}, {row['verdict']}{later}; accepted: "
            f"{row['accepted']}"
        )
    for row in gaps:
        yield _indent(f"{row['title']}: not given; accepted: {row['accepted']}")


def _sections(document: Json) -> Table:
    table = _table(
        ("Section", "left"), ("Points", "right"), ("Missed", "right"), ("Time of budget", "right")
    )
    for row in document["sections"]:
        tally = row["tally"]
        upper = f"-{tally['points_if_confirmed']}" if tally["needs_listening"] else ""
        time = f"{length(row['time_ms'])} of {length(row['budget_ms'])}"
        if row["time_ms"] is None:
            time = NOT_KNOWN
        title = row["title"] if row["reached"] else f"{row['title']} (not reached)"
        table.add_row(
            _plain(title),
            Text(f"{tally['points']}{upper} of {tally['points_possible']}"),
            Text(str(tally["missed"])),
            Text(time),
        )
    return table


def _pace(document: Json) -> Iterator[RenderableType]:
    pace = document["pace"]
    yield _heading("Time")
    if not pace["known"]:
        yield _indent("Not known: the transcript has no times.")
        return
    over = f", {length(pace['over_ms'])} over" if pace["over_ms"] else ""
    yield _indent(f"{length(pace['elapsed_ms'])} used of {length(pace['budget_ms'])}{over}.")
    if pace["left_items"]:
        yield _indent(
            f"{plural(pace['left_items'], 'item')} not reached at the end; at the same pace the "
            f"run would take about {length(pace['projected_ms'])}."
        )
    if pace["points_at_budget"] is not None:
        yield _indent(
            f"When the budget ran out: {plural(pace['points_at_budget'], 'point')}, nothing said "
            f"of {plural(len(pace['unsaid']), 'item')}."
        )
    if pace["rate_wpm"] is not None:
        yield _indent(
            f"{pace['rate_wpm']:.0f} words a minute, {pace['rate_band']} of {pace['rate_low']} to "
            f"{pace['rate_high']} (this project's own, not a standard)."
        )
    yield from _silences(pace)


def _silences(pace: Json) -> Iterator[RenderableType]:
    gaps = pace["silences"]
    if gaps:
        told = ", ".join(
            f"{clock(gap['start_ms'])} ({length(gap['end_ms'] - gap['start_ms'])})" for gap in gaps
        )
        yield _indent(f"{plural(len(gaps), 'long silence')}: {told}.")


def _wording(document: Json) -> Iterator[RenderableType]:
    order = document["order"]
    if not (document["phrasing"] or order["issues"] or order["returns"]):
        return
    yield _heading("Wording and order")
    for group in document["phrasing"]:
        starts = [row["evidence"]["start_ms"] for row in group["remarks"]]
        moments = ", ".join(clock(start) for start in starts if start is not None)
        where = f" ({moments})" if moments else ""
        yield _indent(f"{len(group['remarks'])} {group['kind']}{where}: {group['advice']}")
    for row in order["issues"]:
        yield _indent(f"Step {row['step']}, {row['title']}: {row['state']}.")
    for row in order["returns"]:
        yield _indent(f"Back and forth: {row['title']}, {row['visits']} visits.")


def _items(document: Json) -> Iterator[RenderableType]:
    for section in document["sections"]:
        rows = [
            item
            for item in document["items"]
            if item["section"] == section["id"] and item["outcome"] != "complete"
        ]
        if rows:
            yield _heading(_CONTROL.sub(" ", section["title"]))
        for item in rows:
            lacking = [
                part["says"]
                for part in item["requirements"]
                if part["required"] and part["outcome"] != "said"
            ]
            yield _indent(
                Text.assemble(
                    (item["outcome"], _STYLES[item["outcome"]]),
                    _plain(f": {item['title']}{': ' if lacking else ''}{'; '.join(lacking)}"),
                )
            )
