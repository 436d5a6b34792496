"""The run reader's opinions as matching looks at them: by requirement, item and place.

Decides: which of the items that ask the same question an answer was meant for: by how likely the
trainee was at each one's place.
Conventions: probabilities 0..1; rows are those of the reading; `Sighting`s are in spoken order.
Public: `Opinions`, `Sighting`.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from walkgrade.language.records import Opinion, Reading
from walkgrade.matching.scene import Scene

_ALONE = 0.7  # weight of the number's own words beside those of its sentence
_WORD = 0.5  # weight of the reader's word on the place beside the rules' cues
_TOGETHER = 0.3  # by how much the places heard must add up to more than one to be meant together
_DOUBT = 0.02  # probability a place keeps whatever the reader thinks
_DENIED = 0.05  # an answer believed no more than this is not believed at all


@dataclass(frozen=True, slots=True, kw_only=True)
class Sighting:
    """An answer at an utterance. `share` is the part of it meant for this item: the probability of
    being at its place among the places that ask the same."""

    row: int
    told: float
    against: float
    share: float


class Opinions:
    """Look-ups over the opinions of one reading."""

    def __init__(self, reading: Reading) -> None:
        self.count = len(reading.utterances)
        self._less: dict[tuple[int, str], float] = {}
        self._by_target: dict[tuple[str, str], list[Opinion]] = defaultdict(list)
        self._places: dict[tuple[int, str], float] = {}
        self._by_row: dict[int, list[Opinion]] = defaultdict(list)
        for one in reading.opinions:
            self._by_row[one.row].append(one)
            for target in one.targets:
                self._by_target[one.kind, target].append(one)
                if one.kind == "place":
                    self._places[one.row, target] = one.told

    def places(self, scene: Scene) -> NDArray[np.float64]:
        """Log odds (utterances, zones) of being at the zone's place, as far as the reader knows."""
        found = np.zeros((self.count, len(scene.zones)))
        for index, zone in enumerate(scene.zones):
            chance = np.full(self.count, _DOUBT)
            for one in self._by_target["place", zone.place]:
                chance[one.row] = max(_DOUBT, min(1 - _DOUBT, one.told))
            found[:, index] = np.log(chance / (1 - chance))
        found *= _WORD
        known = np.array([bool(self._by_row.get(row)) for row in range(self.count)])
        shared: NDArray[np.float64] = found * known[:, None]
        return shared

    def of_requirement(
        self, requirement: str, scene: Scene, near: NDArray[np.float64]
    ) -> list[Sighting]:
        """Answers to a requirement's question, shared out by `near` (utterances, zones)."""
        return [self._sighting(one, requirement, scene, near) for one in
                self._by_target["told", requirement]]  # fmt: skip

    def of_item(self, item: str, scene: Scene, near: NDArray[np.float64]) -> list[Sighting]:
        """Where the item was named, shared out likewise."""
        return [self._sighting(one, item, scene, near) for one in self._by_target["named", item]]

    def same(self, item: str, scene: Scene, near: NDArray[np.float64]) -> list[Sighting]:
        """Where the item was said to be as told before of another place, shared out likewise."""
        return [self._sighting(one, item, scene, near) for one in self._by_target["same", item]]

    def of_number(
        self, row: int, mention: int, scene: Scene, near: NDArray[np.float64]
    ) -> dict[str, float]:
        """Requirement id -> how likely a number of the utterance speaks to its limit (0..1)."""
        whole = {
            target: one.told for one in self.at(row) for target in one.targets
        }  # of the sentence around it: what is spoken of there at all
        found: dict[str, float] = {}
        for one in self.at(row, "number"):
            for target in one.targets if one.mention == mention else ():
                if target in scene.requirement:
                    mixed = _ALONE * one.told + (1 - _ALONE) * whole.get(target, 0.0)
                    found[target] = mixed * self.share(one, target, scene, near)
        return found

    def at(self, row: int, kind: str = "told") -> list[Opinion]:
        """The opinions on one utterance."""
        return [one for one in self._by_row.get(row, ()) if one.kind == kind]

    def carries(self, row: int) -> float:
        """How likely an utterance says that something is as it was told before (0..1)."""
        return max((one.told for one in self.at(row, "carry")), default=0.0)

    def share(self, one: Opinion, target: str, scene: Scene, near: NDArray[np.float64]) -> float:
        """The part of an answer meant for `target`'s item (0..1).

        Where the reader hears several places spoken of at once ("both axles"), each keeps its own.
        """
        if len(one.targets) == 1:
            return 1.0
        items = {_item(t, scene) for t in one.targets} - {""}
        zones = {scene.zone_of[item] for item in items}
        places = {scene.zones[z].place: float(near[one.row, z]) for z in zones}
        mine = scene.zone_of[_item(target, scene)]
        own = float(near[one.row, mine])
        walked = own / max(own, sum(places.values()), 1e-6)
        heard = {place: self._places.get((one.row, place), 0.0) for place in places}
        together = min(1.0, max(0.0, (sum(heard.values()) - 1.0) / _TOGETHER))
        return max(walked, together * heard[scene.zones[mine].place])

    def doubt(self, row: int, target: str, factor: float) -> None:
        """Take an answer at an utterance for less than it seems (`factor` 0..1)."""
        self._less[row, target] = factor

    def denied(self, target: str) -> bool:
        """True when the surest answer to the target's question is believed next to nothing."""
        surest = max(self._by_target["told", target], key=lambda one: one.told, default=None)
        return surest is not None and self._less.get((surest.row, target), 1.0) <= _DENIED

    def _sighting(
        self, one: Opinion, target: str, scene: Scene, near: NDArray[np.float64]
    ) -> Sighting:
        share = self.share(one, target, scene, near)
        told = one.told * self._less.get((one.row, target), 1.0)
        return Sighting(row=one.row, told=told, against=one.against, share=share)

    def told(self, one: Opinion, target: str) -> float:
        """The probability of an answer, less what is doubted of it (0..1)."""
        return one.told * self._less.get((one.row, target), 1.0)


def _item(target: str, scene: Scene) -> str:
    """The item a target belongs to, "" when this vehicle lacks it."""
    if target in scene.items:
        return target
    owner = scene.owner.get(target)
    return owner.id if owner is not None else ""
