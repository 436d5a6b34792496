"""Pictures for the page, drawn as SVG by hand: the run against its budget, and the points bar.

Decides: where things are drawn. Every value comes from the grade document.
Conventions: one row for each section: a solid bar where its time went, an outlined bar as long as
its budget from where it began, hatching for silences, a cross for something said wrongly, a
question mark for something to hear. Shape and word carry the meaning; colour only repeats it. All
text is escaped here; ids start with the given prefix so that two pictures can share a page.
Public: timeline, points_bar.
"""

from __future__ import annotations

from collections.abc import Iterator
from html import escape
from typing import Any

from walkgrade.reports.wording import clock, length, plural

Json = dict[str, Any]

_ROW = 46
_TOP = 34
_BAR = 13


class _Scale:
    """Milliseconds of the recording to units of the picture."""

    def __init__(self, start: int, end: int, width: int) -> None:
        self.start, self.end, self.width = start, max(end, start + 1), width

    def x(self, moment: int) -> float:
        inside = min(max(moment, self.start), self.end)
        return round((inside - self.start) / (self.end - self.start) * self.width, 1)


def timeline(document: Json, *, width: int, prefix: str) -> str:
    """The run against its budget, or an empty text when the transcript has no times.

    Parameters
    ----------
    document : a grade document.
    width : of the picture in CSS pixels at natural size.
    prefix : starts every id in the picture.
    """
    pace = document["pace"]
    if not pace["known"]:
        return ""
    end = max(pace["last_ms"], pace["budget_end_ms"])
    scale = _Scale(pace["first_ms"], end, width)
    height = _TOP + _ROW * len(document["sections"]) + 6
    body = "".join(
        (
            *_axis(pace, scale, height),
            *(
                piece
                for number, section in enumerate(document["sections"])
                for piece in _row(document, section, scale, _TOP + _ROW * number, prefix)
            ),
            *_budget_end(pace, scale, height),
        )
    )
    told = (
        f"{length(pace['elapsed_ms'])} used of {length(pace['budget_ms'])}; "
        f"{plural(len(pace['silences']), 'silence')}. The table of sections holds the same figures."
    )
    return (
        f'<svg class="timeline" role="img" aria-labelledby="{prefix}-t {prefix}-d" '
        f'viewBox="0 0 {width} {height}" width="{width}" height="{height}">'
        f'<title id="{prefix}-t">Time spent in each section against its budget</title>'
        f'<desc id="{prefix}-d">{escape(told)}</desc>'
        f"{_hatch(prefix)}{body}</svg>"
    )


def _hatch(prefix: str) -> str:
    return (
        f'<defs><pattern id="{prefix}-h" width="5" height="5" patternUnits="userSpaceOnUse" '
        f'patternTransform="rotate(45)"><rect class="hatch-bg" width="5" height="5"/>'
        f'<rect class="hatch" width="1.6" height="5"/></pattern></defs>'
    )


def _axis(pace: Json, scale: _Scale, height: int) -> Iterator[str]:
    """Minute marks, about six of them, counted from the first word."""
    total = (scale.end - scale.start) / 60_000
    step = next((size for size in (1, 2, 5, 10, 15, 30) if total / size <= scale.width / 90), 60)
    for minute in range(0, int(total) + 1, step):
        x = scale.x(pace["first_ms"] + minute * 60_000)
        anchor = "start" if minute == 0 else "middle"
        if scale.width - x < 24 or abs(x - scale.x(pace["budget_end_ms"])) < 46:
            continue
        yield f'<line class="grid" x1="{x}" x2="{x}" y1="{_TOP - 8}" y2="{height}"/>'
        yield (
            f'<text class="axis" x="{x}" y="{_TOP - 14}" text-anchor="{anchor}">{minute}:00</text>'
        )


def _budget_end(pace: Json, scale: _Scale, height: int) -> Iterator[str]:
    x = scale.x(pace["budget_end_ms"])
    anchor = "end" if x > scale.width - 60 else "middle"
    yield f'<line class="limit" x1="{x}" x2="{x}" y1="{_TOP - 8}" y2="{height}"/>'
    yield (
        f'<text class="axis strong" x="{x}" y="{_TOP - 14}" text-anchor="{anchor}">'
        f"{length(pace['budget_ms'])} budget</text>"
    )


def _row(document: Json, section: Json, scale: _Scale, top: int, prefix: str) -> Iterator[str]:
    pace = document["pace"]
    spans = [span for span in pace["spans"] if span["section"] == section["id"]]
    bar = top + 18
    yield _label(section, spans, scale, top + 11)
    if spans:
        start = spans[0]["start_ms"]
        x, stop = scale.x(start), scale.x(start + section["budget_ms"])
        yield (
            f'<rect class="budget" x="{x}" y="{bar - 3}" width="{max(stop - x, 2):.1f}" '
            f'height="{_BAR + 6}"/>'
        )
    for span in spans:
        x, stop = scale.x(span["start_ms"]), scale.x(span["end_ms"])
        yield (
            f'<rect class="spent" x="{x}" y="{bar}" width="{max(stop - x, 1):.1f}" '
            f'height="{_BAR}"/>'
        )
    yield from _silences(pace, section, scale, bar, prefix)
    yield from _marks(document, section, scale, bar)


