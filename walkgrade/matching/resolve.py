"""Which item a part name means, when the same part exists in several places.

Decides: the items of a mention, from the words around it ("rear brake chamber"), the walk, and
what is still unsaid.
Conventions: item ids in checklist order; certainty 0..1.
Public: `resolve`, `siblings`.
"""

from __future__ import annotations

import math

from walkgrade.language.records import PartMention, PlaceMention, Utterance
from walkgrade.matching.moment import Moment
from walkgrade.matching.scene import Scene

_REACH = 5  # tokens between a direction word and the part it places
_LEAST = 1e-4
_BESIDE = 3.0


def siblings(mention: PartMention, items: tuple[str, ...], scene: Scene) -> tuple[str, ...]:
    """Other items the same name may mean at the same place ("tire": tread, condition)."""
    places = {scene.items[item].place for item in items}
    return tuple(
        other
        for other in mention.items
        if other not in items and scene.items[other].place in places
    )


def resolve(
    mention: PartMention, moment: Moment, near: tuple[str, ...]
) -> tuple[tuple[str, ...], float]:
    """The items meant and how surely.

    Parameters
    ----------
    near : items in focus; what stands beside them in the checklist is likelier.
    """
    if len(mention.items) == 1:
        return mention.items, _plausible(mention, moment)
    cues = _cues_near(mention, moment.utterance)
    if len(cues) > 1 and _joined(cues, moment.utterance):
        picked: list[str] = []
        for cue in cues:
            one, _ = _pick(mention, (cue,), moment, near)
            picked.extend(one)
        return tuple(dict.fromkeys(picked)), 0.95
    return _pick(mention, cues[:1], moment, near)


def _plausible(mention: PartMention, moment: Moment) -> float:
    """The name of a procedure step ("engine off") counts only where the procedure is likely."""
    item = moment.scene.items[mention.items[0]]
    if item.section not in moment.scene.procedures:
        return 1.0
    least = 0.1 if " " in mention.name else 0.2
    return 1.0 if moment.chance(item.id) >= least else 0.0


def _pick(
    mention: PartMention, cues: tuple[PlaceMention, ...], moment: Moment, near: tuple[str, ...]
) -> tuple[tuple[str, ...], float]:
    scene = moment.scene
    score: dict[str, float] = {}
    for item in mention.items:
        chance = moment.near(item)
        value = math.log(max(chance, _LEAST))
        beside = [o for o in near if scene.items[o].place == scene.items[item].place]
        steps = min((abs(scene.rank[item] - scene.rank[other]) for other in beside), default=99)
        value += _BESIDE * math.exp(-steps / 2)
        for cue in cues:
            value += (
                4.0 * cue.strength if scene.items[item].place in cue.places else -3.0 * cue.strength
            )
        score[item] = value
    top = max(score.values())
    best = [item for item in mention.items if score[item] >= top - 0.3]
    if len(best) > 1:
        best.sort(key=lambda item: scene.rank[item])
    total = sum(math.exp(value - top) for value in score.values())
    sure = 1.0 if len(best) > 1 else min(1.0, math.exp(score[best[0]] - top) / total + 0.15)
    return (best[0],), sure


def _cues_near(mention: PartMention, utterance: Utterance) -> tuple[PlaceMention, ...]:
    """Place cues of the utterance, nearest first; one before the part beats one after it."""

    def distance(cue: PlaceMention) -> int:
        if cue.last <= mention.first:
            return mention.first - cue.last
        if cue.first >= mention.last:
            return cue.first - mention.last + 2
        return 0

    cues = sorted(utterance.places, key=lambda cue: (distance(cue), cue.first))
    near = [cue for cue in cues if distance(cue) <= _REACH]
    if near:
        return tuple(near)
    before = [cue for cue in utterance.places if cue.last <= mention.first]
    return (before[-1],) if before else ()


def _joined(cues: tuple[PlaceMention, ...], utterance: Utterance) -> bool:
    """ "front and rear", "both sides": two direction words that belong together."""
    first, second = sorted(cues[:2], key=lambda cue: cue.first)
    between = [t.norm for t in utterance.tokens[first.last : second.first]]
    return between in (["and"], ["or"], ["and", "the"], []) and not set(first.places) & set(
        second.places
    )
