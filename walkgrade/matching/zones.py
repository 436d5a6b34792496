"""Where the trainee is: the most probable path through the zones of the walk.

Decides: for every utterance, how likely each zone is, from place cues, the parts and steps
mentioned, and the natural walk (stay, go on to the next, or jump).
Conventions: probabilities per utterance sum to 1; the path is the Viterbi path.
Public: `Walk`, `walk`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from walkgrade.language.records import Reading, Utterance, Voice
from walkgrade.matching.opinions import Opinions
from walkgrade.matching.scene import Scene

# Log weights, set by hand and checked on the tune part.
_PART = 3.5  # a part that only one zone has
_SUB = 1.0
_STEP = 2.0  # a wording of a procedure step
_CUE = 5.0
_NEXT = -3.0
_JUMP = -5.0
_BACK = -4.0
_TURN = -3.0
_UNSAID = 1.0  # going elsewhere without saying so
_IDLE = 4.0  # moving while nothing is named
_READER = 1.0  # the run reader's log odds of a place


@dataclass(frozen=True, slots=True)
class Walk:
    """`chance[u, z]`: probability of zone z at utterance u; `near[u, z]`: of being at z's place;
    `path[u]`: the likeliest zone."""

    chance: NDArray[np.float64]
    near: NDArray[np.float64]
    path: NDArray[np.int64]


def walk(reading: Reading, scene: Scene, opinions: Opinions | None = None) -> Walk:
    """Decode the zone path of a whole talk (forward-backward and Viterbi)."""
    count = len(scene.zones)
    if not reading.utterances or not count:
        even = np.ones((len(reading.utterances), max(1, count)))
        return Walk(even, even, np.zeros(len(reading.utterances), dtype=np.int64))
    seen = np.vstack([_evidence(u, scene) for u in reading.utterances])
    if opinions is not None:
        seen = seen + _READER * opinions.places(scene)
    plain = _moves(scene)
    quiet = plain - _UNSAID * _leaves_place(scene)
    still = plain - _IDLE * (1.0 - np.eye(count))
    steps = [
        plain if utterance.places else quiet if utterance.parts or utterance.patterns else still
        for utterance in reading.utterances
    ]
    chance = _posterior(seen, steps)
    return Walk(chance, chance @ (1.0 - _leaves_place(scene)), _best_path(seen, steps))


def _evidence(utterance: Utterance, scene: Scene) -> NDArray[np.float64]:
    score = np.zeros(len(scene.zones))
    trainee = utterance.voice == Voice.TRAINEE
    if utterance.has("other-vehicle"):
        return score
    for cue in utterance.places:
        for index, zone in enumerate(scene.zones):
            if zone.place in cue.places:
                score[index] += _CUE * cue.strength * (1.0 if trainee else 0.6)
    if not trainee:
        return score
    for mention in utterance.parts:
        zones = {scene.zone_of[item] for item in mention.items}
        weight = (
            (_SUB if mention.sub or mention.local else _PART)
            * mention.score
            / (0.6 + 0.4 * len(zones))
        )
        for index in zones:
            score[index] += weight
    for pattern in utterance.patterns:
        item = scene.owner.get(pattern.requirement)
        if item is None:
            continue
        score[scene.zone_of[item.id]] += (
            _STEP
            * (0.3 if pattern.idle else 1.0)
            * (1.0 if item.section in scene.procedures else 0.6)
        )
    return np.minimum(score, 8.0)


def _moves(scene: Scene) -> NDArray[np.float64]:
    """Log score of going from zone (row) to zone (column)."""
    zones = scene.zones
    moves = np.full((len(zones), len(zones)), _JUMP)
    for here, zone in enumerate(zones):
        for there, other in enumerate(zones):
            if here == there:
                moves[here, there] = 0.0
            elif zone.place == other.place:
                moves[here, there] = _TURN
            elif there == here + 1:
                moves[here, there] = _NEXT
            elif zone.section == other.section:
                moves[here, there] = _BACK
    return moves


def _leaves_place(scene: Scene) -> NDArray[np.float64]:
    """1 where a move goes to another place, 0 elsewhere."""
    places = [zone.place for zone in scene.zones]
    return np.array([[float(a != b) for b in places] for a in places])


def _logsum(rows: NDArray[np.float64], axis: int) -> NDArray[np.float64]:
    top = rows.max(axis=axis, keepdims=True)
    summed = np.log(np.exp(rows - top).sum(axis=axis, keepdims=True)) + top
    return np.asarray(np.squeeze(summed, axis=axis))


def _posterior(seen: NDArray[np.float64], moves: list[NDArray[np.float64]]) -> NDArray[np.float64]:
    steps, count = seen.shape
    ahead = np.zeros((steps, count))
    behind = np.zeros((steps, count))
    ahead[0] = seen[0] - 0.15 * np.arange(count)
    for t in range(1, steps):
        ahead[t] = seen[t] + _logsum(ahead[t - 1][:, None] + moves[t], axis=0)
    for t in range(steps - 2, -1, -1):
        behind[t] = _logsum(moves[t + 1] + (seen[t + 1] + behind[t + 1])[None, :], axis=1)
    total = ahead + behind
    total -= total.max(axis=1, keepdims=True)
    chance = np.exp(total)
    return np.asarray(chance / chance.sum(axis=1, keepdims=True))


def _best_path(seen: NDArray[np.float64], moves: list[NDArray[np.float64]]) -> NDArray[np.int64]:
    steps, count = seen.shape
    best = seen[0] - 0.15 * np.arange(count)
    back = np.zeros((steps, count), dtype=np.int64)
    for t in range(1, steps):
        options = best[:, None] + moves[t]
        back[t] = options.argmax(axis=0)
        best = seen[t] + options.max(axis=0)
    path = np.zeros(steps, dtype=np.int64)
    path[-1] = int(best.argmax())
    for t in range(steps - 1, 0, -1):
        path[t - 1] = back[t, path[t]]
    return path