def _label(section: Json, spans: list[Json], scale: _Scale, y: int) -> str:
    tally = section["tally"]
    facts = [f"{length(section['time_ms'])} of {length(section['budget_ms'])}"]
    if not spans:
        facts = ["not reached"]
    if tally["missed"]:
        facts.append(f"{tally['missed']} missed")
    told = ", ".join(facts)
    # About 6.6 units a letter at 12 px, 7.6 in bold: cut the title before it meets the facts.
    room = max(8, int((scale.width - 6.6 * len(told)) / 7.6) - 1)
    title = section["title"]
    short = title if len(title) <= room else f"{title[: room - 1].rstrip()}…"
    return (
        f'<text class="name" x="0" y="{y}">{escape(short)}</text>'
        f'<text class="fact" x="{scale.width}" y="{y}" text-anchor="end">{escape(told)}</text>'
    )


def _silences(pace: Json, section: Json, scale: _Scale, bar: int, prefix: str) -> Iterator[str]:
    for gap in pace["silences"]:
        if gap["section"] != section["id"]:
            continue
        x, stop = scale.x(gap["start_ms"]), scale.x(gap["end_ms"])
        told = f"Silence of {length(gap['end_ms'] - gap['start_ms'])} at {clock(gap['start_ms'])}"
        yield (
            f'<rect class="silence" x="{x}" y="{bar}" width="{max(stop - x, 3):.1f}" '
            f'height="{_BAR}" fill="url(#{prefix}-h)"><title>{escape(told)}</title></rect>'
        )


def _marks(document: Json, section: Json, scale: _Scale, bar: int) -> Iterator[str]:
    y = bar + _BAR / 2
    for item in document["items"]:
        start = _fault_at(document, item)
        if item["section"] != section["id"] or start is None:
            continue
        x = min(max(scale.x(start), 7), scale.width - 7)
        told = escape(f"{item['title']}: {item['outcome']}, {clock(start)}")
        if item["outcome"] == "wrong":
            yield (
                f'<g class="mark-wrong"><title>{told}</title><circle cx="{x}" cy="{y}" r="6.5"/>'
                f'<path d="M{x - 3} {y - 3}l6 6m0 -6l-6 6"/></g>'
            )
        elif item["outcome"] == "needs listening":
            yield (
                f'<g class="mark-hear"><title>{told}</title><circle cx="{x}" cy="{y}" r="6.5"/>'
                f'<text x="{x}" y="{y + 3.6}" text-anchor="middle">?</text></g>'
            )


def _fault_at(document: Json, item: Json) -> int | None:
    """Where the faulty words of an item stand: the wrong number, the contradiction, the doubt."""
    moments = [
        row["evidence"]["start_ms"]
        for row in document["numbers"]
        if row["item"] == item["id"] and not row["right"]
    ]
    moments += [
        piece["start_ms"]
        for part in item["requirements"]
        if part["outcome"] in ("contradicted", "unclear")
        for piece in part["evidence"]
    ]
    first: int | None = next((start for start in moments if start is not None), None)
    return item["first_at_ms"] if first is None else first


def points_bar(document: Json, *, prefix: str) -> str:
    """Points earned, points still open and the school's target on one bar 600 wide."""
    totals, target = document["totals"], document["target"]
    possible = totals["points_possible"]
    if not possible:
        return ""
    earned = round(600 * totals["points"] / possible, 1)
    upper = round(600 * totals["points_if_confirmed"] / possible, 1)
    aim = round(600 * target["points_needed"] / possible, 1)
    told = (
        f"{totals['points']} of {possible} points; up to {totals['points_if_confirmed']} if every "
        f"doubtful item is confirmed; the school's target is {target['points_needed']}."
    )
    return (
        f'<svg class="points" role="img" aria-labelledby="{prefix}-t" viewBox="0 0 600 30" '
        f'width="600" height="30" preserveAspectRatio="none"><title id="{prefix}-t">'
        f"{escape(told)}</title>{_hatch(prefix)}"
        f'<rect class="track" x="0.5" y="4.5" width="599" height="21"/>'
        f'<rect class="earned" x="0" y="4" width="{earned}" height="22"/>'
        f'<rect class="silence" x="{earned}" y="4" width="{max(upper - earned, 0):.1f}" '
        f'height="22" fill="url(#{prefix}-h)"/>'
        f'<path class="aim" d="M{aim} 0V30"/></svg>'
    )
