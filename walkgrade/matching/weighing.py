"""All that speaks for or against a requirement, as a row of plain numbers.

Decides: what is measured of the rules' evidence, of the run reader's answers and of the item
around them; `judge` turns the rows into probabilities.
Conventions: rows are in checklist order, columns are `FEATURES`; log odds are clipped to ±`_FAR`;
everything else lies in 0..1. What a requirement lacks is 0.
Public: `FEATURES`, `Weighing`, `weigh`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from walkgrade.checklists.records import Item, Kind, Requirement
from walkgrade.language.records import Reading, Utterance
from walkgrade.matching.credits import Entry, Ledger
from walkgrade.matching.opinions import Opinions, Sighting
from walkgrade.matching.records import Outcome
from walkgrade.matching.ruling import Bar, rule
from walkgrade.matching.scene import Scene
from walkgrade.matching.zones import Walk

FEATURES = (
    "reader",  # log odds of the best answer, shared out by place
    "reader_again",  # of the next best
    "reader_anywhere",  # of the best wherever it was meant
    "share",  # how surely the best answer was meant for this place
    "reader_against",  # log odds of the best answer against
    "rules_said",  # what the rules make of it
    "rules_against",
    "rules_number",  # the rules' support is a number within the limit
    "carried",  # all support was carried over
    "carried_reader",
    "carried_anywhere",
    "carried_twin",  # log odds of the best answer at the place it was carried from
    "same",  # how surely this part is said to be as told before of another place
    "same_twin",  # log odds of that, and that it was told there before
    "named_near",  # the reader hears the part named here or just before
    "named",  # the rules heard it named
    "kin",  # best answer among the item's other requirements
    "kin_here",  # the same, in the same utterance
    "hedge",  # the best answer stands beside a hedge
    "elsewhere",  # ... beside talk of another vehicle, or an unchecked claim
    "blanket",  # ... in a blanket claim
    "asked",  # ... in a question
    "like",  # ... beside "the same as"
    "heard",  # the recogniser's mean word probability there
    "run_heard",  # the recogniser's mean word probability over the whole run
    "run_reader",  # ... times the log odds of the best answer
    "run_rules",  # ... times what the rules make of it
    "shared_name",  # several items ask the same
    "limit",
    "limit_reader",
    "limit_said",
    "action",
    "action_reader",
    "optional",
)
_FAR = 8.0


@dataclass(frozen=True, slots=True)
class Weighing:
    """`rows[i]` belongs to `requirements[i]`; `best[i]` is the utterance of the best answer, -1
    where the reader heard none."""

    requirements: tuple[str, ...]
    rows: NDArray[np.float64]
    best: tuple[int, ...]

    def evident(self, least: float) -> frozenset[str]:
        """Requirements that something was heard for: an answer of at least `least` (log odds) at
        its place, or words the rules credit. What is usual is no evidence."""
        reader, rules = FEATURES.index("reader"), FEATURES.index("rules_said")
        rows = zip(self.requirements, self.rows, strict=True)
        return frozenset(name for name, row in rows if row[reader] >= least or row[rules] > 0)


def weigh(
    reading: Reading, scene: Scene, walk: Walk, ledger: Ledger, opinions: Opinions, bar: Bar
) -> Weighing:
    """Rows for every requirement of the checklist."""
    names, rows, best = [], [], []
    heard = _mean_heard(reading)
    for item in scene.checklist.items:
        seen = {
            r.id: _with_number(
                r, item, scene, reading, opinions.of_requirement(r.id, scene, walk.near)
            )
            for r in item.requirements
        }
        named = opinions.of_item(item.id, scene, walk.near)
        for requirement in item.requirements:
            twin = _best_twin(requirement, item, scene, walk, opinions)
            row, at = _row(requirement, item, seen, named, reading, ledger, bar, twin)
            row["same"], row["same_twin"] = _said_same(requirement, item, scene, walk, opinions)
            row["run_heard"] = heard
            row["run_reader"] = heard * row["reader"]
            row["run_rules"] = heard * row["rules_said"]
            names.append(requirement.id)
            rows.append([row[name] for name in FEATURES])
            best.append(at)
    return Weighing(tuple(names), np.array(rows).reshape(len(names), len(FEATURES)), tuple(best))


def _with_number(
    requirement: Requirement, item: Item, scene: Scene, reading: Reading, seen: list[Sighting]
) -> list[Sighting]:
    """Where a number was said, if this limit differs from that of the part it could be carried
    over from: another axle, another number, so "same as the front" does not tell it."""
    short = requirement.id.removeprefix(item.id)
    twins = [scene.requirement.get(twin + short) for twin in item.carry_over]
    if requirement.limit is None or all(t is None or t.limit == requirement.limit for t in twins):
        return seen
    return [s for s in seen if reading.utterances[s.row].numbers]


def _mean_heard(reading: Reading) -> float:
    """Mean probability of the recogniser's words, 1 for typed ones (0..1)."""
    heard = [token.prob for utterance in reading.utterances for token in utterance.tokens]
    return sum(heard) / max(1, len(heard))


