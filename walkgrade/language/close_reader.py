"""The close reader: reads an utterance again for each question that it may answer.

Decides: which questions are asked again (`_worth_asking`), what of the talk around an utterance is
read with it, and how both readers' opinions are joined: the mean of their log odds. The run reader
reads the talk once and matches every question with it afterwards; here a question goes through the
whole encoder beside the words, which costs more and understands more.
Conventions: probabilities 0..1. An utterance is read with what stands before and after it; its own
pieces are marked. Questions see the utterance and themselves, but neither the utterance nor another
question sees them, so an answer depends on what else is asked by rounding alone. Answers are kept for a while:
of a talk that has grown only its end is read again. Files are checked against their sha256;
models/train_close_reader.py makes them and says from what.
Public: `CloseReader`, `ReadTwice`, `load_close_reader`.
"""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

import numpy as np

from walkgrade.language.questions import Question, QuestionKind
from walkgrade.language.reader_files import encoder_session, reader_folder, verified_recipe
from walkgrade.language.records import Utterance, Voice
from walkgrade.language.run_reader import Answers, Floats, RunReader
from walkgrade.language.tokens import written

POSSIBLE, POSSIBLE_AGAINST = 0.01, 0.03
"""Answers that the run reader thinks at least so likely are asked again."""
CARRIES = 0.05
"""So likely a word on what was told before, and it is asked of which parts."""
NUMBERED = 0.02
"""So likely a number speaks to a limit, and it is asked whether it does."""
_TOLD, _SAME, _NUMBER = "told", "same", "number"
_MARKS = " ,.;:!?"  # around a number, left away
_LEAST = 1e-4
_KEPT = 2048  # readings kept, some ten runs of half an hour
_THREADS = min(8, os.cpu_count() or 1)


class _Text(NamedTuple):
    """Pieces of an utterance with its surroundings; its own are [first, last)."""

    ids: tuple[int, ...]
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class _Ask:
    """A question put to an utterance: its column, what it asks for (`_TOLD`, `_SAME` or `_NUMBER`),
    and of which of the utterance's numbers."""

    column: int
    about: str
    text: str
    number: int = -1


class CloseReader:
    """An encoder that reads an utterance together with questions."""

    def __init__(self, folder: Path, vocab: Path, recipe: dict[str, int]) -> None:
        from tokenizers import BertWordPieceTokenizer

        self._session = encoder_session(folder)
        self._pieces = BertWordPieceTokenizer(str(vocab), lowercase=True)
        self._recipe = recipe
        self._known: dict[tuple[_Text, tuple[str, ...]], list[tuple[float, float]]] = {}
        self._coded: dict[str, list[int]] = {}

    def again(
        self, talk: Sequence[Utterance], questions: Sequence[Question], found: Answers
    ) -> Answers:
        """The run reader's answers, joined with what a close look makes of those worth it."""
        wanted = _worth_asking(talk, questions, found)
        coded = [self._utterance(one) for one in talk]
        texts = {row: self._text(coded, row) for row in wanted}
        with ThreadPoolExecutor(_THREADS) as threads:
            read = list(threads.map(lambda row: self._answers(texts[row], wanted[row]), wanted))
        for key in list(self._known)[:-_KEPT]:
            self._known.pop(key, None)
        return _joined(found, {row: list(zip(wanted[row], answers, strict=True))
                               for row, answers in zip(wanted, read, strict=True)})  # fmt: skip

    def _utterance(self, utterance: Utterance) -> list[int]:
        """Word pieces, as the run reader has them: those of other voices are marked."""
        ids = self._pieces.encode(written(utterance.tokens), add_special_tokens=False).ids
        mark = [] if utterance.voice == Voice.TRAINEE else [self._pieces.token_to_id("[MASK]")]
        return [*mark, *ids[: self._recipe["target"]]]

    def _text(self, coded: Sequence[list[int]], row: int) -> _Text:
        """The utterance with whole utterances before it and the beginning of what follows."""
        cls, sep = (self._pieces.token_to_id(t) for t in ("[CLS]", "[SEP]"))
        start, used = row, 0
        while start > 0 and used + len(coded[start - 1]) + 1 <= self._recipe["before"]:
            start -= 1
            used += len(coded[start]) + 1
        ids = [cls]
        for one in coded[start:row]:
            ids += [*one, sep]
        first = len(ids)
        ids += coded[row][: self._recipe["target"]]
        last = len(ids)
        ids.append(sep)
        at, left = row + 1, self._recipe["after"]
        while at < len(coded) and left > self._recipe["scrap"]:
            part = coded[at][:left]
            ids += [*part, sep]
            left -= len(part) + 1
            at += 1
        return _Text(tuple(ids), first, last)

    def _answers(self, text: _Text, asks: Sequence[_Ask]) -> list[tuple[float, float]]:
        """(told, against) of each question, kept or worked out: always all of them together, since
        rounding to int8 lets an answer depend a little on what else is asked."""
        asked = tuple(dict.fromkeys(ask.text for ask in asks))
        if (text, asked) not in self._known:
            self._known[text, asked] = self._read(text, asked)
        found = dict(zip(asked, self._known[text, asked], strict=True))
        return [found[ask.text] for ask in asks]

    def _read(self, text: _Text, asked: Sequence[str]) -> list[tuple[float, float]]:
        """One call of the encoder: the text once, then every question."""
        cls, ids, size = self._pieces.token_to_id("[CLS]"), list(text.ids), len(text.ids)
        places, groups, heads = list(range(size)), [0] * size, []
        for number, question in enumerate(asked, 1):
            mine = [cls, *self._question(question)]
            heads.append(len(ids))
            ids += mine
            places += range(self._recipe["place"], self._recipe["place"] + len(mine))
            groups += [number] * len(mine)
        types = np.zeros((1, len(ids)), dtype=np.int64)
        types[0, text.first : text.last] = 1
        feed = {
            "ids": np.array([ids], dtype=np.int64), "types": types,
            "places": np.array([places], dtype=np.int64),
            "groups": np.array([groups], dtype=np.int64),
        }  # fmt: skip
        logits: Floats = self._session.run(["logits"], feed)[0][0, heads]
        chances = 1.0 / (1.0 + np.exp(-np.clip(logits, -30, 30)))
        return [(float(yes), float(no)) for yes, no in chances]

    def _question(self, text: str) -> list[int]:
        if text not in self._coded:
            found = self._pieces.encode(text, add_special_tokens=False).ids
            self._coded[text] = found[: self._recipe["question"]]
        return self._coded[text]


