"""The trained run reader: which of the checklist's questions each utterance answers, in context.

Decides: for every utterance and question (`questions_of`), how likely the utterance, understood
with what was said before it, answers the question rightly, or against. It knows nothing of credit.
Conventions: probabilities 0..1 in arrays (utterances, questions). The talk is read in stretches of
a fixed number of word pieces; a stretch begins where the talk itself says so (a word sum, not a
count from the start), so a sentence more or less changes only its neighbourhood. Stretches are read
side by side, each by one thread of its own: handing a stretch to many threads costs more than it
brings; what was made of a stretch is kept for a while, so a talk that has grown is read from where
it grew. Every file of the reader is checked against its sha256; models/train_reader.py makes them and
says from what.
Public: `RunReader`, `Answers`, `load_run_reader`.
"""

from __future__ import annotations

import os
import zlib
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from walkgrade.language.questions import Question
from walkgrade.language.reader_files import encoder_session, reader_folder, verified_recipe
from walkgrade.language.records import Utterance, Voice
from walkgrade.language.tokens import written

Floats = NDArray[np.float32]
_Texts = tuple[str, str, str]
_Key = tuple[tuple[_Texts, ...], tuple[int, ...], tuple[tuple[int, int], ...]]

_FRESH = 6  # on the average one utterance in so many may begin a stretch
_SMALL = 1 << 18  # multiplications up to which OpenBLAS keeps a product in its caller's thread
_THREADS = min(8, os.cpu_count() or 1)
_KEPT = 128  # stretches whose answers are kept: two runs of half an hour


@dataclass(frozen=True, slots=True)
class Answers:
    """Probabilities (utterances, questions): answered rightly, and answered against.

    `numbers` holds, for every number an utterance was found to hold, (utterance, which of its
    numbers, probabilities (questions,) that it speaks to the question's limit). `same` holds
    (utterance, question, probability) that the question's part is said to be as told before.
    """

    told: Floats
    against: Floats
    numbers: tuple[tuple[int, int, Floats], ...] = ()
    same: tuple[tuple[int, int, float], ...] = ()


class RunReader(Protocol):
    """What `read` needs of a run reader."""

    def answers(self, talk: Sequence[Utterance], questions: Sequence[Question]) -> Answers:
        """See `Answers`; rows in the order of `talk`, columns in that of `questions`."""
        ...


@dataclass(frozen=True, slots=True)
class _Span:
    """Pieces [start, end) of an utterance (`number` -1) or of one of its numbers."""

    row: int
    number: int
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class _Asks:
    """Questions made ready: `looks` (heads, width, questions) is matched with the pieces, `seen`
    (questions, size, hidden) and `start` (questions, hidden) judge what was found."""

    looks: Floats
    seen: Floats
    start: Floats


