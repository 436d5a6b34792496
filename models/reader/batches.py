"""Batches of stretches with the questions put to them and the truth.

Decides: which questions a batch asks (those answered, their kin, some at random), and how the
truth of a line becomes weights: every utterance outside a line's says no, one of the line's yes.
Conventions: `yes` and `no` are weights (batch, question, utterance, side); `index` lists the bags,
(bag, member) -> its place in them; `counts` (batch, question, utterance) is 1 where an answer is
wanted, whether its truth is known or not. Spans and questions stand in the order of their length,
so that those of like length are read together.
Public: `Batch`, `Batches`, `answers`, `batch_of`.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any

import numpy as np
import torch

from models.reader.network import AGAINST, STEPS, TOLD
from models.reader.wording import QUESTION, Wording, chunks

HARD = 2.5
"""Weight of a no about a part that is spoken of: naming a part tells nothing of its state."""
FAULT = 4.0
"""Weight of a no about what was told wrongly: credit for a stated fault is the worst error."""
AGAIN = 2
"""A fault counts so many times in its own bag: faults are one in twenty of what is told."""
PLACE = 0.3
"""Weight of where the trainee is, in each utterance."""
SIZE = 16
TEXTS = (16, QUESTION)
"""Questions of like length are read together, up to so many pieces."""
KIN = 130  # questions about parts that are spoken of, in a batch, beside those answered
OTHERS = 50  # questions at random

Piece = tuple[dict[str, Any], dict[str, Any]]  # a run and one of its stretches
Bag = tuple[int, int, list[int], int]  # stretch, question, utterances, side


@dataclass(frozen=True, slots=True)
class Batch:
    """Tensors of a batch; see the module's conventions."""

    ids: torch.Tensor
    spans: torch.Tensor  # (n, 4): batch, utterance, first and last piece
    question_ids: torch.Tensor
    which: torch.Tensor
    yes: torch.Tensor
    no: torch.Tensor
    index: torch.Tensor
    counts: torch.Tensor
    asked: np.ndarray
    lengths: tuple[int, ...]  # how many spans are of each of network.STEPS
    texts: tuple[int, ...]  # how many questions' texts are of each of TEXTS

    def to(self, device: str) -> Batch:
        """The same on a device, weights in full precision."""

        def moved(one: Any) -> Any:
            if not isinstance(one, torch.Tensor):
                return one
            there = one.to(device, non_blocking=True)
            return there.float() if one.is_floating_point() else there.long()

        return Batch(**{f.name: moved(getattr(self, f.name)) for f in fields(self)})

    def pin_memory(self) -> Batch:
        """The same where a device can fetch it while others are learnt."""
        own = {f.name: getattr(self, f.name) for f in fields(self)}
        return Batch(
            **{k: v.pin_memory() if isinstance(v, torch.Tensor) else v for k, v in own.items()}
        )


def answers(run: dict[str, Any], chunk: dict[str, Any]) -> list[tuple[list[int], dict[str, Any]]]:
    """The run's bags within a stretch, with utterance numbers of the stretch."""
    found = []
    for bag in run["bags"]:
        mine = [u - chunk["from"] for u in bag["u"] if chunk["counts"] <= u < chunk["to"]]
        if mine:
            found.append((mine, bag))
    return found


def questions_for(
    items: list[Piece], rows: list[dict[str, Any]], rng: random.Random, others: int
) -> np.ndarray:
    """Numbers of the questions to ask: answered ones, kin, and `others` at random."""
    wanted: set[int] = set()
    for run, chunk in items:
        wanted.update(q for *_, meant in chunk["numbers"] for q in meant)
        for _, bag in answers(run, chunk):
            wanted.update(bag["said"] + bag["against"] + bag["named"] + bag["places"])
            wanted.update(q for q in run["asked"] if rows[q]["kind"] == "carry")
    theirs = {q for run, _ in items for q in run["asked"]}
    if any(chunk["numbers"] for _, chunk in items):
        wanted |= {q for q in theirs if rows[q].get("limit")}
    near = {rows[q]["title"] for q in wanted if rows[q]["kind"] == "told"}
    kin = sorted(
        q for q in theirs - wanted if rows[q]["kind"] == "told" and rows[q]["title"] in near
    )
    if others <= OTHERS:  # while learning: not every one every time
        kin = rng.sample(kin, min(len(kin), KIN))
    wanted |= set(kin)
    pool = sorted(theirs - wanted)
    return np.array(sorted(wanted | set(rng.sample(pool, min(others, len(pool))))))


