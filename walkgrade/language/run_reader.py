"""The trained run reader: which of the checklist's questions each utterance answers, in context.

Decides: for every utterance and question (`questions_of`), how likely the utterance, understood
with what was said before it, answers the question rightly, or against. It knows nothing of credit.
Conventions: probabilities 0..1 in arrays (utterances, questions). The talk is read in stretches of
a fixed number of word pieces; a stretch begins where the talk itself says so (a word sum, not a
count from the start), so a sentence more or less changes only its neighbourhood. Every file of the
reader is checked against its sha256; models/train_reader.py makes them and says from what.
Public: `RunReader`, `Answers`, `load_run_reader`.
"""

from __future__ import annotations

import hashlib
import json
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from pathlib import Path
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from walkgrade.errors import ModelError
from walkgrade.language.questions import Question
from walkgrade.language.records import Utterance, Voice
from walkgrade.language.tokens import written

Floats = NDArray[np.float32]

_FRESH = 6  # on the average one utterance in so many may begin a stretch


@dataclass(frozen=True, slots=True)
class Answers:
    """Probabilities (utterances, questions): answered rightly, and answered against.

    `numbers` holds, for every number an utterance was found to hold, (utterance, which of its
    numbers, probabilities (questions,) that it speaks to the question's limit).
    """

    told: Floats
    against: Floats
    numbers: tuple[tuple[int, int, Floats], ...] = ()


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
    """Questions made ready: `looks` (questions, heads, width) is matched with the pieces, `seen`
    (questions, size, hidden) and `start` (questions, hidden) judge what was found."""

    looks: Floats
    seen: Floats
    start: Floats


class _OnnxRunReader:
    """The shipped reader: encoder by onnxruntime, judging layer by numpy."""

    def __init__(self, folder: Path, recipe: dict[str, int]) -> None:
        import onnxruntime
        from tokenizers import BertWordPieceTokenizer

        options = onnxruntime.SessionOptions()
        options.log_severity_level = 3
        # its threads would else spin while numpy works
        options.add_session_config_entry("session.intra_op.allow_spinning", "0")
        self._session = onnxruntime.InferenceSession(
            str(folder / "encoder.onnx"), options, providers=["CPUExecutionProvider"]
        )
        self._pieces = BertWordPieceTokenizer(str(folder / "vocab.txt"), lowercase=True)
        self._recipe = recipe
        with np.load(folder / "head.npz") as head:
            self._head = {name: head[name] for name in head.files}
        self._asked = _kept(folder)

    def answers(self, talk: Sequence[Utterance], questions: Sequence[Question]) -> Answers:
        """See `RunReader`."""
        told = np.zeros((len(talk), len(questions)), dtype=np.float32)
        against = np.zeros_like(told)
        if not talk or not questions:
            return Answers(told, against)
        asks = self._asks(questions)
        numbers: list[tuple[int, int, Floats]] = []
        stretches = self._stretches(talk)
        read = [self._run(ids)[0][0] for ids, _ in stretches]
        for pieces, (_, spans) in zip(read, stretches, strict=True):
            chance = self._judge(pieces, asks, [(s.start, s.end) for s in spans])
            for at, span in enumerate(spans):
                if span.number >= 0:
                    numbers.append((span.row, span.number, chance[:, at, 0]))
                else:
                    told[span.row], against[span.row] = chance[:, at, 0], chance[:, at, 1]
        return Answers(told, against, tuple(numbers))

    def _run(self, ids: list[int]) -> list[Floats]:
        feed = {"input_ids": np.array([ids], dtype=np.int64)}
        feed["attention_mask"] = np.ones_like(feed["input_ids"])
        found: list[Floats] = self._session.run(["pieces", "asks"], feed)
        return found

    def ask(self, text: str) -> Floats:
        """What a question looks for; one text a call, kept for the next talk."""
        if text not in self._asked:
            ids = self._pieces.encode(text).ids[: self._recipe["question"]]
            self._asked[text] = self._run(ids)[1][0]
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
            looks=looks.reshape(-1, heads, width),
            seen=seen[None] + wants[:, :, None] * both[None],
            start=wants @ want + self._head["b1"],
        )

    def _judge(self, pieces: Floats, asks: _Asks, spans: Sequence[tuple[int, int]]) -> Floats:
        """Probabilities (questions, spans, 2)."""
        count, heads, width = asks.looks.shape
        size = heads * width
        keys = pieces[:, :size].reshape(-1, heads, width)
        values = np.ascontiguousarray(
            pieces[:, size:].reshape(-1, heads, width).transpose(1, 0, 2)
        )  # (heads, pieces, width)
        match = np.matmul(asks.looks.transpose(1, 0, 2), keys.transpose(1, 2, 0)) / np.sqrt(width)
        mean = match.mean(-1).T  # (questions, heads)
        weight = np.exp(match - match.max(-1, keepdims=True))
        seen = np.empty((count, len(spans), heads, width), dtype=np.float32)
        best = np.empty((count, len(spans), heads), dtype=np.float32)
        for at, (start, end) in enumerate(spans):
            mine = weight[:, :, start:end]
            total = np.maximum(mine.sum(-1, keepdims=True), 1e-9)
            seen[:, at] = (np.matmul(mine, values[:, start:end]) / total).transpose(1, 0, 2)
            best[:, at] = match[:, :, start:end].max(-1).T
        rest = np.concatenate([best, best - mean[:, None, :], np.tanh(best)], -1)
        hidden = np.matmul(seen.reshape(count, len(spans), size), asks.seen)
        hidden += rest @ self._head["w1"][3 * size :] + asks.start[:, None, :]
        logits = np.maximum(hidden, 0) @ self._head["w2"] + self._head["b2"]
        chance: Floats = (1.0 / (1.0 + np.exp(-np.clip(logits, -30, 30)))).astype(np.float32)
        return chance


def _kept(folder: Path) -> dict[str, Floats]:
    """What the questions of the shipped checklists look for, worked out beforehand."""
    place = folder / "questions.npz"
    if not place.is_file():
        return {}
    with np.load(place) as body:
        texts = [str(text) for text in body["texts"]]
        return dict(zip(texts, body["asks"].astype(np.float32), strict=True))


def _folder() -> Path:
    """models/run_reader of the source tree, or its copy in an installed package."""
    packaged = resources.files("walkgrade").joinpath("model_data", "run_reader")
    if packaged.is_dir():
        return Path(str(packaged))
    return Path(__file__).resolve().parents[2] / "models" / "run_reader"


@lru_cache(maxsize=1)
def load_run_reader() -> RunReader:
    """The shipped run reader, verified.

    Raises
    ------
    ModelError : ``M20`` when a file is missing, its sum is not the recorded one, or the
        description is damaged.
    """
    folder = _folder()
    try:
        body = json.loads((folder / "reader.json").read_text("utf-8"))
        sums = {n: hashlib.sha256((folder / n).read_bytes()).hexdigest() for n in body["sha256"]}
        recipe = {n: int(body[n]) for n in ("chunk", "context", "question", "heads", "width")}
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise ModelError(
            "M20", f"The run reader is not complete: {error}.", "Install walkgrade anew."
        ) from error
    wrong = [name for name, digest in sums.items() if digest != body["sha256"][name]]
    if wrong:
        raise ModelError(
            "M20",
            f"Damaged file of the run reader: {', '.join(wrong)} in {folder}.",
            "Install walkgrade anew.",
        )
    return _OnnxRunReader(folder, recipe)