def _best_twin(
    requirement: Requirement, item: Item, scene: Scene, walk: Walk, opinions: Opinions
) -> float:
    """Best answer to the same requirement where this item may take over from (0..1)."""
    short = requirement.id.removeprefix(item.id)
    seen = [
        s.told * s.share
        for twin in item.carry_over
        if twin + short in scene.requirement
        for s in opinions.of_requirement(twin + short, scene, walk.near)
    ]
    return max(seen, default=0.0)


def _said_same(
    requirement: Requirement, item: Item, scene: Scene, walk: Walk, opinions: Opinions
) -> tuple[float, float]:
    """How surely the item is said to be as told before (0..1), and the log odds that the same
    requirement had been told by then, of a place whose limit is no other."""
    short = requirement.id.removeprefix(item.id)
    twins = [scene.requirement.get(twin + short) for twin in item.carry_over]
    told = [
        s
        for twin in twins
        if twin is not None and twin.limit == requirement.limit
        for s in opinions.of_requirement(twin.id, scene, walk.near)
    ]
    said = [(s.told * s.share, s.row) for s in opinions.same(item.id, scene, walk.near)]
    before = [
        chance * max((t.told * t.share for t in told if t.row <= row), default=0.0)
        for chance, row in said
    ]
    return max((chance for chance, _ in said), default=0.0), log_odds(max(before, default=0.0))


def log_odds(chance: float) -> float:
    """log(p / (1 - p)), clipped."""
    low = 1.0 / (1.0 + math.exp(_FAR))
    safe = min(1.0 - low, max(low, chance))
    return math.log(safe / (1.0 - safe))


def _row(
    requirement: Requirement,
    item: Item,
    seen: dict[str, list[Sighting]],
    named: list[Sighting],
    reading: Reading,
    ledger: Ledger,
    bar: Bar,
    twin: float,
) -> tuple[dict[str, float], int]:
    row = dict.fromkeys(FEATURES, 0.0)
    mine = sorted(seen[requirement.id], key=lambda s: (-s.told * s.share, s.row))
    first = mine[0] if mine else None
    at = first.row if first is not None else -1
    row["reader"] = log_odds(first.told * first.share if first else 0.0)
    row["reader_again"] = log_odds(mine[1].told * mine[1].share if len(mine) > 1 else 0.0)
    row["reader_anywhere"] = log_odds(max((s.told for s in mine), default=0.0))
    row["reader_against"] = log_odds(max((s.against * s.share for s in mine), default=0.0))
    row["share"] = first.share if first else 0.0
    row["shared_name"] = float(any(s.share < 1.0 for s in mine))
    kin = [s for r, sightings in seen.items() if r != requirement.id for s in sightings]
    row["kin"] = max((s.told * s.share for s in kin), default=0.0)
    row["kin_here"] = max((s.told * s.share for s in kin if s.row == at), default=0.0)
    row["named_near"] = max((s.told * s.share for s in named if at - 3 < s.row <= at), default=0.0)
    row["named"] = float(bool(ledger.named.get(item.id)))
    if at >= 0:
        row |= _around(reading.utterances[at])
    row |= _rules(requirement, ledger, bar)
    if row["carried"]:
        row["carried_reader"] = row["reader"]
        row["carried_anywhere"] = row["reader_anywhere"]
        row["carried_twin"] = log_odds(twin)
    row["optional"] = float(not requirement.required)
    for kind in (Kind.LIMIT, Kind.ACTION):
        if requirement.kind == kind:
            row[kind.value] = 1.0
            row[f"{kind.value}_reader"] = row["reader"]
    row["limit_said"] = row["limit"] * row["rules_said"]
    return row, at


def _around(utterance: Utterance) -> dict[str, float]:
    cues = {name for name, _, _ in utterance.cues}
    heard = [token.prob for token in utterance.tokens]
    return {
        "hedge": float("hedge" in cues),
        "elsewhere": float(bool(cues & {"other-vehicle", "unchecked"})),
        "blanket": float("blanket" in cues),
        "asked": float(utterance.text.rstrip().endswith("?")),
        "like": float("same" in cues),
        "heard": sum(heard) / max(1, len(heard)),
    }


def _rules(requirement: Requirement, ledger: Ledger, bar: Bar) -> dict[str, float]:
    """What the rules alone would say, and on what."""
    entries = [e for e in ledger.entries.get(requirement.id, ()) if not e.opinion]
    ruled = rule(entries, bar)
    support = [e for e in entries if not e.against]
    found = {Outcome.SAID: "rules_said", Outcome.CONTRADICTED: "rules_against"}
    row = {found[ruled.outcome]: ruled.confidence} if ruled.outcome in found else {}
    row["carried"] = float(bool(support) and all(e.carried_from for e in support))
    right = _right_number(requirement, support, ledger)
    return row | {"rules_number": float(right)}


def _right_number(requirement: Requirement, support: list[Entry], ledger: Ledger) -> bool:
    if requirement.limit is None:
        return False
    times = {e.evidence.start for e in support}
    return any(
        n.requirement == requirement.id and n.verdict == "right" and n.evidence.start in times
        for n in ledger.numbers
    )
