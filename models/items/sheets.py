"""Gathered items as sheets of word pieces, as they stand or in wording that varies.

Decides: what varies while learning. Lines lose their punctuation and are misheard at a rate;
statements come in any order, the part under more or fewer of its names, some lines are missing, and
there is room for fewer. The layout is walkgrade's own (`SheetWriter`).
Conventions: runs and texts are as models/items/gathered.py writes them. Words of recordings are not
misheard a second time. The line that tells most is never missing. Needs no PyTorch.
Public: `RECIPE`, `Learnt`, `Sheets`.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NamedTuple

from models.items.parts import Run, is_recording
from models.reader.wording import Wording
from walkgrade.language.item_reader import ItemQuestion, Sheet, SheetWriter
from walkgrade.language.records import Utterance, Voice

RECIPE = {"room": 180, "line": 110, "title": 40, "place": 12}
"""Word pieces for all lines of a sheet, for a line, a title or statement, and a place."""
_ROOMS = (0.5, 0.8, 1.0, 1.0, 1.0)  # shares of the room
_DROPS = (0.0, 0.0, 0.1, 0.25)  # shares of lines that are missing
_RATES = (0.0, 0.05, 0.1, 0.2)  # of words misheard
_REWORDED, _BARE, _RENAMED = 0.6, 0.5, 0.4
_NAMES = 4  # fewer names than this

# A writer wants to know of an utterance only who speaks.
_SPOKEN = tuple(
    Utterance(id="", text="", start=0, end=0, gap=0, voice=voice, tokens=())
    for voice in (Voice.TRAINEE, Voice.OTHER)
)


class Learnt(NamedTuple):
    """A sheet; for each of its statements whether it was earned, and its place among the
    requirements of the checklist; whether all that is required was."""

    sheet: Sheet
    earned: tuple[int, ...]
    at: tuple[int, ...]
    complete: int

    @property
    def size(self) -> int:
        """Word pieces."""
        return len(self.sheet.ids)


class Sheets:
    """Writes the sheets of gathered runs."""

    def __init__(
        self, texts: Sequence[str], vocab: Path, slips: dict[str, list[str]], seed: int
    ) -> None:
        self.word = Wording(vocab, slips, random.Random(seed))
        self.rng = self.word.rng
        self._texts = texts
        self._writers = {
            share: SheetWriter(vocab, {**RECIPE, "room": int(share * RECIPE["room"])})
            for share in sorted(set(_ROOMS))
        }

    def plain(self, run: Run) -> list[Learnt]:
        """The run's items exactly as walkgrade puts them."""
        lines = self._writers[1.0].coded([self._texts[n] for n in run["lines"]])
        return [
            self._sheet(run, one, range(len(one["says"])), self._named(one["names"]),
                        one["rows"], lines, 1.0)
            for one in run["items"]
        ]  # fmt: skip

    def varied(self, run: Run, items: Sequence[dict[str, Any]]) -> list[Learnt]:
        """Some of the run's items, all from one wording of its lines, each varied for itself."""
        lines = self._writers[1.0].coded(self._reworded(run))
        return [self._varied(run, one, lines) for one in items]

    def _varied(self, run: Run, item: dict[str, Any], lines: list[list[int]]) -> Learnt:
        rng, names = self.rng, self._named(item["names"])
        share, drop = rng.choice(_ROOMS), rng.choice(_DROPS)
        order = rng.sample(range(len(item["says"])), len(item["says"]))
        if rng.random() < _RENAMED:
            some = rng.sample(names, min(len(names), rng.randrange(_NAMES)))
            # a writer takes two names at most; together they count as one
            names = (", ".join(name.lstrip("=") for name in some),) if some else ()
        rows = [row for n, row in enumerate(item["rows"]) if n == 0 or rng.random() >= drop]
        return self._sheet(run, item, order, names, rows, lines, share)

    def _sheet(
        self,
        run: Run,
        item: dict[str, Any],
        order: Sequence[int],
        names: tuple[str, ...],
        rows: Sequence[int],
        lines: list[list[int]],
        share: float,
    ) -> Learnt:
        """The item with its statements in the order given."""
        asked = ItemQuestion(
            title=self._texts[item["title"]], names=names, place=self._texts[item["place"]],
            says=tuple(self._texts[item["says"][n]] for n in order),
            rows=tuple(rows), telling=frozenset(item["telling"]),
        )  # fmt: skip
        talk = [_SPOKEN[other] for other in run["other"]]
        places = self._named(run["places"])
        needed = [had for had, must in zip(item["earned"], item["required"], strict=True) if must]
        return Learnt(
            self._writers[share].sheet(asked, lines, places, talk),
            tuple(item["earned"][n] for n in order),
            tuple(item["at"][n] for n in order),
            int(all(needed)),
        )

    def _named(self, numbers: Sequence[int]) -> tuple[str, ...]:
        return tuple(self._texts[n] for n in numbers)

    def _reworded(self, run: Run) -> list[str]:
        """The run's lines, at times bare of punctuation, their words misheard."""
        rng, lines = self.rng, list(self._named(run["lines"]))
        if rng.random() >= _REWORDED:
            return lines
        bare = rng.random() < _BARE
        rate = 0.0 if is_recording(run["id"]) else rng.choice(_RATES)
        return [self.word.talk(line, bare, rate) for line in lines]