class _OnnxRunReader:
    """The shipped reader: encoder by onnxruntime, judging layer by numpy."""

    def __init__(self, folder: Path, recipe: dict[str, int]) -> None:
        from tokenizers import BertWordPieceTokenizer

        self._session = encoder_session(folder)
        self._pieces = BertWordPieceTokenizer(str(folder / "vocab.txt"), lowercase=True)
        self._recipe = recipe
        with np.load(folder / "head.npz") as head:
            self._head = {name: head[name] for name in head.files}
        self._asked = _kept(folder)
        self._known: dict[_Key, Floats] = {}

    def answers(self, talk: Sequence[Utterance], questions: Sequence[Question]) -> Answers:
        """See `RunReader`."""
        told = np.zeros((len(talk), len(questions)), dtype=np.float32)
        against = np.zeros_like(told)
        if not talk or not questions:
            return Answers(told, against)
        asks = self._asks(questions)
        numbers: list[tuple[int, int, Floats]] = []
        stretches = self._stretches(talk)
        texts = tuple(question.texts for question in questions)
        with ThreadPoolExecutor(_THREADS) as threads:
            chances = list(threads.map(lambda one: self._chances(one, asks, texts), stretches))
        for key in list(self._known)[:-_KEPT]:
            self._known.pop(key, None)
        for chance, (_, spans) in zip(chances, stretches, strict=True):
            for at, span in enumerate(spans):
                if span.number >= 0:
                    numbers.append((span.row, span.number, chance[:, at, 0]))
                else:
                    told[span.row], against[span.row] = chance[:, at, 0], chance[:, at, 1]
        return Answers(told, against, tuple(numbers))

    def _chances(
        self, stretch: tuple[list[int], list[_Span]], asks: _Asks, texts: tuple[_Texts, ...]
    ) -> Floats:
        """Probabilities (questions, spans, 2) of one stretch, kept or worked out."""
        ids, places = stretch[0], tuple((span.start, span.end) for span in stretch[1])
        key = (texts, tuple(ids), places)
        found = self._known.get(key)
        if found is None:
            found = self._judge(self._run(ids, "pieces"), asks, places)
            self._known[key] = found
        return found

    def _run(self, ids: list[int], wanted: str) -> Floats:
        """One output of the encoder: "pieces" (pieces, 2 size) or "asks" (2 size,) of a text."""
        feed = {"input_ids": np.array([ids], dtype=np.int64)}
        feed["attention_mask"] = np.ones_like(feed["input_ids"])
        found: Floats = self._session.run([wanted], feed)[0][0]
        return found

    def ask(self, text: str) -> Floats:
        """What a question looks for; one text a call, kept for the next talk."""
        if text not in self._asked:
            ids = self._pieces.encode(text).ids[: self._recipe["question"]]
            self._asked[text] = self._run(ids, "asks")
        return self._asked[text]

    def _stretches(self, talk: Sequence[Utterance]) -> list[tuple[list[int], list[_Span]]]:
        """(piece ids, spans that count) of each stretch."""
        longest, context = self._recipe["chunk"] - 2, self._recipe["context"]
        sep, cls = (self._pieces.token_to_id(t) for t in ("[SEP]", "[CLS]"))
        coded = [self._coded(one) for one in talk]
        made, first = [], 0
        while first < len(coded):
            start, used = first, 0
            while start > 0 and used + len(coded[start - 1][0]) + 1 <= context:
                start -= 1
                used += len(coded[start][0]) + 1
            last = self._end([ids for ids, _ in coded], talk, first, longest - used)
            ids, spans = [cls], []
            for at in range(start, last):
                mine, numbers = coded[at]
                if at >= first:
                    spans.append(_Span(at, -1, len(ids), len(ids) + len(mine)))
                    spans += [
                        _Span(at, which, len(ids) + a, len(ids) + b) for which, a, b in numbers
                    ]
                ids += [*mine, sep]
            made.append((ids, spans))
            first = last
        return made

    def _coded(self, utterance: Utterance) -> tuple[list[int], list[tuple[int, int, int]]]:
        """Word pieces of an utterance, and (which number, first, last piece) of its numbers."""
        found = self._pieces.encode(written(utterance.tokens), add_special_tokens=False)
        longest = self._recipe["chunk"] // 2
        if utterance.voice != Voice.TRAINEE:
            return [self._pieces.token_to_id("[MASK]"), *found.ids[:longest]], []
        numbers = []
        for which, number in enumerate(utterance.numbers):
            start = len(written(utterance.tokens[: number.first]))
            end = len(written(utterance.tokens[: number.last]))
            mine = [i for i, (a, b) in enumerate(found.offsets[:longest]) if a < end and b > start]
            if mine:
                numbers.append((which, mine[0], mine[-1] + 1))
        return found.ids[:longest], numbers

    def _end(self, coded: list[list[int]], talk: Sequence[Utterance], first: int, room: int) -> int:
        """Where the stretch from `first` ends: as late as fits, at a place the words choose."""
        last, used, chosen = first, 0, first
        while last < len(coded) and (last == first or used + len(coded[last]) + 1 <= room):
            used += len(coded[last]) + 1
            last += 1
            if 2 * used >= room and zlib.crc32(talk[last - 1].text.encode()) % _FRESH == 0:
                chosen = last
        return last if last == len(coded) or chosen == first else chosen

    def _asks(self, questions: Sequence[Question]) -> _Asks:
        """What each question looks for and how it judges: a third of the heads for each text."""
        heads, width = self._recipe["heads"], self._recipe["width"]
        size, third = heads * width, heads * width // 3
        looks, wants = (
            np.stack([
                np.concatenate([
                    self.ask(text)[offset + n * third : offset + (n + 1) * third]
                    for n, text in enumerate(question.texts)
                ])
                for question in questions
            ])
            for offset in (0, size)
        )  # fmt: skip
        seen, want, both = (self._head["w1"][n * size : (n + 1) * size] for n in range(3))
        return _Asks(
            looks=looks.reshape(-1, heads, width).transpose(1, 2, 0) * np.float32(width**-0.5),
            seen=seen[None] + wants[:, :, None] * both[None],
            start=_product(wants, want) + self._head["b1"],
        )

    def _judge(self, pieces: Floats, asks: _Asks, spans: Sequence[tuple[int, int]]) -> Floats:
        """Probabilities (questions, spans, 2)."""
        seen, best, mean = _look(pieces, asks.looks, spans)
        rest = np.concatenate([best, best - mean, np.tanh(best)], 1).transpose(2, 0, 1)
        hidden = _product(seen, asks.seen)
        hidden += _product(np.ascontiguousarray(rest), self._head["w1"][3 * seen.shape[-1] :])
        hidden += asks.start[:, None, :]
        logits = _product(np.maximum(hidden, 0), self._head["w2"]) + self._head["b2"]
        chance: Floats = (1.0 / (1.0 + np.exp(-np.clip(logits, -30, 30)))).astype(np.float32)
        return chance


