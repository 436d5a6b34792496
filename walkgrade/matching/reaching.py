"""Which limits a spoken number may speak to.

Decides: by what the readers say, by unit and nearness, by the number told before it, and by the
words that send a tread to the other axle; best first.
Conventions: see `walkgrade.matching.limits`; scores 0..1, a little more where much agrees.
Public: `Reach`, `SURE`, `read_limits`, `near_limits`, `following_on`, `instead_of`, `at_its_axle`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from walkgrade.checklists.records import Limit, Requirement
from walkgrade.language.measures import in_thirty_seconds
from walkgrade.language.records import NumberMention, Quantity, Utterance
from walkgrade.language.words import stem
from walkgrade.matching.attach import Group
from walkgrade.matching.corrected import put_right
from walkgrade.matching.elsewhere import sent_away
from walkgrade.matching.limits import fits_unit, judge, plausible
from walkgrade.matching.moment import Moment
from walkgrade.matching.records import NumberVerdict

SURE = 0.9
"""Score from which the rules may tie a number the run reader tied to nothing."""
_LEAST = 0.45
_HEARD, _ALSO = 0.3, 0.5  # marks of the run reader: for the likeliest limit, and for others
_TIMES = ("min", "s")  # limits that no bare number speaks to
_TREAD = "tread"  # what a limit in thirty-seconds measures


@dataclass(frozen=True, slots=True)
class Reach:
    """A limit a number may speak to, how the number is meant then, and how likely it is; `said`:
    the words to show, where they are not the number's own."""

    requirement: Requirement
    quantity: Quantity
    score: float
    said: str = ""


def read_limits(mention: int, number: NumberMention, moment: Moment) -> list[Reach]:
    """The limits the run reader thinks this number speaks to; the likeliest, and every sure one."""
    found = []
    for name, told in moment.speaks_to(mention).items():
        requirement = moment.scene.requirement[name]
        limit = requirement.limit
        if told < _HEARD or limit is None:
            continue
        heard = in_thirty_seconds(number) if _TREAD in limit.quantity else number
        best = _likeliest(heard.readings, limit)
        if limit.unit in _TIMES and best is not None and not best.unit:
            continue  # nobody holds a brake for "one"
        if best is not None and (plausible(best, limit) or best.unit):
            found.append(Reach(requirement, best, told))
    found.sort(key=lambda r: (-r.score, moment.scene.rank[moment.scene.owner[r.requirement.id].id]))
    return [r for at, r in enumerate(found) if at == 0 or r.score >= _ALSO]


def _likeliest(readings: Sequence[Quantity], limit: Limit) -> Quantity | None:
    """How a number is meant if it speaks to this limit; None where no unit fits."""
    fitting = [r for r in readings if fits_unit(r, limit)]
    if not fitting:
        return None
    return max(fitting, key=lambda r: (
        plausible(r, limit), judge(r, limit) == NumberVerdict.RIGHT, fits_unit(r, limit)
    ))  # fmt: skip


def following_on(number: NumberMention, moment: Moment) -> list[Reach]:
    """ "Nine thirty-seconds, and four's the floor": a bare number after one in thirty-seconds."""
    told = moment.ledger.numbers[-1] if moment.ledger.numbers else None
    if told is None or told.evidence.utterance not in moment.nearby or len(number.readings) < 2:
        return []
    plain, part = number.readings[:2]
    requirement = moment.scene.requirement[told.requirement]
    limit = requirement.limit
    if limit is None or _TREAD not in limit.quantity or plain.unit or part.unit != limit.unit:
        return []
    return [Reach(requirement, part, SURE)] if plausible(part, limit) else []


def at_its_axle(reach: Reach, number: NumberMention, moment: Moment) -> Reach | None:
    """The reach, or that to the other axle's tread where the words send it there ("and two at the
    rear"); None where the checklist has no such tread."""
    limit, scene = reach.requirement.limit, moment.scene
    place = scene.owner[reach.requirement.id].place
    if limit is None or _TREAD not in limit.quantity:
        return reach
    if not sent_away(number, moment.utterance, place):
        return reach
    others = (
        one for item in scene.checklist.items for one in scene.limits(item.id)
        if item.place != place and one.limit is not None and _TREAD in one.limit.quantity
        and not sent_away(number, moment.utterance, item.place)
    )  # fmt: skip
    twin = next(others, None)
    return None if twin is None else replace(reach, requirement=twin)


