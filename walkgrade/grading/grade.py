"""Findings, checklist, words and policy in, one `Grade` out.

Decides: the order of the work only; each figure comes from the module of its name. Pure: no file,
clock or chance, and the findings are never changed.
Public: grade.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from walkgrade.checklists.records import Checklist
from walkgrade.grading import coverage, pace
from walkgrade.grading.drills import drills
from walkgrade.grading.numbers import number_gaps, numbers
from walkgrade.grading.order import critical_misses, order
from walkgrade.grading.pace_records import Speech
from walkgrade.grading.phrasing import notices, phrasing
from walkgrade.grading.policy import DEFAULT, target
from walkgrade.grading.records import Grade, Policy, Review
from walkgrade.matching.records import Findings
from walkgrade.speech.records import Transcript, Word


def grade(
    findings: Findings,
    checklist: Checklist,
    words: Transcript | Iterable[Word] | Speech,
    policy: Policy = DEFAULT,
    *,
    reviews: tuple[Review, ...] = (),
) -> Grade:
    """Grade one attempt.

    Parameters
    ----------
    findings : what the match found, in checklist order.
    checklist : the checklist the run was matched against.
    words : the transcript, its words with times in ms, or a `Speech` measured before.
    policy : how points are given; by default one for each complete item.
    reviews : an instructor's changes, oldest first; the last one of an item counts.

    Returns
    -------
    Grade; its pace is "not known" when the words have no times.

    Raises
    ------
    InputError ``I71`` when findings and checklist do not belong together, ``I72`` when a review
    names an item that was not graded.
    """
    items = coverage.by_id(checklist, findings)
    found = {row.item: row for row in findings.items}
    speech = (
        words if isinstance(words, Speech) else pace.measure_speech(words, findings.lines, policy)
    )
    rows = coverage.item_grades(findings, items, policy, reviews)
    if not speech.known:
        rows = tuple(replace(row, first_at=None, earned_at=None) for row in rows)
    times = pace.section_times(pace.section_spans(findings.lines)) if speech.known else None
    sections = coverage.section_grades(rows, found, checklist, policy, times)
    totals = coverage.tally(rows, found, policy)
    read = numbers(findings, items)
    steps = order(findings, checklist, items)
    return Grade(
        checklist=checklist.id,
        profile=findings.profile,
        policy=policy,
        totals=totals,
        target=target(policy, totals),
        sections=sections,
        items=rows,
        listening=coverage.listening(rows, found, items, timed=speech.known),
        numbers=read,
        number_gaps=number_gaps(findings, rows, items),
        phrasing=phrasing(findings, items),
        notices=notices(findings),
        order=steps,
        critical=critical_misses(findings, rows, items),
        pace=pace.pace(findings, checklist, rows, sections, speech, policy),
        drills=drills(findings, checklist, rows, read, steps, policy),
        reviews=reviews,
    )
