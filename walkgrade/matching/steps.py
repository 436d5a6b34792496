"""Wordings of the checklist's own: actions of a procedure, and special phrases of items.

Decides: which requirement a met wording earns; where several steps share a wording, the next one
not yet done in order.
Conventions: steps are numbered from 1 within their section.
Public: `credit_steps`, `order_steps`.
"""

from __future__ import annotations

from collections import defaultdict

from walkgrade.language.records import PatternMention
from walkgrade.matching.credits import evidence_of
from walkgrade.matching.moment import Moment
from walkgrade.matching.records import ItemFinding, ItemOutcome, StepFinding, StepState
from walkgrade.matching.scene import Scene

_LEAST = 0.12  # least chance of the zone for a wording to count without its item's name


def credit_steps(moment: Moment) -> tuple[str, ...]:
    """Credit the wordings met in an utterance; returns the items they belong to."""
    scene, utterance = moment.scene, moment.utterance
    by_span: dict[tuple[int, int], list[PatternMention]] = defaultdict(list)
    for mention in utterance.patterns:
        requirement = scene.requirement.get(mention.requirement)
        if requirement is None:
            continue  # a number is only ever earned by its value
        if not mention.idle:
            by_span[(mention.first, mention.last)].append(mention)
    touched: list[str] = []
    for (first, last), mentions in sorted(by_span.items()):
        for mention in _choose(mentions, moment):
            item = scene.owner[mention.requirement]
            chance = moment.chance(item.id)
            ours = item.section in scene.procedures
            if chance < _LEAST and (ours or not moment.ledger.named.get(item.id)):
                continue
            sure = mention.score * (0.95 if chance >= 0.5 else 0.8 if chance >= 0.25 else 0.65)
            evidence = evidence_of(utterance, first, last, sure)
            wanted = scene.requirement[mention.requirement].says
            moment.credit(
                mention.requirement, evidence, f"'{evidence.quote}' is the wording for: {wanted}."
            )
            if item.section in scene.procedures:
                moment.ledger.name(item.id, evidence)
            touched.append(item.id)
    return tuple(dict.fromkeys(touched))


def _choose(mentions: list[PatternMention], moment: Moment) -> list[PatternMention]:
    """Of wordings that fit the same words: one step per section, the first not yet done.

    Outside a procedure the part spoken of goes first (two parking brakes share their wording).
    All requirements of the chosen step are earned ("both valves pop": tractor's and trailer's).
    """
    scene, ledger = moment.scene, moment.ledger
    named = {item for part in moment.utterance.parts for item in part.items}
    meant = named or set(moment.focus.group)

    def turn(mention: PatternMention) -> tuple[bool, bool, int, int]:
        item = scene.owner[mention.requirement]
        aside = item.section not in scene.procedures and item.id not in meant
        return aside, ledger.earned(mention.requirement), item.step, scene.rank[item.id]

    best: dict[str, PatternMention] = {}
    for mention in mentions:
        item = scene.owner[mention.requirement]
        old = best.get(item.section)
        if old is not None and turn(old) <= turn(mention):
            continue
        best[item.section] = mention
    chance = {s: moment.chance(scene.owner[m.requirement].id) for s, m in best.items()}
    top = max(chance.values(), default=0.0)
    steps = {scene.owner[m.requirement].id for s, m in best.items() if chance[s] >= 0.5 * top}
    return [mention for mention in mentions if scene.owner[mention.requirement].id in steps]


def order_steps(items: tuple[ItemFinding, ...], scene: Scene) -> tuple[StepFinding, ...]:
    """State of each step of every procedure: in order, swapped, unfinished or missing.

    A step is swapped when it is not on the longest run of steps spoken in the right order.
    """
    found: list[StepFinding] = []
    for section in scene.checklist.sections:
        if section.procedure:
            found.extend(_order_section(section.id, items, scene))
    return tuple(found)


def _order_section(section: str, items: tuple[ItemFinding, ...], scene: Scene) -> list[StepFinding]:
    steps = [f for f in items if scene.items[f.item].section == section]
    starts: list[tuple[int, int, str]] = []
    for finding in steps:
        spoken = [e for r in finding.requirements if r.required for e in r.evidence]
        spoken = spoken or list(finding.named)  # what is only optional has no place in the order
        if spoken and finding.outcome not in (ItemOutcome.MISSED,):
            starts.append(
                (min(e.start for e in spoken), scene.items[finding.item].step, finding.item)
            )
    starts.sort()
    position = {item: number for number, (_, _, item) in enumerate(starts, start=1)}
    run = _longest_rise([step for _, step, _ in starts])
    in_order = {starts[index][2] for index in run}
    result = []
    for finding in steps:
        if finding.item not in position:
            state = StepState.MISSING
        elif finding.outcome != ItemOutcome.COMPLETE:
            state = StepState.UNFINISHED
        elif finding.item not in in_order:
            state = StepState.SWAPPED
        else:
            state = StepState.IN_ORDER
        evidence = tuple(e for r in finding.requirements for e in r.evidence)[:3]
        result.append(
            StepFinding(
                section=section,
                item=finding.item,
                step=scene.items[finding.item].step,
                state=state,
                position=position.get(finding.item, 0),
                evidence=evidence,
            )
        )
    return result


def _longest_rise(values: list[int]) -> list[int]:
    """Indexes of a longest non-falling run."""
    best: list[list[int]] = []
    for index, value in enumerate(values):
        options = [run for run in best if values[run[-1]] <= value]
        longest = max(options, key=len, default=[])
        best.append([*longest, index])
    return max(best, key=len, default=[])
