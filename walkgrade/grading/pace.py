"""Pace: where the time went, how fast the trainee spoke, and what the budget left unsaid.

Decides: the speaking time (pauses of `Policy.long_pause_ms` or more and other voices taken out),
the silences worth listing, the time of each section, the projected finish.
Conventions: the clock runs from the trainee's first word to the last. A section lasts from the
start of its first line to the start of the next section's, so the walk there belongs to the section
that is left; lines without a section stay in the running one. Everything moves with the recording:
adding a constant to all times changes no length and no points.
Sources: no federal rule or state manual seen sets a speech rate. The band of 100 to 150 words a
minute is this project's own suggestion. ICAO Doc 9432, chapter 2, asks for not more than 100 words
a minute in safety-critical radio speech (seen second hand).
Public: RATE_NOTE, measure_speech, section_spans, section_times, pace.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from walkgrade.checklists.records import Checklist
from walkgrade.grading.pace_records import Pace, RateBand, SectionSpan, Silence, Speech
from walkgrade.grading.records import ItemGrade, Policy, SectionGrade
from walkgrade.matching.records import Findings, Line
from walkgrade.speech.records import Transcript, Word

RATE_NOTE = (
    "The band is this project's own suggestion, not a standard; no state manual or federal rule "
    "seen sets a rate. For safety-critical radio speech ICAO Doc 9432 asks for not more than 100 "
    "words a minute (seen second hand)."
)


def measure_speech(
    words: Transcript | Iterable[Word], lines: Sequence[Line], policy: Policy
) -> Speech:
    """Speech rate and silences of one run.

    Parameters
    ----------
    words : a transcript, or its words with times in milliseconds.
    lines : the lines of the findings; words inside another voice's line are not the trainee's.
    policy : `long_pause_ms` and `silence_ms`.

    Returns
    -------
    Speech, with `known` False for a transcript without times or without a word of the trainee.
    """
    if isinstance(words, Transcript):
        if not words.timed:
            return Speech(known=False)
        words = [word for segment in words.segments for word in segment.words]
    everyone = sorted(words, key=lambda word: (word.start, word.end))
    others = [(line.start, line.end) for line in lines if line.voice == "other"]
    own = [word for word in everyone if not _inside(word, others)]
    if not own:
        return Speech(known=False)
    speaking = _speaking_ms(own, policy.long_pause_ms)
    return Speech(
        known=True,
        words=len(own),
        speaking_ms=speaking,
        first=own[0].start,
        last=max(word.end for word in own),
        rate_wpm=round(60_000 * len(own) / speaking, 1) if speaking else None,
        silences=_silences(everyone, lines, policy.silence_ms),
    )


def _inside(word: Word, spans: list[tuple[int, int]]) -> bool:
    middle = (word.start + word.end) // 2
    return any(start <= middle < end for start, end in spans)


def _speaking_ms(words: list[Word], long_pause: int) -> int:
    """Time from first to last word less the long pauses; overlapping words count once."""
    total, reached = 0, words[0].start
    for word in words:
        gap = max(0, word.start - reached)
        total += gap if gap < long_pause else 0
        total += max(0, word.end - max(word.start, reached))
        reached = max(reached, word.end)
    return total


def _silences(words: list[Word], lines: Sequence[Line], shortest: int) -> tuple[Silence, ...]:
    out, reached = [], words[0].start
    for word in words:
        if word.start - reached >= shortest:
            out.append(Silence(start=reached, end=word.start, section=_section_at(lines, reached)))
        reached = max(reached, word.end)
    return tuple(out)


def _section_at(lines: Sequence[Line], moment: int) -> str:
    """The running section at `moment`: that of the last line begun by then that has one."""
    names = [line.section for line in lines if line.section and line.start <= moment]
    return names[-1] if names else ""


def section_spans(lines: Sequence[Line]) -> tuple[SectionSpan, ...]:
    """The run cut into stretches of one section; lines before the first known section are left
    out, neighbours of the same section are joined."""
    marks: list[tuple[str, int]] = []
    for line in lines:
        if line.section and (not marks or marks[-1][0] != line.section):
            marks.append((line.section, line.start))
    if not marks:
        return ()
    finish = max(line.end for line in lines)
    stops = [start for _, start in marks[1:]] + [finish]
    return tuple(
        SectionSpan(section=name, start=start, end=max(start, stop))
        for (name, start), stop in zip(marks, stops, strict=True)
    )


def section_times(spans: Iterable[SectionSpan]) -> dict[str, int]:
    """Milliseconds spent by section id."""
    times: dict[str, int] = {}
    for span in spans:
        times[span.section] = times.get(span.section, 0) + span.end - span.start
    return times


def pace(
    findings: Findings,
    checklist: Checklist,
    grades: tuple[ItemGrade, ...],
    sections: tuple[SectionGrade, ...],
    speech: Speech,
    policy: Policy,
) -> Pace:
    """Where the time went; only the budget is known when the transcript has no times."""
    budget = checklist.budget_s * 1_000
    if not speech.known:
        return Pace(known=False, budget_ms=budget, speech=speech, rate_note=RATE_NOTE)
    elapsed = speech.last - speech.first
    limit = speech.first + budget
    late = elapsed > budget
    left = _left_items(grades, sections)
    done = [row for row in grades if row.earned_at is not None and row.earned_at <= limit]
    unsaid = [row.item for row in grades if row.first_at is None or row.first_at >= limit]
    return Pace(
        known=True,
        budget_ms=budget,
        speech=speech,
        elapsed_ms=elapsed,
        over_ms=max(0, elapsed - budget),
        projected_ms=elapsed + _still_to_come(elapsed, grades, sections),
        left_items=sum(len(rows) for rows in left.values()),
        budget_end=limit,
        points_at_budget=sum(row.points for row in done) if late else None,
        unsaid=tuple(unsaid) if late else (),
        spans=section_spans(findings.lines),
        rate_band=_band(speech.rate_wpm, policy),
        rate_note=RATE_NOTE,
    )


def _band(rate: float | None, policy: Policy) -> RateBand:
    if rate is None:
        return RateBand.UNKNOWN
    if rate < policy.rate_low:
        return RateBand.SLOWER
    return RateBand.WITHIN if rate <= policy.rate_high else RateBand.FASTER


def _left_items(
    grades: tuple[ItemGrade, ...], sections: tuple[SectionGrade, ...]
) -> dict[str, list[str]]:
    """Items not reached, by section: all of a section never reached, and in the furthest section
    reached those after the last item of which something was said. Gaps before that are misses."""
    reached = [row.section for row in sections if row.reached]
    left: dict[str, list[str]] = {}
    for section in sections:
        rows = [row for row in grades if row.section == section.section]
        if not section.reached:
            left[section.section] = [row.item for row in rows]
        elif section.section == reached[-1]:
            heard = [n for n, row in enumerate(rows) if row.first_at is not None]
            tail = rows[max(heard, default=-1) + 1 :]
            left[section.section] = [row.item for row in tail]
    return {name: rows for name, rows in left.items() if rows}


def _still_to_come(
    elapsed: int, grades: tuple[ItemGrade, ...], sections: tuple[SectionGrade, ...]
) -> int:
    """Milliseconds to add for the items not reached: their budget, stretched by the pace so far."""
    left = _left_items(grades, sections)
    planned = sum(row.budget_ms for row in sections)
    to_come = sum(
        row.budget_ms * len(left.get(row.section, ())) / row.tally.items for row in sections
    )
    used = planned - to_come
    return round(elapsed * to_come / used) if used > 0 else 0