def instead_of(
    number: NumberMention, before: tuple[NumberMention, list[Reach]], moment: Moment
) -> list[Reach]:
    """What the number before spoke to, if this one takes its place: "at twenty, no, forty"."""
    other, reaches = before
    if not put_right(moment.utterance, other.last, number.first):
        return []
    found = []
    for reach in reaches:
        limit = reach.requirement.limit
        assert limit is not None
        best = _likeliest(number.readings, limit)
        if best is not None and plausible(best, limit):
            found.append(Reach(reach.requirement, best, reach.score))
    return found


def near_limits(
    number: NumberMention, groups: list[Group], taken: set[str], moment: Moment
) -> list[Reach]:
    """The limits this number speaks to: the best one, and its equals in the same group."""
    utterance, scene, ledger = moment.utterance, moment.scene, moment.ledger
    options: dict[str, Reach] = {}
    words = {token.stem for token in utterance.tokens}
    for item, near in _items(number, groups, moment):
        for requirement in scene.limits(item):
            limit = requirement.limit
            assert limit is not None
            if requirement.id in taken:
                continue
            if requirement.about and not requirement.concepts and not _sub_said(item, utterance):
                continue
            for index, reading in enumerate(number.readings):
                fit = fits_unit(reading, limit)
                if (
                    fit < 1.0
                    and limit.unit in ("count", "in", "lb", "unit")
                    and not _counts(reading, limit.unit, near)
                ):
                    continue
                if fit == 0.0:
                    continue
                score = near * fit * (0.97**index)
                score += 0.15 if words & _stems(limit.quantity) else 0.0
                score += 0.12 if judge(reading, limit) == NumberVerdict.RIGHT else 0.0
                score -= 0.2 if ledger.earned(requirement.id) else 0.0
                score -= 0.0 if plausible(reading, limit) else 0.3
                old = options.get(requirement.id)
                if score >= _LEAST and (old is None or score > old.score):
                    options[requirement.id] = Reach(requirement, reading, score)
    if not options:
        return []
    best = max(
        options.values(), key=lambda r: (r.score, -scene.rank[scene.owner[r.requirement.id].id])
    )
    owner = scene.owner[best.requirement.id].id
    group = next((g for g in groups if owner in g.items), None)
    equals = [
        r
        for r in options.values()
        if group is not None
        and scene.owner[r.requirement.id].id in group.items
        and scene.owner[r.requirement.id].id != owner
        and r.requirement.limit == best.requirement.limit
    ]
    return [best, *equals]


def _sub_said(item: str, utterance: Utterance) -> bool:
    """True when a sub-part word of the item stands in the utterance ("cut in")."""
    return any(m.sub and item in m.items for m in utterance.parts)


def _counts(reading: Quantity, unit: str, near: float) -> bool:
    """A number without unit counts things only right beside the part's own name."""
    return (
        reading.unit == ""
        and unit in ("count", "in")
        and near >= 0.9
        and (unit != "in" or reading.high < 1 or reading.low != reading.high)
    )


def _items(number: NumberMention, groups: list[Group], moment: Moment) -> list[tuple[str, float]]:
    """Items a number may speak to with how near they are, 0..1."""
    focus, scene = moment.focus, moment.scene
    near: dict[str, float] = {}
    for group in groups:
        gap = number.first - group.last if number.first >= group.last else group.first - number.last
        for item in group.items:
            near[item] = max(near.get(item, 0.0), 1.0 if gap <= 12 else 0.9)
        for item in group.kin:
            near[item] = max(near.get(item, 0.0), 0.9)
    if focus.age <= 3:
        for item in focus.group:
            near.setdefault(item, 0.85 - 0.08 * focus.age - (0.12 if groups else 0.0))
        for item in focus.kin:
            near.setdefault(item, 0.75 - 0.08 * focus.age - (0.12 if groups else 0.0))
        for item in reversed(focus.history[-4:]):
            near.setdefault(item, 0.62)
    for step in scene.checklist.items:
        chance = moment.chance(step.id)
        if step.section in scene.procedures and chance >= 0.3:
            near.setdefault(step.id, 0.45 + 0.3 * chance)
        elif chance >= 0.4:
            near.setdefault(step.id, 0.4 * chance)
    return list(near.items())


def _stems(text: str) -> frozenset[str]:
    return frozenset(stem(word) for word in text.replace("-", " ").split())
