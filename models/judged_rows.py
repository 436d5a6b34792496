"""What the judge is fitted to: the weighed requirements of many runs, with their truth.

Decides: which scripts (the check scripts and the tune scripts that the readers were trained without),
and whose answers stand for the item reader's: of runs that it learnt from those of networks that did
not (models/item_reader/left_out.npz, models/train_item_reader.py), of `FRESH` its own.
Conventions: a run is a script's id, or the stem of a recording of it. A row is one of
walkgrade.matching.weighing.FEATURES for one requirement.
Public: `FRESH`, `Rows`, `collect`, `scripts_of`, `unseen_by`, `weakest`.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np

from benchmarks.agreement import fitted, scripts
from seeds.script import Script, to_transcript
from seeds.truth import requirements_of, truth_of
from walkgrade.checklists.library import find_profile
from walkgrade.language.item_reader import FAR
from walkgrade.language.read import read
from walkgrade.language.run_reader import RunReader
from walkgrade.matching.again import held, item_answers
from walkgrade.matching.match import weighed
from walkgrade.speech.records import Transcript
from walkgrade.speech.transcript_json import from_data
from walkgrade.trained import load_judge, load_readers

FRESH = tuple(f"check-{n}" for n in (11, 12, 13, 14, 21, 22, 23, 24, 25, 26))
ANSWERS = Path(__file__).resolve().parent / "item_reader" / "left_out.npz"


class Rows:
    """Weighed requirements of many runs, with their truth."""

    def __init__(self) -> None:
        self.rows: list[np.ndarray] = []
        self.earned: list[bool] = []
        self.run: list[str] = []
        self.item: list[str] = []
        self.required: list[bool] = []
        self.told: list[np.ndarray] = []  # the item reader's log odds, NaN where it was not asked
        self.held: list[bool] = []  # the second trees may not raise its chance
        self.complete: dict[tuple[str, str], bool] = {}

    def add(
        self,
        script: Script,
        transcript: Transcript,
        run: str,
        reader: RunReader,
        answers: Mapping[str, np.ndarray] | None,
    ) -> None:
        """Add a run. `answers` hold the item reader's of runs that it learnt from, by networks that
        did not; None: the shipped one is asked."""
        checklist = fitted(script)
        heard = weighed(read(transcript, checklist, reader), checklist)
        found = heard.weighing
        if answers is None:
            told = item_answers(heard, list(checklist.items), load_judge())
            self.told.append(np.array([told.get(name, np.nan) for name in found.requirements]))
        else:
            self.told.append(_answers(answers, run, len(found.requirements)))
        standing = requirements_of(script)
        truth = truth_of(script, checklist, find_profile(script.profile))
        owner = {r.id: (i.id, r.required) for i in checklist.items for r in i.requirements}
        self.rows.append(found.rows)
        for name in found.requirements:
            self.earned.append(standing.get(name) == "earned")
            self.run.append(run)
            self.item.append(owner[name][0])
            self.required.append(owner[name][1])
            self.held.append(held(name, heard))
        self.complete.update({(run, item): kind == "complete" for item, kind in truth.items()})

    def arrays(self) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
        return (
            np.vstack(self.rows),
            np.array(self.earned),
            np.array(self.run),
            np.array(self.required),
        )


def _answers(answers: Mapping[str, np.ndarray], run: str, count: int) -> np.ndarray:
    if run not in answers or len(answers[run]) != count:
        raise SystemExit(
            f"{ANSWERS.name} has no {count} answers for {run}; have a network that did not learn from "
            "it answer (models/train_item_reader.py --answers, then --join)."
        )
    return np.clip(answers[run].astype(float), -FAR, FAR)


def collect(heard: Path | None, unseen: Sequence[str]) -> dict[tuple[str, bool], Rows]:
    """Rows by kind (typed, recognised) and whether they are fitted to."""
    reader, answers = load_readers(), dict(np.load(ANSWERS))
    found = {(kind, fit): Rows() for kind in ("typed", "recognised") for fit in (True, False)}
    for script in scripts("check"):
        fit = script.id not in FRESH
        known = answers if fit else None
        add_heard(found["recognised", fit], script, heard, reader, known)
        found["typed", fit].add(script, to_transcript(script), script.id, reader, known)
        print(script.id, file=sys.stderr, flush=True)
    for script in scripts("tune"):
        if script.id in unseen:
            add_heard(found["recognised", True], script, heard, reader, answers)
            found["typed", True].add(script, to_transcript(script), script.id, reader, answers)
    return found


def add_heard(
    rows: Rows,
    script: Script,
    heard: Path | None,
    reader: RunReader,
    answers: Mapping[str, np.ndarray] | None,
) -> None:
    """Add every recording of a script in the folder `heard`."""
    for path in sorted(heard.glob(f"{script.id}--*.json")) if heard else ():
        body = json.loads(path.read_text("utf-8"))
        if "transcript" in body:
            rows.add(script, from_data(body["transcript"]), path.stem, reader, answers)


def unseen_by(reader: Path) -> list[str]:
    """The tune scripts that a reader was trained without."""
    body = json.loads((reader / "reader.json").read_text("utf-8"))
    return sorted(body["trained_on"]["without"])


def weakest(rows: Rows, chance: np.ndarray) -> dict[tuple[str, str], float]:
    """(run, item) -> probability of its weakest required requirement."""
    low: dict[tuple[str, str], float] = {}
    for at, p in enumerate(chance):
        if rows.required[at]:
            key = rows.run[at], rows.item[at]
            low[key] = min(low.get(key, 1.0), float(p))
    return low


def scripts_of(rows: Rows) -> np.ndarray:
    """The script of each row."""
    return np.array([name.split("--")[0] for name in rows.run])
