"""The item reader: reads together all that may tell of one item, and says what of it was told.

Decides: how an item's statements and the lines about it are put to the encoder, and how many lines
fit. The run reader and the close reader judge one utterance at a time; here a verdict three lines
after its part, "both of them", a list summed up later and the part itself are seen at once, and all
statements of the item are answered together.
Conventions: answers are log odds, clipped to ±`FAR`. Lines go in by the order given until the
encoder's room is full, and are read in the order spoken; a line is read whole or not at all. Many
statements of one item share a bounded room, each shortened alike. An
item's answers depend on nothing but its statements and these lines, and are kept for a while. Files
are checked against their sha256; models/train_item_reader.py makes them and says from what.
Public: `FAR`, `ItemReader`, `ItemQuestion`, `Sheet`, `SheetWriter`, `load_item_reader`.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np

from walkgrade.language.reader_files import encoder_session, reader_folder, verified_recipe
from walkgrade.language.records import Utterance, Voice
from walkgrade.language.tokens import written

FAR = 8.0
_KEPT = 2048  # answers kept, some fifty runs
_THREADS = min(8, os.cpu_count() or 1)
_NAMES = 2  # names of the part beside its title
_PLACES = 512  # pieces that the encoder has places for
_STATEMENTS, _SHORTEST = 280, 4  # pieces of all statements, and of each at the least
_SIZES = ("room", "line", "title", "place")


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemQuestion:
    """An item with what must be said of it (`says`), and the utterances to read it in.

    `rows` are utterances' places in the talk, most telling first; those in `telling` are marked as
    such, the others only stand around them. `place` is where the item is found.
    """

    title: str
    names: tuple[str, ...]
    place: str
    says: tuple[str, ...]
    rows: tuple[int, ...]
    telling: frozenset[int]


@dataclass(frozen=True, slots=True)
class Sheet:
    """What the encoder is given: word pieces, 1 for those of telling lines, and the place of each
    statement's mark."""

    ids: tuple[int, ...]
    types: tuple[int, ...]
    heads: tuple[int, ...]


class ItemReader:
    """An encoder that reads an item's statements together with lines of the talk."""

    def __init__(self, folder: Path, vocab: Path, recipe: dict[str, int]) -> None:
        self._session = encoder_session(folder)
        self._writer = SheetWriter(vocab, recipe)
        self._known: dict[Sheet, tuple[float, ...]] = {}

    def answers(
        self, talk: Sequence[Utterance], places: Sequence[str], asked: Sequence[ItemQuestion]
    ) -> list[tuple[float, ...]]:
        """Log odds that each statement was told, one tuple for each item asked; `places` says where
        the trainee was at each utterance."""
        pieces = self._writer.pieces_of(talk)
        sheets = [self._writer.sheet(one, pieces, places, talk) for one in asked]
        new = [sheet for sheet in dict.fromkeys(sheets) if sheet not in self._known]
        with ThreadPoolExecutor(_THREADS) as threads:
            self._known.update(zip(new, threads.map(self._read, new), strict=True))
        found = [self._known[sheet] for sheet in sheets]
        for sheet in list(self._known)[:-_KEPT]:
            del self._known[sheet]
        return found

    def _read(self, sheet: Sheet) -> tuple[float, ...]:
        feed = {
            "ids": np.array([sheet.ids], dtype=np.int64),
            "types": np.array([sheet.types], dtype=np.int64),
        }
        logits: Any = self._session.run(["logits"], feed)[0][0, list(sheet.heads), 0]
        return tuple(float(x) for x in np.clip(logits, -FAR, FAR))


class SheetWriter:
    """Puts an item and lines as word pieces: ``[CLS] title (names) at place | statement | ...
    [SEP] / place : line [SEP] line [SEP] / ...``; ``/`` says that something between is left out."""

    def __init__(self, vocab: Path, recipe: dict[str, int]) -> None:
        from tokenizers import BertWordPieceTokenizer

        self._pieces = BertWordPieceTokenizer(str(vocab), lowercase=True)
        self._recipe = recipe
        self._coded: dict[tuple[str, int], list[int]] = {}
        marks = ("[CLS]", "[SEP]", "[MASK]", "|", "/", ":")
        self._cls, self._sep, self._other, self._head, self._gap, self._colon = (
            self._pieces.token_to_id(mark) for mark in marks
        )

    def pieces_of(self, talk: Sequence[Utterance]) -> list[list[int]]:
        """Word pieces of every utterance, those of other voices marked."""
        return self.coded([written(one.tokens) for one in talk])

    def coded(self, texts: Sequence[str]) -> list[list[int]]:
        """Word pieces of lines, no longer than the encoder was taught with."""
        found = self._pieces.encode_batch(list(texts), add_special_tokens=False)
        return [one.ids[: self._recipe["line"]] for one in found]

    def sheet(
        self,
        asked: ItemQuestion,
        pieces: Sequence[list[int]],
        places: Sequence[str],
        talk: Sequence[Utterance],
    ) -> Sheet:
        """The item's statements and as many of its lines as fit."""
        ids, heads = [self._cls, *self._short(_titled(asked), self._recipe["title"])], []
        most = max(_SHORTEST, min(self._recipe["title"], _STATEMENTS // len(asked.says) - 1))
        for says in asked.says:
            heads.append(len(ids))
            ids += [self._head, *self._short(says.lower(), most)]
        ids.append(self._sep)
        types = [0] * len(ids)
        last, place = -2, None
        for row in self._fitting(asked.rows, pieces, talk):
            part = [self._gap] if row > last + 1 else []
            if places[row] != place:
                place = places[row]
                part += [*self._short(place.lower(), self._recipe["place"]), self._colon]
            part += [*self._mark(talk[row]), *pieces[row], self._sep]
            if len(ids) + len(part) > _PLACES:
                break
            ids += part
            types += [int(row in asked.telling)] * len(part)
            last = row
        return Sheet(tuple(ids), tuple(types), tuple(heads))

    def _fitting(
        self, rows: Sequence[int], pieces: Sequence[list[int]], talk: Sequence[Utterance]
    ) -> list[int]:
        """The rows that fit, in spoken order; a line too long for what is left gives way to the
        next one."""
        taken: set[int] = set()
        left = self._recipe["room"]
        for row in rows:
            size = len(self._mark(talk[row])) + len(pieces[row]) + 1
            if row not in taken and size <= left:
                taken.add(row)
                left -= size
        return sorted(taken)

    def _mark(self, utterance: Utterance) -> list[int]:
        return [] if utterance.voice == Voice.TRAINEE else [self._other]

    def _short(self, text: str, most: int) -> list[int]:
        if (text, most) not in self._coded:
            self._coded[text, most] = self._pieces.encode(text, add_special_tokens=False).ids[:most]
        return self._coded[text, most]


def _titled(asked: ItemQuestion) -> str:
    names = ", ".join(name.lstrip("=") for name in asked.names[:_NAMES])
    also = f" ({names})" if names else ""
    return f"{asked.title.lower()}{also} at {asked.place.lower()}"


@lru_cache(maxsize=1)
def load_item_reader() -> ItemReader:
    """The shipped item reader, verified.

    Raises
    ------
    ModelError : ``M20`` when a file is missing, its sum is not the recorded one, or the
        description is damaged.
    """
    folder = reader_folder("item_reader")
    recipe = verified_recipe(folder, _SIZES, "item reader")
    return ItemReader(folder, reader_folder("run_reader") / "vocab.txt", recipe)
