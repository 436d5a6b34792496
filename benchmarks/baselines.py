"""What a user would otherwise reach for, each fairly tuned on the tune part and nothing else.

    python -m benchmarks.baselines          (prints what was tried and what was chosen)

Decides: how each baseline calls an item complete.
- keyword search: a name of the item stands in the text word for word and, in the modes ``any`` and
  ``all``, words of what must be said of it stand within so many words of that name.
- fuzzy match: rapidfuzz partial match of a name within one utterance reaches a threshold and, when
  a second threshold is set, so does the partial match of what must be said, in it or beside it.
- similarity: every required statement ("part: what must be said") is near enough to one utterance
  or a few in a row; near by TF-IDF cosine, or by the cosine of sentence vectors where weights are
  installed (`benchmarks.sentence_vectors`).
Each tries the settings of `grid` on the typed tune scripts; the best kappa wins, the first on ties.
All are given what the engine is given: the fitted checklist with all its names, and the trainee's
own utterances where the transcript says who speaks.
Public: `Baseline`, `BASELINES`, `baselines`, `tuned`, `as_findings`.
"""

from __future__ import annotations

import itertools
import re
import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray
from rapidfuzz import fuzz, process
from snowballstemmer import stemmer

from benchmarks.agreement import Tally, fitted, scripts
from seeds.script import to_transcript
from seeds.truth import truth_of
from walkgrade.checklists.library import find_checklist, find_profile
from walkgrade.checklists.records import Checklist, Item, Requirement
from walkgrade.matching.records import Findings, ItemFinding, ItemOutcome
from walkgrade.speech.records import Transcript

Setting = tuple[Any, ...]
Scores = NDArray[np.float64]
_STOP = frozenset(
    re.findall(
        r"\w+",
        "a an and are as at be been by for from has have in into is it its no not of off on or out "
        "so than that the them then there they this to too up was what when where which while with "
        "you your all any both each every does do must",
    )
)
_stem = lru_cache(maxsize=None)(stemmer("english").stemWord)


class Baseline(Protocol):
    """A way to call items complete; `read` does what does not depend on the setting."""

    name: str

    def grid(self) -> Sequence[Setting]:
        """Settings to try."""

    def read(
        self, transcript: Transcript, checklist: Checklist, settings: Sequence[Setting]
    ) -> Any:
        """What these settings share for this transcript."""

    def complete(self, readings: Any, setting: Setting) -> list[bool]:
        """One answer for each item of the checklist."""


def utterances(transcript: Transcript) -> list[list[str]]:
    """Lower-case words of every segment of the trainee, or of unknown speakers."""
    return [
        plain(" ".join(word.text for word in segment.words))
        for segment in transcript.segments
        if segment.speaker in ("", "trainee")
    ]


def plain(text: str) -> list[str]:
    """Words without case and punctuation; ``7/32`` and ``1.5`` stay whole."""
    return re.findall(r"[a-z0-9]+(?:['/.][a-z0-9]+)*", text.lower())


def required(item: Item) -> list[Requirement]:
    """What must be said of an item."""
    return [one for one in item.requirements if one.required]


