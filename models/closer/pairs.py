"""Utterances with the questions put to them, and the truth of each.

Decides: which questions an utterance of a labelled run is asked while learning: all that its line
answers, what else can be said of parts spoken of, what the run reader thought possible, a few at
random; and whether parts are said to be "as told before". What stands around the utterance varies
in length, words are swapped for like-sounding ones, questions name other names.
Conventions: runs are as models/reader_data.py writes them with ``--thought``; of a line cut into
several utterances the one that the run reader finds likeliest answers. A question number of `SAME`
or more asks whether the part of question (number - SAME) is as told before.
Public: `Asked`, `Pairs`, `Text`, `tensors`.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import torch

from models.reader.wording import QUESTION, Wording

BEFORE, AFTER, TARGET, SCRAP, PLACE = 64, 32, 128, 4, 300
SAME = 10_000
_KIN, _RANDOM, _MOST = 6, 2, 20
_YES, _NO = 24, 12  # parts asked for "as told before", in a line that says it

Run = dict[str, Any]


class Asked(NamedTuple):
    """A question with its truth, told and against, and what a mistake weighs."""

    question: int
    told: float
    against: float
    weight: float
    weight_against: float


class Text(NamedTuple):
    """Pieces of an utterance with its surroundings, and the pieces of its questions."""

    ids: list[int]
    types: list[int]
    questions: list[list[int]]
    asked: list[Asked]
    row: int

    @property
    def size(self) -> int:
        return len(self.ids) + sum(map(len, self.questions))


class Pairs:
    """Makes texts of runs."""

    def __init__(
        self, rows: list[dict[str, Any]], vocab: Path, slips: dict[str, list[str]], seed: int
    ) -> None:
        self.rows = rows
        self.word = Wording(vocab, slips, random.Random(seed))
        self.rng = self.word.rng
        self.titled: dict[str, list[int]] = {}
        for number, row in enumerate(rows):
            if row["kind"] == "told":
                self.titled.setdefault(row["title"], []).append(number)

    def learnt(self, run: Run) -> Iterator[Text]:
        """Every utterance that has something to learn from, in wording that varies."""
        self.word.plain = self.rng.random() < 0.3
        yield from self._texts(run, self._items(run), varied=True)

    def plain(self, run: Run, items: Sequence[tuple[int, list[Asked]]]) -> Iterator[Text]:
        """Given questions, in the words as they stand."""
        self.word.plain = True
        yield from self._texts(run, items, varied=False)

    def _texts(self, run: Run, items: Any, *, varied: bool) -> Iterator[Text]:
        coded = self._coded(run, varied)
        for row, asked in items:
            ids, types = self._around(coded, row, varied)
            mine = [[self.word.cls, *self._question(one.question)] for one in asked]
            yield Text(ids, types, mine, asked, row)

    def _coded(self, run: Run, varied: bool) -> list[list[int]]:
        rng = self.rng
        bare = varied and rng.random() < 0.3
        swapped = varied and run["source"] != "heard" and bool(self.word.slips)
        rate = rng.choice((0, 0, 0.05, 0.1, 0.2)) if swapped else 0.0
        texts = [self.word.talk(u["t"], bare, rate) for u in run["utterances"]]
        found = self.word.pieces.encode_batch(texts, add_special_tokens=False)
        return [
            ([self.word.other] if u["o"] else []) + one.ids[:TARGET]
            for u, one in zip(run["utterances"], found, strict=True)
        ]

    def _around(
        self, coded: list[list[int]], row: int, varied: bool
    ) -> tuple[list[int], list[int]]:
        """As walkgrade/language/close_reader.py puts it; less of it at times while learning."""
        word, rng = self.word, self.rng
        room = rng.choice((BEFORE, BEFORE, BEFORE, 24, 0)) if varied else BEFORE
        left = rng.choice((AFTER, AFTER, 8, 0)) if varied else AFTER
        start, used = row, 0
        while start > 0 and used + len(coded[start - 1]) + 1 <= room:
            start -= 1
            used += len(coded[start]) + 1
        ids = [word.cls]
        for one in coded[start:row]:
            ids += [*one, word.sep]
        first = len(ids)
        ids += coded[row][:TARGET]
        last = len(ids)
        ids.append(word.sep)
        for one in coded[row + 1 :]:
            if left <= SCRAP:
                break
            ids += [*one[:left], word.sep]
            left -= len(one[:left]) + 1
        return ids, [int(first <= at < last) for at in range(len(ids))]

    def _question(self, number: int) -> list[int]:
        whole, part, _ = self.word.question(self.rows[number % SAME])
        text = f"{part}: the same as told before" if number >= SAME else whole
        return self.word.pieces.encode(text, add_special_tokens=False).ids[:QUESTION]

    def _items(self, run: Run) -> Iterator[tuple[int, list[Asked]]]:
        thought: dict[int, dict[int, tuple[float, float]]] = {}
        for row, number, told, against in run.get("thought", ()):
            thought.setdefault(row, {})[number] = told, against
        mine = {q for q in run["asked"] if self.rows[q]["kind"] == "told"}
        for bag in run["bags"]:
            yield from self._carried(run, bag)
            if not bag["skip"]:
                yield from self._told(bag, mine, thought)

    def _carried(self, run: Run, bag: dict[str, Any]) -> Iterator[tuple[int, list[Asked]]]:
        """Of which parts a line says that they are as told before; a plain line says it of none."""
        rng, can, same = self.rng, run.get("can", []), bag.get("same")
        if same and can:
            yes = same["yes"]
            told = {self.rows[q]["title"] for q in yes}
            no = [q for q in can if q not in same["open"] and self.rows[q]["title"] not in told]
            rows = [
                Asked(q + SAME, 1.0, 0.0, 1.0, 0.0) for q in rng.sample(yes, min(_YES, len(yes)))
            ]
            rows += [Asked(q + SAME, 0.0, 0.0, 1.0, 0.0) for q in rng.sample(no, min(_NO, len(no)))]
            rng.shuffle(rows)
            if rows:
                yield same["u"], rows
        elif bag.get("fresh") and can and rng.random() < 0.3:
            near = [q for q in bag["named"] if q in can]
            some = {*rng.sample(near, min(3, len(near))), *rng.sample(can, min(2, len(can)))}
            yield rng.choice(bag["u"]), [Asked(q + SAME, 0.0, 0.0, 0.7, 0.0) for q in sorted(some)]

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


def tensors(texts: Sequence[Text], pad: int) -> tuple[torch.Tensor, ...]:
    """ids, types, places, groups (texts, pieces); where each question begins (questions, 2); truth
    and weights (questions, 4)."""
    length = -(-max(text.size for text in texts) // 16) * 16
    ids = np.full((len(texts), length), pad, np.int64)
    types, places = np.zeros_like(ids), np.zeros_like(ids)
    groups = np.full_like(ids, -1)
    heads, truth = [], []
    for n, text in enumerate(texts):
        end = len(text.ids)
        ids[n, :end], types[n, :end] = text.ids, text.types
        places[n, :end], groups[n, :end] = np.arange(end), 0
        for number, (question, asked) in enumerate(zip(text.questions, text.asked, strict=True), 1):
            start, end = end, end + len(question)
            ids[n, start:end], groups[n, start:end] = question, number
            places[n, start:end] = PLACE + np.arange(len(question))
            heads.append((n, start))
            truth.append(asked[1:])
    arrays = (ids, types, places, groups, np.array(heads, np.int64), np.array(truth, np.float32))
    return tuple(torch.from_numpy(one) for one in arrays)