def _worth_asking(
    talk: Sequence[Utterance], questions: Sequence[Question], found: Answers
) -> dict[int, list[_Ask]]:
    """Row -> what to ask again there: what is possible; where something is said to be as told
    before, of which parts; which limits a number may speak to."""
    of = {kind: np.array([q.kind == kind for q in questions]) for kind in QuestionKind}
    twins = np.flatnonzero(of[QuestionKind.NAMED] & np.array([q.twins for q in questions])).tolist()
    mine = np.array([one.voice == Voice.TRAINEE for one in talk])
    told = (found.told >= POSSIBLE) | (found.against >= POSSIBLE_AGAINST)
    told &= mine[:, None] & of[QuestionKind.TOLD]
    carries = np.where(of[QuestionKind.CARRY], found.told, 0.0).max(1, initial=0.0) >= CARRIES
    wanted: dict[int, list[_Ask]] = {}
    for row in np.flatnonzero(mine).tolist():
        asks = [_Ask(c, _TOLD, questions[c].brief) for c in np.flatnonzero(told[row]).tolist()]
        asks += [_Ask(c, _SAME, questions[c].same) for c in (twins if carries[row] else ())]
        wanted[row] = asks
    for row, which, chance in found.numbers:
        if mine[row]:
            number = talk[row].numbers[which]
            said = written(talk[row].tokens[number.first : number.last]).lower().strip(_MARKS)
            wanted[row] += [
                _Ask(c, _NUMBER, f"{said} is said of {questions[c].brief}", which)
                for c in np.flatnonzero(chance >= NUMBERED).tolist() if questions[c].limit
            ]  # fmt: skip
    return {row: asks for row, asks in wanted.items() if asks}


def _joined(found: Answers, read: Mapping[int, list[tuple[_Ask, tuple[float, float]]]]) -> Answers:
    """The run reader's answers with those of a close look: (told, against) of each question."""
    told, against, same = found.told.copy(), found.against.copy(), []
    numbers = {(row, which): chance.copy() for row, which, chance in found.numbers}
    for row, answers in read.items():
        for ask, (yes, no) in answers:
            if ask.about == _SAME:
                same.append((row, ask.column, yes))
            elif ask.about == _NUMBER:
                chance = numbers[row, ask.number]
                chance[ask.column] = _both(float(chance[ask.column]), yes)
            else:
                told[row, ask.column] = _both(told[row, ask.column], yes)
                against[row, ask.column] = _both(against[row, ask.column], no)
    return replace(
        found, told=told, against=against, same=tuple(same),
        numbers=tuple((row, which, chance) for (row, which), chance in numbers.items()),
    )  # fmt: skip


def _both(first: float, second: float) -> float:
    """The mean of two opinions' log odds, as a probability."""
    odds = [np.log(p / (1.0 - p)) for p in np.clip((first, second), _LEAST, 1.0 - _LEAST)]
    return float(1.0 / (1.0 + np.exp(-sum(odds) / 2.0)))


@dataclass(frozen=True, slots=True)
class ReadTwice:
    """A run reader (`RunReader`) whose answers a close reader looks through."""

    first: RunReader
    close: CloseReader

    def answers(self, talk: Sequence[Utterance], questions: Sequence[Question]) -> Answers:
        """See `RunReader`."""
        found = self.first.answers(talk, questions)
        return self.close.again(talk, questions, found) if found.told.size else found


@lru_cache(maxsize=1)
def load_close_reader() -> CloseReader:
    """The shipped close reader, verified.

    Raises
    ------
    ModelError : ``M20`` when a file is missing, its sum is not the recorded one, or the
        description is damaged.
    """
    names = ("before", "target", "after", "scrap", "question", "place")
    folder = reader_folder("close_reader")
    recipe = verified_recipe(folder, names, "close reader")
    return CloseReader(folder, reader_folder("run_reader") / "vocab.txt", recipe)