class Keywords:
    """Names word for word, with or without condition words near by."""

    name = "keyword search"

    def grid(self) -> Sequence[Setting]:
        """Mode, and words on either side of the name."""
        near = (5, 10, 15, 25, 40, 80, 120, 200, 400)
        return [("names", 0), *itertools.product(("any", "all"), near)]

    def read(
        self, transcript: Transcript, checklist: Checklist, settings: Sequence[Setting]
    ) -> Any:
        """For each item: for each place of a name, how far off each requirement's words are."""
        words = [word for said in utterances(transcript) for word in said]
        places: dict[str, list[int]] = {}
        for at, word in enumerate(words):
            places.setdefault(word, []).append(at)
        stems: dict[str, list[int]] = {}
        for word, found in places.items():
            stems.setdefault(_stem(word), []).extend(found)
        return [self._distances(item, words, places, stems) for item in checklist.items]

    def _distances(
        self,
        item: Item,
        words: list[str],
        places: dict[str, list[int]],
        stems: dict[str, list[int]],
    ) -> list[list[float]]:
        names = [plain(name) for name in item.names]
        found = {
            at
            for name in names
            if name
            for at in places.get(name[0], ())
            if words[at : at + len(name)] == name
        }
        keys = [
            sorted(at for key in self._keys(one) for at in stems.get(key, ()))
            for one in required(item)
        ]
        return [[_nearest(at, key) for key in keys] for at in found]

    @staticmethod
    def _keys(one: Requirement) -> set[str]:
        return {_stem(word) for word in plain(one.says) if word not in _STOP}

    def complete(self, readings: Any, setting: Setting) -> list[bool]:
        """See `grid`."""
        mode, near = setting
        quorum: Callable[[list[bool]], bool] = {
            "names": lambda _: True,
            "any": lambda hits: any(hits) or not hits,
            "all": all,
        }[mode]
        return [any(quorum([d <= near for d in place]) for place in item) for item in readings]


def _nearest(at: int, places: list[int]) -> float:
    return min((abs(at - place) for place in places), default=float("inf"))


class Fuzzy:
    """rapidfuzz partial match."""

    name = "fuzzy partial match"

    def grid(self) -> Sequence[Setting]:
        """Threshold for the name, threshold for what must be said (0: none)."""
        return list(itertools.product(range(60, 101, 2), (0, 40, 50, 60, 70, 80)))

    def read(
        self, transcript: Transcript, checklist: Checklist, settings: Sequence[Setting]
    ) -> Any:
        """For each item: scores of its best name, and of each required statement, by utterance."""
        said = [" ".join(words) for words in utterances(transcript)]
        return [
            (
                _partial([" ".join(plain(name)) for name in item.names], said).max(axis=0),
                _wide(_partial([" ".join(plain(one.says)) for one in required(item)], said)),
            )
            for item in checklist.items
        ]

    def complete(self, readings: Any, setting: Setting) -> list[bool]:
        """See `grid`."""
        least, least_said = setting
        return [
            bool(np.any((names >= least) & np.all(says >= least_said, axis=0)))
            for names, says in readings
        ]


def _partial(needles: list[str], said: list[str]) -> Scores:
    if not needles or not said:
        return np.zeros((len(needles), max(1, len(said))))
    return np.asarray(process.cdist(needles, said, scorer=fuzz.partial_ratio), dtype=np.float64)


def _wide(scores: Scores) -> Scores:
    """The best of each utterance and the ones beside it."""
    padded = np.pad(scores, ((0, 0), (1, 1)), constant_values=0)
    return np.maximum(np.maximum(padded[:, :-2], padded[:, 1:-1]), padded[:, 2:])


class Similarity:
    """Cosine of required statements and utterances."""

    def __init__(
        self,
        name: str,
        cosine: Callable[[list[str], list[str]], Scores],
        rows: Sequence[int] = (1, 2, 3, 5, 8),
    ) -> None:
        self.name = name
        self.cosine = cosine
        self.rows = rows

    def grid(self) -> Sequence[Setting]:
        """Utterances in a row, threshold."""
        return list(itertools.product(self.rows, [round(0.02 * n, 2) for n in range(2, 46)]))

    def read(
        self, transcript: Transcript, checklist: Checklist, settings: Sequence[Setting]
    ) -> Any:
        """For each number of utterances in a row: the best cosine of every required statement."""
        said = [" ".join(words) for words in utterances(transcript)]
        asked = [
            f"{item.title}: {says}"
            for item in checklist.items
            for says in ([one.says for one in required(item)] or [""])
        ]
        bounds = np.cumsum([0] + [max(1, len(required(item))) for item in checklist.items])
        return {
            row: (self.cosine(asked, list(_rows(said, row))).max(axis=1), bounds)
            for row in sorted({row for row, _ in settings})
        }

    def complete(self, readings: Any, setting: Setting) -> list[bool]:
        """See `grid`."""
        row, least = setting
        best, bounds = readings[row]
        return [bool(np.all(best[a:b] >= least)) for a, b in itertools.pairwise(bounds)]