class _Truth:
    """Weights of yes and no while a batch is filled."""

    def __init__(
        self, asked: np.ndarray, rows: list[dict[str, Any]], shape: tuple[int, int], hard: float
    ) -> None:
        self.hard = hard
        stretches, utterances = shape
        self.yes = np.zeros((stretches, len(asked), utterances, 2), np.float32)
        self.no = np.zeros_like(self.yes)
        self.counts = np.zeros((stretches, len(asked), utterances), np.float32)
        self.bags: list[Bag] = []
        self.asked, self.rows = asked, rows
        self.where = {int(q): at for at, q in enumerate(asked)}
        self.places = np.array([rows[q]["kind"] == "place" for q in asked])
        self.carry = np.array([rows[q]["kind"] == "carry" for q in asked])
        self.limits = np.array([bool(rows[q].get("limit")) for q in asked])
        self.titled: dict[str, list[int]] = {}
        for at, q in enumerate(asked):
            if rows[q]["kind"] == "told":
                self.titled.setdefault(rows[q]["title"], []).append(at)

    def add(self, b: int, run: dict[str, Any], chunk: dict[str, Any]) -> None:
        """One stretch."""
        mine = np.isin(self.asked, run["asked"])
        inside = np.arange(chunk["counts"] - chunk["from"], chunk["to"] - chunk["from"])
        self.counts[b][np.ix_(mine, inside)] = 1.0
        if not chunk["known"]:
            return
        for u, (_, _, meant) in enumerate(chunk["numbers"], len(chunk["spans"])):
            self.counts[b, mine & self.limits, u] = 1.0
            self.no[b, mine & self.limits, u, TOLD] = 1.0
            for q in meant:
                self.no[b, self.where[q], u, TOLD] = 0.0
                self.bags.append((b, self.where[q], [u], TOLD))
        self.no[b][np.ix_(mine & ~self.places, inside)] = 1.0
        for at, bag in answers(run, chunk):
            if bag["skip"]:
                self.no[b][np.ix_(~self.carry, at)] = 0.0
            else:
                self._line(b, at, bag, mine)
            self._carry(b, at, bag, mine)

    def _line(self, b: int, at: list[int], bag: dict[str, Any], mine: np.ndarray) -> None:
        spoken = {self.rows[q]["title"] for q in bag["said"] + bag["against"] + bag["named"]}
        of_spoken = [q for title in spoken for q in self.titled.get(title, ())]
        if of_spoken:
            self.no[b][np.ix_(of_spoken, at)] *= self.hard
        for key, side in (("said", TOLD), ("named", TOLD), ("against", AGAINST)):
            for asked in bag[key]:
                q = self.where[asked]
                self.no[b, q, at, :] = 0.0
                if key != "named":
                    self.no[b, q, at, 1 - side] = FAULT if side == AGAINST else 1.0
                self.bags += [(b, q, at, side)] * (AGAIN if side == AGAINST else 1)
        if bag["places"]:
            self._place(b, at, [self.where[q] for q in bag["places"]], mine)

    def _carry(self, b: int, at: list[int], bag: dict[str, Any], mine: np.ndarray) -> None:
        """Whether the line says that something is as told before; unknown says nothing."""
        for q in np.flatnonzero(self.carry & mine):
            if bag.get("carry") != 0:
                self.no[b, q, at, :] = 0.0
            if bag.get("carry"):
                self.bags.append((b, int(q), at, TOLD))

    def _place(self, b: int, at: list[int], places: list[int], mine: np.ndarray) -> None:
        """A line at one place is there all along; one at several speaks of each somewhere."""
        for u in at:
            self.no[b, self.places & mine, u, TOLD] = PLACE
            self.no[b, places, u, TOLD] = 0.0
            if len(places) == 1:
                self.yes[b, places, u, TOLD] = PLACE
        if len(places) > 1:
            self.bags += [(b, q, at, TOLD) for q in places]

    def index(self) -> np.ndarray:
        """The bags, each filled up to the longest with its last member."""
        longest = max((len(bag[2]) for bag in self.bags), default=1)
        full = [
            [(b, q, at[min(i, len(at) - 1)], side) for i in range(longest)]
            for b, q, at, side in self.bags
        ]
        return np.array(full, dtype=np.int64).reshape(-1, longest, 4)


