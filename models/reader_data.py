"""The run reader's training data: questions, and runs with what each stretch of talk answers.

    python models/reader_data.py --out DATA.json.gz [--heard DIR --corpus DIR] [--made 400] \
        [--often tune-1046,tune-1047,... --times 4]

Decides: which runs there are. How a line's truth becomes that of utterances: models/reader/runs.py.
Conventions: parts tune (fitted on) and check (printed only) are written, never report. Recognised
runs (`--heard`, as `benchmarks.hear` writes them; times of lines from `--corpus`) take the truth
of the lines they overlap in time.
"""

from __future__ import annotations

import argparse
import gzip
import json
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from benchmarks.agreement import scripts
from models.reader.runs import Asked, Run, heard_run, made_run, retold_runs, typed_run
from seeds.retold import FOLDER as RETOLD
from seeds.retold import load_retold
from seeds.variants import runs
from walkgrade.checklists.applicable import applicable
from walkgrade.checklists.library import (
    find_checklist,
    find_profile,
    list_checklists,
    list_profiles,
)
from walkgrade.errors import WalkgradeError
from walkgrade.language.run_reader import load_run_reader


def _all_retold(typed: Sequence[Run], asked: Asked) -> Iterator[Run]:
    known, by_id = {s.id: s for s in scripts("tune")}, {run["id"]: run for run in typed}
    retold = [one for path in sorted(RETOLD.glob("*.jsonl")) for one in load_retold(path)]
    return retold_runs(retold, known, by_id, asked)


def _all_made(count: int, asked: Asked) -> Iterator[dict[str, Any]]:
    """Made runs of every checklist that some vehicle fits."""
    for name in list_checklists():
        for profile in list_profiles():
            try:
                checklist = applicable(find_checklist(name), find_profile(profile))
            except WalkgradeError:
                continue
            for number, lines in enumerate(runs(checklist, count, seed=len(asked.rows))):
                yield made_run(f"{name}/{profile}/{number}", lines, checklist, asked)


def _heard(folder: Path, corpus: Path, part: str, asked: Asked) -> Iterator[dict[str, Any]]:
    known = {s.id: s for s in scripts(part)}
    for path in sorted(folder.glob("*.json")):
        heard = json.loads(path.read_text("utf-8"))
        script, voice, _, _, key = path.stem.split("--")
        side = next(corpus.rglob(f"{script}--{voice}--{key}.json"), None)
        if script in known and side is not None and "transcript" in heard:
            yield heard_run(known[script], heard, json.loads(side.read_text())["times"], asked)


def main(words: Sequence[str]) -> int:
    """Write the data."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--heard", type=Path)
    parser.add_argument("--corpus", type=Path)
    parser.add_argument("--made", type=int, default=400, help="runs for each checklist")
    parser.add_argument("--thought", action="store_true", help="with the shipped reader's opinions")
    parser.add_argument("--often", default="", help="tune scripts that count --times, with commas")
    parser.add_argument("--times", type=int, default=1)
    args = parser.parse_args(words)
    asked = Asked(load_run_reader() if args.thought else None)
    parts: dict[str, list[dict[str, Any]]] = {}
    for part in ("tune", "check"):
        parts[part] = [typed_run(script, asked) for script in scripts(part)]
        if args.heard:
            parts[part] += _heard(args.heard, args.corpus, part, asked)
    parts["tune"] += [typed_run(script, asked) for script in scripts("demo")]
    if args.thought:
        parts["retold"] = list(_all_retold(parts["tune"], asked))
    often = args.often.split(",")
    again = [run for run in parts["tune"] if run["id"].split("/")[0] in often]
    parts["tune"] += again * (args.times - 1)
    parts["made"] = list(_all_made(args.made, asked))
    with gzip.open(args.out, "wt", encoding="utf-8") as target:
        json.dump({"questions": asked.rows, **parts}, target)
    print({name: len(found) for name, found in parts.items()}, len(asked.rows), "questions")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
