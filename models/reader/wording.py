"""Runs cut into stretches of word pieces, and how their wording varies while learning.

Decides: how words are swapped for what recognisers make of them, how clauses are taken out or
exchanged, and where a stretch of the talk begins and ends.
Conventions: a run is as models/reader_data.py writes it; nothing varies unless `train`.
Public: `Wording`, `chunks`.
"""

from __future__ import annotations

import random
import re
from pathlib import Path
from typing import Any

from tokenizers import BertWordPieceTokenizer

CHUNK, CONTEXT, QUESTION = 320, 96, 40

_CLAUSE = re.compile(r"(?<=[,.;:!?])\s+|\s+(?=and\s|but\s)")


class Wording:
    """The word pieces, and chance in the wording."""

    def __init__(self, vocab: Path, slips: dict[str, list[str]], rng: random.Random) -> None:
        self.pieces = BertWordPieceTokenizer(str(vocab), lowercase=True)
        self.pad, self.cls, self.sep, self.other = (
            self.pieces.token_to_id(t) for t in ("[PAD]", "[CLS]", "[SEP]", "[MASK]")
        )
        self.slips, self.rng = slips, rng
        self.plain = False  # questions with their usual names
        self.longest = max((len(k.split()) for k in slips), default=1)

    def talk(self, text: str, bare: bool, rate: float) -> str:
        """An utterance, bare of punctuation if asked, its words misheard at `rate`."""
        words = text.split()
        if rate > 0:
            words = self._misheard(words, rate)
        text = " ".join(words)
        if bare:
            text = "".join(c for c in text if c.isalnum() or c in " '/").lower()
        return text

    def edited(self, texts: list[str]) -> list[str]:
        """The utterances with clauses left out and exchanged: nobody knows what they earn."""
        cut = [[part for part in _CLAUSE.split(text) if part] for text in texts]
        pool = [part for parts in cut for part in parts]
        made = []
        for parts in cut:
            mine = list(parts)
            if mine and self.rng.random() < 0.35:
                mine[self.rng.randrange(len(mine))] = self.rng.choice(pool)
            if len(mine) > 1 and self.rng.random() < 0.5:
                del mine[self.rng.randrange(len(mine))]
            made.append(" ".join(mine))
        return made

    def _misheard(self, words: list[str], rate: float) -> list[str]:
        out: list[str] = []
        at, rng = 0, self.rng
        while at < len(words):
            for length in range(min(self.longest, len(words) - at), 0, -1):
                key = " ".join(w.lower().strip(",.;:!?") for w in words[at : at + length])
                if key in self.slips and rng.random() < (4 * rate if length > 1 else 2.5 * rate):
                    out += rng.choice(self.slips[key]).split()
                    at += length
                    break
            else:
                if rng.random() < 0.15 * rate:
                    at += 1  # a lost word
                    continue
                out.append(words[at])
                at += 1
        return out or words[:1]

    def question(self, row: dict[str, Any]) -> tuple[str, str, str]:
        """Whole, part, and what must be said; as walkgrade/language/questions.py words them."""
        names = row["names"][:4]
        if not self.plain and self.rng.random() < 0.5:
            names = self.rng.sample(row["names"], min(len(row["names"]), self.rng.randrange(6)))
        also = ", ".join(n.lstrip("=") for n in names)
        part = (f"{row['title']} ({also})" if also else row["title"]).lower()
        return f"{part}: {row['says'].lower()}", part, row["says"].lower()


def chunks(
    run: dict[str, Any], word: Wording, *, train: bool, edit: bool = False
) -> list[dict[str, Any]]:
    """Stretches of a run: token ids, utterance spans, which of them count, and numbers.

    With `edit` the wording no longer bears the run's truth: `known` is False.
    """
    coded, numbers = _coded(run, word, train=train, edit=edit)
    made, first = [], 0
    limit = word.rng.randrange(CHUNK // 2, CHUNK - 2) if train else CHUNK - 2
    while first < len(coded):
        start, used = first, 0
        while start > 0 and used + len(coded[start - 1]) + 1 <= CONTEXT:
            start -= 1
            used += len(coded[start]) + 1
        last = first
        while last < len(coded) and (last == first or used + len(coded[last]) + 1 <= limit):
            used += len(coded[last]) + 1
            last += 1
        ids, spans = [word.cls], []
        for at in range(start, last):
            spans.append((len(ids), len(ids) + len(coded[at])))
            ids += [*coded[at], word.sep]
        inside = [
            (spans[at - start][0] + a, spans[at - start][0] + b, asked)
            for at, a, b, asked in numbers if first <= at < last
        ]  # fmt: skip
        made.append({"ids": ids, "spans": spans, "from": start, "counts": first, "to": last,
                     "numbers": inside, "known": not edit})  # fmt: skip
        first = last
        limit = CHUNK - 2
    return made


def _coded(
    run: dict[str, Any], word: Wording, *, train: bool, edit: bool
) -> tuple[list[list[int]], list[tuple[int, int, int, list[int]]]]:
    """Word pieces of every utterance; (utterance, first, last piece, questions) of numbers."""
    rng = word.rng
    bare = train and rng.random() < 0.3
    rate = rng.choice((0, 0, 0.05, 0.1, 0.2)) if train and run["source"] != "heard" else 0.0
    texts = [u["t"] for u in run["utterances"]]
    said = word.edited(texts) if edit else texts
    coded: list[list[int]] = []
    numbers: list[tuple[int, int, int, list[int]]] = []
    for at, u in enumerate(run["utterances"]):
        text = word.talk(said[at], bare, rate)
        found = word.pieces.encode(text, add_special_tokens=False)
        coded.append(([word.other] if u["o"] else []) + found.ids[: CHUNK // 2])
        for start, end, asked in u.get("n", ()) if text == u["t"] else ():
            mine = [
                i for i, (a, b) in enumerate(found.offsets[: CHUNK // 2]) if a < end and b > start
            ]
            if mine:
                numbers.append((at, mine[0], mine[-1] + 1, asked))
    return coded, numbers
