"""Which lines of a talk may tell of an item.

Decides: the order in which lines are put to the item reader. First those where a reader hears one
of the item's statements, its name or "the same" of it; where its twin at another place was told;
then what stands around them; then lines that share words with it, at its place more than elsewhere.
Conventions: rows are those of the reading; words are compared by their first four letters.
Public: `Excerpts`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from walkgrade.checklists.records import Item
from walkgrade.language.item_reader import ItemQuestion
from walkgrade.language.records import Reading, Voice
from walkgrade.language.tokens import written
from walkgrade.matching.opinions import Opinions, Sighting
from walkgrade.matching.scene import Scene
from walkgrade.matching.zones import Walk

TELLING = 0.01  # a line that a reader gives so much may tell of the item
_HEARD = 0.003  # opinions under this say nothing
_TWIN = 0.3
_ASTRAY = 0.3  # weight of an answer that was meant for another place
_NAMED = 0.8  # weight of a name beside that of a statement
_MOST, _FIRST, _TWINS, _WORDS = 14, 6, 2, 4  # rows of each kind
_NAMES = 4
_SHARED = 2  # a word of the item at its place counts so much with one, and a word each more
_STEM = 4
_IDLE = frozenset((
    "the", "a", "an", "is", "are", "and", "or", "not", "no", "of", "to", "in", "on", "it", "its",
    "by", "with", "for", "that", "this", "be", "at", "as", "from", "all", "any",
))  # fmt: skip


class Excerpts:
    """Look-ups over one reading, for any item of its checklist."""

    def __init__(self, reading: Reading, scene: Scene, path: Walk, opinions: Opinions) -> None:
        self._scene, self._near, self._opinions = scene, path.near, opinions
        title = {place.id: place.title for place in scene.checklist.places}
        self._at = [scene.zones[int(zone)].place for zone in path.path]
        self.places = [title.get(place, "") for place in self._at]
        self._title = title
        self._words = [
            _words(written(one.tokens)) if one.voice == Voice.TRAINEE else frozenset()
            for one in reading.utterances
        ]

    def question(self, item: Item) -> ItemQuestion | None:
        """The item with the rows that may tell of it, None where no line does."""
        heard = self._heard(item)
        first = [row for row, chance in heard if chance >= TELLING]
        if not first:
            return None
        place = self._scene.zones[self._scene.zone_of[item.id]].place
        rows = dict.fromkeys(self._ordered(item, place, [row for row, _ in heard], first[:_FIRST]))
        return ItemQuestion(
            title=item.title, names=item.names, place=self._title.get(place, ""),
            says=tuple(one.says for one in item.requirements),
            rows=tuple(row for row in rows if 0 <= row < len(self._at)), telling=frozenset(first),
        )  # fmt: skip

    def surest(self, item: Item) -> float:
        """How surely a reader hears something of the item anywhere (0..1)."""
        return max((chance for _, chance in self._heard(item)), default=0.0)

    def _ordered(self, item: Item, place: str, heard: list[int], first: list[int]) -> Iterator[int]:
        sharing = self._sharing(item, place)
        yield from first
        yield from self._twins(item)
        yield from (row + step for row in first[:4] for step in (-1, 1))
        yield from [row for row, count in sharing if count >= _SHARED][:_WORDS]
        yield from (row + step for row in first[:3] for step in (-2, 2))
        yield from heard[len(first) :]
        yield from (row for row, _ in sharing)
        yield from (row + step for row in first[:2] for step in (-3, 3))

    def _heard(self, item: Item) -> list[tuple[int, float]]:
        """(row, how surely) where a reader hears something of the item, surest first."""
        found: dict[int, float] = {}

        def hear(row: int, chance: float) -> None:
            found[row] = max(found.get(row, 0.0), round(chance, 4))

        for one in item.requirements:
            for seen in self._seen(self._opinions.of_requirement(one.id, self._scene, self._near)):
                hear(seen.row, max(_shared(seen), seen.against * seen.share))
        for seen in self._seen(self._opinions.of_item(item.id, self._scene, self._near)):
            hear(seen.row, _NAMED * _shared(seen))
        for seen in self._seen(self._opinions.same(item.id, self._scene, self._near)):
            hear(seen.row, seen.told * seen.share)
        return sorted(found.items(), key=lambda pair: (-pair[1], pair[0]))[:_MOST]

    def _seen(self, sightings: list[Sighting]) -> list[Sighting]:
        return [one for one in sightings if max(one.told, one.against) >= _HEARD]

    def _twins(self, item: Item) -> list[int]:
        """Rows that tell of the items this one may take over from."""
        found: dict[int, float] = {}
        for twin in item.carry_over:
            for one in self._scene.items[twin].requirements if twin in self._scene.items else ():
                for seen in self._opinions.of_requirement(one.id, self._scene, self._near):
                    if (chance := seen.told * seen.share) >= _TWIN:
                        found[seen.row] = max(found.get(seen.row, 0.0), round(chance, 4))
        return sorted(found, key=lambda row: (-found[row], row))[:_TWINS]

    def _sharing(self, item: Item, place: str) -> list[tuple[int, int]]:
        """(row, how many) that share words with the item; one more for being at its place."""
        says = frozenset().union(*(_words(one.says) for one in item.requirements))
        mine = _words(" ".join((item.title, *item.names[:_NAMES])))
        found: dict[int, int] = {}
        for row, words in enumerate(self._words):
            named, told = len(words & mine), len(words & says)
            here = self._at[row] == place
            if named or (told and here):
                found[row] = named + told + here
        return sorted(found.items(), key=lambda pair: (-pair[1], pair[0]))[:_MOST]


def _shared(seen: Sighting) -> float:
    """An answer by its share for this place; a sure one counts a little wherever it was meant."""
    return max(seen.told * seen.share, _ASTRAY * seen.told)


def _words(text: str) -> frozenset[str]:
    found = re.findall(r"[a-z]+", text.lower())
    return frozenset(word[:_STEM] for word in found if len(word) > 2 and word not in _IDLE)
