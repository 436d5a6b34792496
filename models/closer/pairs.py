"""Utterances with the questions put to them, as word pieces, and the truth of each.

Decides: how an utterance and its questions are put while learning. What stands around the utterance
varies in length, words are swapped for like-sounding ones, questions name other names. Which
questions are asked: models/closer/asking.py.
Conventions: runs are as models/reader_data.py writes them with ``--thought``.
Public: `Pairs`, `Text`, `tensors`.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import torch

from models.closer.asking import About, Asked, Asking, Run
from models.reader.wording import QUESTION, Wording

BEFORE, AFTER, TARGET, SCRAP, PLACE = 112, 40, 128, 4, 300


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
        self.asking = Asking(rows, self.rng)

    def learnt(self, run: Run) -> Iterator[Text]:
        """Every utterance that has something to learn from, in wording that varies."""
        self.word.plain = self.rng.random() < 0.3
        yield from self._texts(run, self.asking.of(run), varied=True)

    def plain(self, run: Run, items: Sequence[tuple[int, list[Asked]]]) -> Iterator[Text]:
        """Given questions, in the words as they stand."""
        self.word.plain = True
        yield from self._texts(run, items, varied=False)

    def _texts(self, run: Run, items: Any, *, varied: bool) -> Iterator[Text]:
        coded = self._coded(run, varied)
        for row, asked in items:
            ids, types = self._around(coded, row, varied)
            mine = [[self.word.cls, *self._question(one)] for one in asked]
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
        room = rng.choice((BEFORE, BEFORE, 64, 64, 24, 0)) if varied else BEFORE
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

    def _question(self, asked: Asked) -> list[int]:
        """As walkgrade/language/questions.py words it."""
        whole, part, _ = self.word.question(self.rows[asked.question])
        text = whole
        if asked.about == About.SAME:
            text = f"{part}: the same as told before"
        elif asked.about == About.NUMBER:
            text = f"{asked.number.lower()} is said of {whole}"
        return self.word.pieces.encode(text, add_special_tokens=False).ids[:QUESTION]


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
            truth.append(asked.truth)
    arrays = (ids, types, places, groups, np.array(heads, np.int64), np.array(truth, np.float32))
    return tuple(torch.from_numpy(one) for one in arrays)