def _look(
    pieces: Floats, looks: Floats, spans: Sequence[tuple[int, int]]
) -> tuple[Floats, Floats, Floats]:
    """What each question sees in each span (questions, spans, size), how well it fits there at best
    (spans, heads, questions), and in the whole stretch on the average (heads, questions)."""
    heads, width, count = looks.shape
    keys, values = pieces.reshape(-1, 2, heads, width).transpose(1, 2, 0, 3)
    match = _product(keys, looks)  # (heads, pieces, questions)
    weight = np.exp(match - match.max(1, keepdims=True))
    seen = np.empty((count, len(spans), heads, width), dtype=np.float32)
    best = np.empty((len(spans), heads, count), dtype=np.float32)
    for at, (start, end) in enumerate(spans):
        mine = weight[:, start:end]
        mine = mine / np.maximum(mine.sum(1, keepdims=True), 1e-9)
        found = _product(mine.transpose(0, 2, 1), values[:, start:end])
        seen[:, at] = found.transpose(1, 0, 2)
        best[at] = match[:, start:end].max(1)
    return seen.reshape(count, len(spans), heads * width), best, match.mean(1)


def _product(left: Floats, right: Floats) -> Floats:
    """``left @ right``, some rows of `left` at a time so that each step is a small one."""
    rows, width = left.shape[-2], right.shape[-1]
    step = max(1, _SMALL // (left.shape[-1] * width))
    made = np.empty((*left.shape[:-1], width), dtype=np.float32)
    for start in range(0, rows, step):
        part = slice(start, start + step)
        np.matmul(left[..., part, :], right, out=made[..., part, :])
    return made


def _kept(folder: Path) -> dict[str, Floats]:
    """What the questions of the shipped checklists look for, worked out beforehand."""
    place = folder / "questions.npz"
    if not place.is_file():
        return {}
    with np.load(place) as body:
        texts = [str(text) for text in body["texts"]]
        return dict(zip(texts, body["asks"].astype(np.float32), strict=True))


def _folder() -> Path:
    return reader_folder("run_reader")


@lru_cache(maxsize=1)
def load_run_reader() -> RunReader:
    """The shipped run reader, verified.

    Raises
    ------
    ModelError : ``M20`` when a file is missing, its sum is not the recorded one, or the
        description is damaged.
    """
    folder = _folder()
    names = ("chunk", "context", "question", "heads", "width")
    return _OnnxRunReader(folder, verified_recipe(folder, names, "run reader"))
