"""The matcher: what was said against a checklist.

Decides: nothing by itself; runs the walk, the hearing and the settling in order.
Conventions: pure; the checklist is already fitted to the vehicle (`checklists.applicable`).
Public: `match`, `weighed`.
"""

from __future__ import annotations

from walkgrade.checklists.records import Checklist
from walkgrade.language.records import Reading, Voice
from walkgrade.matching.again import Heard, again
from walkgrade.matching.corrected import standing
from walkgrade.matching.credits import Ledger
from walkgrade.matching.ends import ranged
from walkgrade.matching.hear import hear
from walkgrade.matching.judge import Judge
from walkgrade.matching.opinions import Opinions
from walkgrade.matching.outcome import Judged, settle
from walkgrade.matching.records import Findings, Line, Remark, Visit
from walkgrade.matching.ruling import Bar
from walkgrade.matching.scene import Scene
from walkgrade.matching.steps import order_steps
from walkgrade.matching.weighing import weigh
from walkgrade.matching.zones import Walk, walk

_SHORTEST_VISIT_MS = 4000
_EVIDENT = -0.4  # log odds of an answer that is more than a guess (probability 0.4)


def match(
    reading: Reading,
    checklist: Checklist,
    profile_id: str,
    bar: Bar | None = None,
    judge: Judge | None = None,
) -> Findings:
    """Findings of one attempt.

    Parameters
    ----------
    reading : the talk, read against the same checklist.
    checklist : only the items and requirements that apply to this vehicle.
    profile_id : name of the vehicle profile, for the record.
    bar : confidence thresholds of the rules; the defaults are those measured on the tune part.
    judge : weighs rules and readers where the reading holds opinions, and has doubtful items read
        again; None: rules alone.
    """
    scene = Scene(checklist)
    opinions = Opinions(reading) if reading.opinions and judge is not None else None
    path = walk(reading, scene, opinions)
    ledger = hear(reading, scene, path, opinions)
    judged = None
    if judge is not None and opinions is not None:
        rows = weigh(reading, scene, path, ledger, opinions, bar or Bar())
        bench = judge.bench(recognised=reading.recognised)
        heard = Heard(reading, scene, path, opinions, ledger, rows)
        chances, evident = again(heard, judge, bench, _EVIDENT)
        judged = Judged(marks=bench.marks, chances=chances, evident=evident)
    items = settle(ledger, scene, bar or Bar(), judged)
    return Findings(
        checklist=checklist.id,
        profile=profile_id,
        items=items,
        numbers=ranged(standing(ledger.numbers, reading.utterances), scene.requirement),
        remarks=_once(ledger.remarks),
        visits=_visits(reading, scene, path),
        steps=order_steps(items, scene),
        lines=_lines(reading, scene, path, ledger),
    )


def weighed(reading: Reading, checklist: Checklist, bar: Bar | None = None) -> Heard:
    """A reading with opinions and its weighed evidence: what a judge is fitted to."""
    scene, opinions = Scene(checklist), Opinions(reading)
    path = walk(reading, scene, opinions)
    ledger = hear(reading, scene, path, opinions)
    rows = weigh(reading, scene, path, ledger, opinions, bar or Bar())
    return Heard(reading, scene, path, opinions, ledger, rows)


def _once(remarks: list[Remark]) -> tuple[Remark, ...]:
    """Remarks without repeats on the same words, in time order."""
    kept: dict[tuple[str, str, int], Remark] = {}
    for remark in remarks:
        kept.setdefault((remark.kind, remark.evidence.utterance, remark.evidence.start), remark)
    return tuple(sorted(kept.values(), key=lambda r: (r.evidence.start, r.kind)))


def _visits(reading: Reading, scene: Scene, path: Walk) -> tuple[Visit, ...]:
    """Stays in one place; passing mentions shorter than four seconds are no visits."""
    stays: list[Visit] = []
    for at, utterance in enumerate(reading.utterances):
        if utterance.voice != Voice.TRAINEE:
            continue
        place = scene.zones[int(path.path[at])].place
        if stays and stays[-1].place == place:
            stays[-1] = Visit(place=place, start=stays[-1].start, end=utterance.end)
        else:
            stays.append(Visit(place=place, start=utterance.start, end=utterance.end))
    kept: list[Visit] = []
    for stay in stays:
        if stay.end - stay.start < _SHORTEST_VISIT_MS and reading.timed:
            continue
        if kept and kept[-1].place == stay.place:
            kept[-1] = Visit(place=stay.place, start=kept[-1].start, end=stay.end)
        else:
            kept.append(stay)
    return tuple(kept)


def _lines(reading: Reading, scene: Scene, path: Walk, ledger: Ledger) -> tuple[Line, ...]:
    lines = []
    for at, utterance in enumerate(reading.utterances):
        zone = scene.zones[int(path.path[at])]
        trainee = utterance.voice == Voice.TRAINEE
        lines.append(
            Line(
                id=utterance.id,
                text=utterance.text,
                start=utterance.start,
                end=utterance.end,
                voice=utterance.voice,
                place=zone.place if trainee else "",
                section=zone.section if trainee else "",
                items=tuple(ledger.touched.get(utterance.id, {})),
            )
        )
    return tuple(lines)