def batch_of(
    items: list[Piece], rows: list[dict[str, Any]], word: Wording, others: int = OTHERS,
    hard: float = HARD,
) -> Batch:  # fmt: skip
    """A batch of stretches."""
    asked = questions_for(items, rows, word.rng, others)
    length = max(len(c["ids"]) for _, c in items)
    width = max(len(c["spans"]) + len(c["numbers"]) for _, c in items)
    ids = np.full((len(items), length), word.pad, np.int32)
    spans = []
    truth = _Truth(asked, rows, (len(items), width), hard)
    for b, (run, chunk) in enumerate(items):
        ids[b, : len(chunk["ids"])] = chunk["ids"]
        both = [*chunk["spans"], *((a, e) for a, e, _ in chunk["numbers"])]
        spans += [(b, u, start, end) for u, (start, end) in enumerate(both)]
        truth.add(b, run, chunk)
    spans.sort(key=lambda one: one[3] - one[2])
    which, question_ids, texts = _questions([rows[q] for q in asked], word)
    weights = (w.astype(np.float16) for w in (truth.yes, truth.no))
    arrays = (ids, np.array(spans, np.int32), question_ids, which, *weights, truth.index(),
              truth.counts.astype(np.float16))  # fmt: skip
    tensors = [torch.from_numpy(np.ascontiguousarray(x)) for x in arrays]
    lengths = _counts([end - start for *_, start, end in spans], STEPS)
    return Batch(*tensors, asked, lengths, texts)


def _questions(
    rows: list[dict[str, Any]], word: Wording
) -> tuple[np.ndarray, np.ndarray, tuple[int, ...]]:
    """(question, 3) numbers of texts, the texts' word pieces, how many are of each of `TEXTS`."""
    texts: dict[str, int] = {}
    which = np.array([[texts.setdefault(t, len(texts)) for t in word.question(r)] for r in rows])
    coded = [c.ids[:QUESTION] for c in word.pieces.encode_batch(list(texts))]
    order = sorted(range(len(coded)), key=lambda at: len(coded[at]))
    ids = np.full((len(coded), QUESTION), word.pad, np.int32)
    for row, at in enumerate(order):
        ids[row, : len(coded[at])] = coded[at]
    place = np.empty(len(order), np.int64)
    place[order] = np.arange(len(order))
    return place[which], ids, _counts([len(coded[at]) for at in order], TEXTS)


def _counts(lengths: Sequence[int], steps: Sequence[int]) -> tuple[int, ...]:
    """How many of the lengths (rising) belong to each step: the first that holds them."""
    ends = np.searchsorted(lengths, steps, side="right")
    return tuple(int(n) for n in np.diff(ends, prepend=0))


class Batches(torch.utils.data.Dataset[Batch]):
    """The batches of all epochs. With `hands` workers each has epochs of its own, whose runs it
    cuts when it comes to them: as many epochs are learnt at once as there are workers.

    `edited`: so many times the real runs come again with clauses taken out and exchanged.
    """

    def __init__(
        self, data: dict[str, Any], *, made: int, slips: dict[str, list[str]], vocab: Path,
        epochs: int, edited: float = 0.0, seed: int = 0, hard: float = HARD, hands: int = 1,
        size: int = SIZE,
    ) -> None:  # fmt: skip
        self.data, self.made, self.slips, self.vocab = data, made, slips, vocab
        self.epochs, self.edited, self.seed, self.hard = epochs, edited, seed, hard
        self.hands, self.size = max(1, hands), size
        self.word: Wording | None = None
        self.epoch, self.items = -1, list[Piece]()
        self.each = -(-len(self._cut(0)) // size)
        self.epoch = -1

    def __len__(self) -> int:
        return self.each * self.epochs

    def _turn(self, at: int) -> tuple[int, int]:
        """(epoch, batch of it) of a batch; the loader gives its workers every so-manieth."""
        turn, hand = divmod(at, self.hands)
        done, rest = divmod(turn, self.each)
        return done * self.hands + hand, rest

    def _cut(self, epoch: int) -> list[Piece]:
        if self.epoch != epoch:
            self.epoch = epoch
            rng = random.Random(self.seed * 1000 + epoch)
            word = Wording(self.vocab, self.slips, rng)
            real, made = self.data["tune"], self.data["made"]
            runs = [*real, *rng.sample(made, min(self.made, len(made)))]
            again = rng.sample(real, int(self.edited * len(real)))
            self.items = [(r, c) for r in runs for c in chunks(r, word, train=True)]
            self.items += [(r, c) for r in again for c in chunks(r, word, train=True, edit=True)]
            rng.shuffle(self.items)
        return self.items

    def __getitem__(self, at: int) -> Batch:
        epoch, at = self._turn(at)
        items = self._cut(epoch)
        if self.word is None:
            self.word = Wording(self.vocab, self.slips, random.Random())
        word = self.word
        word.rng.seed((self.seed * 1000 + epoch) * 100_003 + at)
        word.plain = word.rng.random() < 0.3
        mine = items[at * self.size : (at + 1) * self.size] or items[: self.size]
        return batch_of(mine, self.data["questions"], word, hard=self.hard)