def _rows(said: list[str], row: int) -> Iterator[str]:
    for at in range(max(1, len(said) - row + 1)):
        yield " ".join(said[at : at + row])


def tfidf(asked: list[str], said: list[str]) -> Scores:
    """Cosine of TF-IDF vectors of words and word pairs, fitted on these texts."""
    from sklearn.feature_extraction.text import TfidfVectorizer

    maker = TfidfVectorizer(
        tokenizer=lambda text: [_stem(word) for word in plain(text)],
        token_pattern=None,
        ngram_range=(1, 2),
        sublinear_tf=True,
    )
    maker.fit(asked + said)
    return np.asarray((maker.transform(asked) @ maker.transform(said).T).todense())


def baselines() -> list[Baseline]:
    """Those that can run here: sentence vectors need their weights."""
    from benchmarks import sentence_vectors

    made: list[Baseline] = [Keywords(), Fuzzy(), Similarity("TF-IDF similarity", tfidf)]
    if sentence_vectors.is_ready():
        made.append(Similarity("sentence vectors", sentence_vectors.cosine, (1, 3)))
    return made


@dataclass(frozen=True, slots=True)
class Tuned:
    """A baseline with its chosen setting; calling it grades a transcript."""

    baseline: Baseline
    setting: Setting
    kappa: float

    def __call__(self, transcript: Transcript, checklist: Checklist, profile: str) -> Findings:
        """Findings that hold item outcomes only."""
        readings = self.baseline.read(transcript, checklist, [self.setting])
        answers = self.baseline.complete(readings, self.setting)
        return as_findings(answers, checklist, profile)


def tuned(baseline: Baseline, part: str = "tune") -> Tuned:
    """The setting with the best kappa on the typed scripts of `part`."""
    read, due = [], []
    for script in scripts(part):
        checklist = fitted(script)
        truth = truth_of(script, find_checklist(script.checklist), find_profile(script.profile))
        read.append(baseline.read(to_transcript(script), checklist, baseline.grid()))
        due.append([truth[item.id] == ItemOutcome.COMPLETE for item in checklist.items])
    tried = [
        (_kappa(due, [baseline.complete(one, setting) for one in read]), setting)
        for setting in baseline.grid()
    ]
    kappa, setting = max(tried, key=lambda pair: pair[0])
    return Tuned(baseline, setting, kappa)


def _kappa(due: list[list[bool]], given: list[list[bool]]) -> float:
    made = Tally()
    for want, have in zip(itertools.chain(*due), itertools.chain(*given), strict=True):
        made.both += want and have
        made.false_credit += have and not want
        made.missed_credit += want and not have
        made.neither += not want and not have
    return made.kappa


def as_findings(complete: Sequence[bool], checklist: Checklist, profile: str) -> Findings:
    """Findings with item outcomes only: complete or missed."""
    items = tuple(
        ItemFinding(
            item=item.id,
            outcome=ItemOutcome.COMPLETE if given else ItemOutcome.MISSED,
            confidence=1.0,
            named=(),
            requirements=(),
        )
        for item, given in zip(checklist.items, complete, strict=True)
    )
    return Findings(
        checklist=checklist.id, profile=profile, items=items, numbers=(), remarks=(), visits=(),
        steps=(), lines=(),
    )  # fmt: skip


def main() -> int:
    """Print what was chosen."""
    for one in baselines():
        best = tuned(one)
        print(f"{one.name}: {len(one.grid())} settings tried, chosen {best.setting}, "
              f"kappa on tune {best.kappa:.3f}")  # fmt: skip
    return 0


if __name__ == "__main__":
    sys.exit(main())
