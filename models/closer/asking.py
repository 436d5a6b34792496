"""Which questions an utterance of a labelled run is asked while learning, and the truth of each.

Decides: an utterance is asked all that its line answers, what else can be said of parts spoken of,
what the run reader thought possible, a few at random; where a part may be "as told before", whether
it is; of every number, which limits it speaks to; and where the walk is.
Conventions: runs are as models/reader_data.py writes them with ``--thought``; of a line cut into
several utterances the one that the run reader finds likeliest answers.
Public: `Asked`, `Asking`, `About`.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from enum import StrEnum
from typing import Any, NamedTuple

_KIN, _RANDOM, _MOST = 6, 2, 20
_YES, _NO = 24, 12  # parts asked for "as told before", in a line that says it
_LIMITS = 7  # limits that a number is asked for and does not speak to
_MARKS = " ,.;:!?"  # what the close reader leaves away around a number
_PLACES = 3  # places asked for where the walk is not

Run = dict[str, Any]


class About(StrEnum):
    """What a question is put for, as walkgrade/language/close_reader.py words it."""

    TOLD = "told"
    SAME = "same"
    NUMBER = "number"


class Asked(NamedTuple):
    """A question with its truth, told and against, and what a mistake weighs."""

    question: int
    told: float
    against: float
    weight: float
    weight_against: float
    about: About = About.TOLD
    number: str = ""

    @property
    def truth(self) -> tuple[float, float, float, float]:
        """Told, against, and their weights."""
        return self.told, self.against, self.weight, self.weight_against


class Asking:
    """Chooses the questions of runs."""

    def __init__(self, rows: list[dict[str, Any]], rng: random.Random) -> None:
        self.rows, self.rng = rows, rng
        self.titled: dict[str, list[int]] = {}
        for number, row in enumerate(rows):
            if row["kind"] == "told":
                self.titled.setdefault(row["title"], []).append(number)

    def of(self, run: Run) -> Iterator[tuple[int, list[Asked]]]:
        """(utterance, what it is asked); an utterance may come several times."""
        thought: dict[int, dict[int, tuple[float, float]]] = {}
        for row, number, told, against in run.get("thought", ()):
            thought.setdefault(row, {})[number] = told, against
        mine = {q for q in run["asked"] if self.rows[q]["kind"] == "told"}
        places = [q for q in run["asked"] if self.rows[q]["kind"] == "place"]
        for bag in run["bags"]:
            yield from self._carried(run, bag)
            if not bag["skip"]:
                yield from self._told(bag, mine, thought)
            yield from self._placed(bag, places)
        yield from self._numbers(run, [q for q in sorted(mine) if self.rows[q]["limit"]])

    def _carried(self, run: Run, bag: dict[str, Any]) -> Iterator[tuple[int, list[Asked]]]:
        """Of which parts a line says that they are as told before; a plain line says it of none."""
        rng, can, same = self.rng, run.get("can", []), bag.get("same")
        if same and can:
            yes = same["yes"]
            told = {self.rows[q]["title"] for q in yes}
            no = [q for q in can if q not in same["open"] and self.rows[q]["title"] not in told]
            rows = [_same(q, 1.0, 1.0) for q in rng.sample(yes, min(_YES, len(yes)))]
            rows += [_same(q, 0.0, 1.0) for q in rng.sample(no, min(_NO, len(no)))]
            rng.shuffle(rows)
            if rows:
                yield same["u"], rows
        elif bag.get("fresh") and can and rng.random() < 0.3:
            near = [q for q in bag["named"] if q in can]
            some = {*rng.sample(near, min(3, len(near))), *rng.sample(can, min(2, len(can)))}
            yield rng.choice(bag["u"]), [_same(q, 0.0, 0.7) for q in sorted(some)]

    def _told(
        self,
        bag: dict[str, Any],
        mine: set[int],
        thought: dict[int, dict[int, tuple[float, float]]],
    ) -> Iterator[tuple[int, list[Asked]]]:
        """What a line answers, and what it does not though one might think so."""
        rng, said, against = self.rng, set(bag["said"]), set(bag["against"])
        spoken = {self.rows[q]["title"] for q in [*said, *against, *bag["named"]]}
        kin = [q for title in sorted(spoken) for q in self.titled.get(title, ())
               if q in mine and q not in said and q not in against]  # fmt: skip
        where: dict[int, list[tuple[int, int]]] = {}
        for side, numbers in ((0, said), (1, against)):
            for q in numbers:
                likely = [(thought.get(u, {}).get(q, (0.0, 0.0))[side], -u) for u in bag["u"]]
                where.setdefault(-max(likely)[1], []).append((q, side))
        pool = sorted(mine)
        for u in bag["u"]:
            rows: dict[int, Asked] = {}
            for q, side in where.get(u, ()):  # a stated fault taken for good is the worst mistake
                rows[q] = Asked(q, 0.0, 1.0, 3.0, 2.0) if side else Asked(q, 1.0, 0.0, 1.0, 0.5)
            for q, (told, _) in thought.get(u, {}).items():
                if q in rows or q not in mine or q in against:
                    continue
                if q not in said:
                    rows[q] = Asked(q, 0.0, 0.0, 1.5, 1.0)
                elif told >= 0.5:
                    rows[q] = Asked(q, 1.0, 0.0, 1.0, 0.5)
            for q in rng.sample(kin, min(len(kin), _KIN)):
                rows.setdefault(q, Asked(q, 0.0, 0.0, 1.0, 0.5))
            for q in rng.sample(pool, min(_RANDOM, len(pool))):
                if q not in said and q not in against and q not in bag["named"]:
                    rows.setdefault(q, Asked(q, 0.0, 0.0, 0.5, 0.5))
            if rows:
                asked = list(rows.values())
                rng.shuffle(asked)
                yield u, asked[:_MOST]

    def _placed(self, bag: dict[str, Any], places: list[int]) -> Iterator[tuple[int, list[Asked]]]:
        """Where the parts that a line tells of stand; not every line is asked."""
        rng, here = self.rng, [q for q in bag["places"] if q in places]
        if not here or rng.random() < 0.5:
            return
        away = [q for q in places if q not in here]
        rows = [Asked(q, 1.0, 0.0, 0.7, 0.0) for q in here]
        rows += [Asked(q, 0.0, 0.0, 0.7, 0.0) for q in rng.sample(away, min(_PLACES, len(away)))]
        rng.shuffle(rows)
        yield bag["u"][0], rows[:_MOST]

    def _numbers(self, run: Run, limits: list[int]) -> Iterator[tuple[int, list[Asked]]]:
        """Which limits every number of the run speaks to."""
        for u, one in enumerate(run["utterances"]):
            rows = []
            for start, end, meant in one.get("n", ()):
                away = [q for q in limits if q not in meant]
                away = self.rng.sample(away, min(_LIMITS, len(away)))
                said = one["t"][start:end].strip(_MARKS)
                rows += [Asked(q, 1.0, 0.0, 1.5, 0.0, About.NUMBER, said) for q in meant]
                rows += [Asked(q, 0.0, 0.0, 1.0, 0.0, About.NUMBER, said) for q in away]
            self.rng.shuffle(rows)
            if rows:
                yield u, rows[:_MOST]


def _same(question: int, told: float, weight: float) -> Asked:
    return Asked(question, told, 0.0, weight, 0.0, About.SAME)
