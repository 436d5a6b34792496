"""Runs as the item reader learns from them: items with the truth of their statements, and lines.

Decides: which runs there are: tune and check scripts as typed, and recordings of them; report
scripts are refused. Which lines may tell of an item is the grader's own choice, by what the shipped
readers make of the run (walkgrade.matching.excerpts); sheets are written from it again and again,
each time in other words (models/items/sheets.py).
Conventions: ``{"texts", "fresh", "halves", "runs"}``; a text stands once, in "texts", and is meant
by its number. A run: "id", "weight", "count" (requirements of its checklist), "lines" (texts),
"other" (1: not the trainee's), "places" (texts, where the trainee is), "items". An item: "title",
"names", "place" and "says" (texts), "earned" and "required" (0 or 1 for each of "says"), "at"
(their places among the checklist's requirements), "rows" (lines that may tell of it, most telling
first), "telling" (those where a reader hears it) and "surest" (0..1, how surely one does). Items
that no line may tell of are left away.
Public: `gather`, `gathered_run`, `numbered`, `recordings`.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any

from benchmarks.agreement import SCRIPTS, fitted, scripts
from models.items.parts import Run, halves, weight_of
from seeds.script import Script, load_script, to_transcript
from seeds.truth import requirements_of
from walkgrade.checklists.records import Item
from walkgrade.language.read import read
from walkgrade.language.records import Voice
from walkgrade.language.run_reader import RunReader
from walkgrade.language.tokens import written
from walkgrade.matching.excerpts import Excerpts
from walkgrade.matching.match import weighed
from walkgrade.speech.records import Transcript
from walkgrade.speech.transcript_json import from_data
from walkgrade.trained import load_readers

PARTS = ("tune", "check")
_EVERY = 50  # runs between two signs of life


def gather(heard: Sequence[Path], workers: int) -> dict[str, Any]:
    """All typed runs and the recordings in the folders `heard`, by so many processes."""
    work: list[tuple[str, Path | None]] = []
    for part in PARTS:
        for script in scripts(part):
            work.append((script.id, None))
            work += [(script.id, path) for path in recordings(script.id, heard)]
    fresh, judged = halves()
    with ProcessPoolExecutor(workers) as processes:
        data = numbered(_counted(processes.map(_worked, work), len(work)))
    both = {script for half in judged.values() for script in half}
    for run in data["runs"]:
        run["weight"] = weight_of(run["id"], both)
    return {"fresh": fresh, "halves": judged, **data}


def _counted(runs: Iterable[Run], count: int) -> Iterator[Run]:
    for number, run in enumerate(runs, 1):
        yield run
        if number % _EVERY == 0:
            print(f"{number} of {count} runs", flush=True)


def recordings(script: str, folders: Sequence[Path]) -> list[Path]:
    """What a recogniser wrote of a script's recordings, as `benchmarks.hear` leaves it; those that
    were refused have no transcript and are passed over."""
    found = [path for folder in folders for path in sorted(folder.glob(f"{script}--*.json"))]
    return [path for path in found if "transcript" in json.loads(path.read_text("utf-8"))]


def _worked(work: tuple[str, Path | None]) -> Run:
    name, path = work
    script = load_script(SCRIPTS / f"{name}.yaml")
    if path is None:
        return gathered_run(script, to_transcript(script), name, load_readers())
    transcript = from_data(json.loads(path.read_text("utf-8"))["transcript"])
    return gathered_run(script, transcript, path.stem, load_readers())


def gathered_run(script: Script, transcript: Transcript, name: str, reader: RunReader) -> Run:
    """A run with its texts as they are, and no weight yet.

    Raises
    ------
    ValueError : the script is of a part that nothing may be learnt from.
    """
    if script.part not in PARTS:
        raise ValueError(
            f"{script.id} is of the part {script.part}; an item reader may learn from "
            f"{' and '.join(PARTS)} scripts only. Leave this script away."
        )
    checklist = fitted(script)
    heard = weighed(read(transcript, checklist, reader), checklist)
    excerpts = Excerpts(heard.reading, heard.scene, heard.path, heard.opinions)
    standing = requirements_of(script)
    at = {one: place for place, one in enumerate(heard.weighing.requirements)}
    items = [_item(one, excerpts, standing, at) for one in checklist.items]
    talk = heard.reading.utterances
    return {
        "id": name, "count": len(at), "lines": [written(one.tokens) for one in talk],
        "other": [int(one.voice != Voice.TRAINEE) for one in talk],
        "places": list(excerpts.places), "items": [one for one in items if one],
    }  # fmt: skip


def _item(
    item: Item, excerpts: Excerpts, standing: dict[str, str], at: dict[str, int]
) -> dict[str, Any]:
    """An item as the item reader is asked about it, with the truth; empty where no line tells."""
    asked = excerpts.question(item)
    if asked is None:
        return {}
    return {
        "title": asked.title, "names": list(asked.names), "place": asked.place,
        "says": list(asked.says),
        "earned": [int(standing.get(one.id) == "earned") for one in item.requirements],
        "required": [int(one.required) for one in item.requirements],
        "at": [at[one.id] for one in item.requirements],
        "rows": list(asked.rows), "telling": sorted(asked.telling), "surest": excerpts.surest(item),
    }  # fmt: skip


def numbered(runs: Iterable[Run]) -> dict[str, Any]:
    """``{"texts", "runs"}``: runs with numbers for texts, each text once."""
    numbers: dict[str, int] = {}

    def put(text: str) -> int:
        return numbers.setdefault(text, len(numbers))

    kept = []
    for run in runs:
        items = [
            {**one, "title": put(one["title"]), "place": put(one["place"]),
             "names": [put(name) for name in one["names"]], "says": [put(t) for t in one["says"]]}
            for one in run["items"]
        ]  # fmt: skip
        lines, places = [put(t) for t in run["lines"]], [put(t) for t in run["places"]]
        kept.append({**run, "lines": lines, "places": places, "items": items})
    return {"texts": list(numbers), "runs": kept}
