"""Doubtful items are read again, each as a whole.

Decides: which items are doubtful (`judge.Second`), and that what the item reader understood of them
joins the chances and the evidence; where it may take credit away, but give none (`held`).
Conventions: chances 0..1 by requirement id; nothing is read again without an item reader.
Public: `Heard`, `again`, `doubtful`, `held`, `item_answers`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from walkgrade.checklists.records import Item
from walkgrade.language.records import Reading
from walkgrade.matching.credits import Entry, Ledger, evidence_of
from walkgrade.matching.excerpts import Excerpts
from walkgrade.matching.judge import Bench, Judge, Second, second_rows
from walkgrade.matching.opinions import Opinions
from walkgrade.matching.scene import Scene
from walkgrade.matching.weighing import Weighing
from walkgrade.matching.zones import Walk

_NAMED = 0.3  # a part less surely named than this was not


@dataclass(frozen=True, slots=True)
class Heard:
    """Everything that was made of a reading so far."""

    reading: Reading
    scene: Scene
    path: Walk
    opinions: Opinions
    ledger: Ledger
    weighing: Weighing


def again(
    heard: Heard, judge: Judge, bench: Bench, evident: float
) -> tuple[dict[str, float], frozenset[str]]:
    """Chances of all requirements, and those that something was heard for (log odds of at least
    `evident`); doubtful items are read again and what is understood of them is entered."""
    chances, known = bench.chances(heard.weighing), heard.weighing.evident(evident)
    if bench.second is None or judge.items is None:
        return chances, known
    items = doubtful(chances, heard.scene, bench.second)
    told = item_answers(heard, items, judge)
    if not told:
        return chances, known
    at = {name: row for row, name in enumerate(heard.weighing.requirements)}
    first = np.array([chances[name] for name in told])
    rows = heard.weighing.rows[[at[name] for name in told]]
    found = bench.second.chances(second_rows(first, np.array(list(told.values())), rows))
    less = {name for name in told if held(name, heard)}
    for name, chance in zip(told, map(float, found), strict=True):
        chances[name] = min(chance, chances[name]) if name in less else chance
    _enter(heard, chances, [name for name in told if name not in less], bench.marks.listen)
    return chances, known | {n for n, odds in told.items() if odds >= evident and n not in less}


def held(requirement: str, heard: Heard) -> bool:
    """True when a second reading may take credit away, but give none: its surest line speaks of
    another vehicle or of a drive that this one has not, the rules hear the contrary, or nobody
    hears its part named at all."""
    item = heard.scene.owner[requirement]
    if heard.opinions.denied(requirement):
        return True
    if any(one.against for one in heard.ledger.entries.get(requirement, [])[-1:]):
        return True
    named = heard.opinions.of_item(item.id, heard.scene, heard.path.near)
    return not heard.ledger.named.get(item.id) and all(s.told * s.share < _NAMED for s in named)


def doubtful(chances: Mapping[str, float], scene: Scene, second: Second) -> list[Item]:
    """Items whose weakest required requirement is neither surely told nor surely not."""
    found = []
    for item in scene.checklist.items:
        needed = [chances[one.id] for one in item.requirements if one.required]
        if needed and second.least <= min(needed) < second.most:
            found.append(item)
    return found


def item_answers(heard: Heard, items: list[Item], judge: Judge) -> dict[str, float]:
    """Requirement id -> the item reader's log odds, of the items that any line may tell of."""
    if judge.items is None:
        return {}
    excerpts = Excerpts(heard.reading, heard.scene, heard.path, heard.opinions)
    asked = [(item, one) for item in items if (one := excerpts.question(item)) is not None]
    answers = judge.items.answers(
        heard.reading.utterances, excerpts.places, [one for _, one in asked]
    )
    return {
        requirement.id: odds
        for (item, _), told in zip(asked, answers, strict=True)
        for requirement, odds in zip(item.requirements, told, strict=True)
    }


def _enter(heard: Heard, chances: Mapping[str, float], told: list[str], least: float) -> None:
    """Show the likeliest line of what is understood only now."""
    best = dict(zip(heard.weighing.requirements, heard.weighing.best, strict=True))
    for name in told:
        row, entries = best[name], heard.ledger.entries.get(name, [])
        if chances[name] < least or row < 0 or any(not one.against for one in entries):
            continue
        utterance = heard.reading.utterances[row]
        item = heard.scene.owner[name]
        says = heard.scene.requirement[name].says
        reason = f"From all that is said of {item.title}, '{says}' is understood to be told."
        evidence = evidence_of(utterance, 0, len(utterance.tokens), chances[name])
        entry = Entry(requirement=name, evidence=evidence, reason=reason, opinion=True)
        heard.ledger.credit(entry, item.id)
        heard.ledger.entries[name].sort(key=lambda one: one.evidence.start)
