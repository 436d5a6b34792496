"""The run reader's training data: questions, and runs with what each stretch of talk answers.

    python models/reader_data.py --out DATA.json.gz [--heard DIR --corpus DIR] [--made 400]

Decides: how the truth beside a script's lines becomes yes and no for utterances. The truth of a
line belongs to the utterances it was cut into together (one of them must say yes); every other
utterance must say no. A line that only repeats what was earned elsewhere ("same on this side") is
left out: that is carry-over, which the matcher does.
Conventions: parts tune (fitted on) and check (printed only) are written, never report. Recognised
runs (`--heard`, as `benchmarks.hear` writes them; times of lines from `--corpus`) take the truth
of the lines they overlap in time.
"""

from __future__ import annotations

import argparse
import gzip
import json
import re
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from benchmarks.agreement import fitted, scripts
from models.reader.carrying import as_before, carried_lines
from seeds.script import Script, ScriptLine, to_transcript
from seeds.variants import MadeLine, runs
from walkgrade.checklists.applicable import applicable
from walkgrade.checklists.library import (
    find_checklist,
    find_profile,
    list_checklists,
    list_profiles,
)
from walkgrade.checklists.records import Checklist, Kind
from walkgrade.errors import WalkgradeError
from walkgrade.language.questions import QuestionKind, questions_of
from walkgrade.language.read import read
from walkgrade.language.records import Voice
from walkgrade.language.run_reader import RunReader, load_run_reader
from walkgrade.language.tokens import Cut, cut, written
from walkgrade.speech.records import Transcript
from walkgrade.speech.transcript_json import from_data

_SAME = re.compile(
    r"\b(same|ditto|likewise|identical|identically|just like|matches|repeat)\b", re.I
)
_MANY = 7  # requirements beyond which a "same" line is carry-over
_OVERLAP_MS = 300


class Asked:
    """Numbers of the questions, over all checklists."""

    def __init__(self, reader: RunReader | None = None) -> None:
        self.reader = reader
        self.rows: list[dict[str, Any]] = []
        self._at: dict[tuple[str, ...], int] = {}

    def of(self, checklist: Checklist) -> tuple[list[int], dict[tuple[str, str], int]]:
        """The checklist's question numbers, and (kind, target id) -> number."""
        mine, where = [], {}
        limits = {r.id for i in checklist.items for r in i.requirements if r.limit is not None}
        for one in questions_of(checklist):
            key = (one.kind, one.title, one.says, *one.names[:4])
            if key not in self._at:
                self._at[key] = len(self.rows)
                self.rows.append({"kind": one.kind, "title": one.title, "says": one.says,
                                  "names": list(one.names), "limit": one.targets[0] in limits})  # fmt: skip
            mine.append(self._at[key])
            where.update({(one.kind, target): self._at[key] for target in one.targets})
        return mine, where


def typed_run(script: Script, asked: Asked) -> dict[str, Any]:
    """A script as typed."""
    checklist = fitted(script)
    mine, where = asked.of(checklist)
    pieces = cut(to_transcript(script))
    bags, lines = [], []
    carried = carried_lines(script, checklist)
    for number, line in enumerate(script.lines, 1):
        mine_at = [at for at, piece in enumerate(pieces) if piece.segment == f"l{number}"]
        if mine_at and line.who == "trainee":
            carry = carried[number - 1]
            said = as_before(carry, mine_at, pieces, line, where)
            bags.append(_bag(mine_at, line, checklist, where) | {"carry": carry.says} | said)
            lines.append((mine_at, line))
    made = _run(script.id, "typed", mine, pieces, bags)
    made["can"] = sorted({where[QuestionKind.NAMED, i.id] for i in checklist.items if i.carry_over})
    _add_numbers(made, to_transcript(script), lines, checklist, where, asked.reader)
    return made


def heard_run(script: Script, heard: dict[str, Any], times: Any, asked: Asked) -> dict[str, Any]:
    """A script as recognised; `times` are [start, end) of its lines in ms."""
    checklist = fitted(script)
    mine, where = asked.of(checklist)
    pieces = cut(from_data(heard["transcript"]))
    bags, lines = [], []
    others: set[int] = set()
    carried = carried_lines(script, checklist)
    for (start, end), line, carry in zip(times, script.lines, carried, strict=True):
        shared = [
            (min(end, p.tokens[-1].end) - max(start, p.tokens[0].start), at)
            for at, p in enumerate(pieces)
        ]
        mine_at = [
            at for over, at in shared
            if over >= _OVERLAP_MS or over > 0.5 * (pieces[at].tokens[-1].end - pieces[at].tokens[0].start)
        ]  # fmt: skip
        if line.who != "trainee":
            others.update(mine_at)
        elif mine_at:
            bags.append(_bag(mine_at, line, checklist, where) | {"carry": carry.says})
            lines.append((mine_at, line))
    made = _run(f"{script.id}/{heard['voice']}/{heard['condition']}", "heard", mine, pieces, bags)
    for at in others - {at for bag in bags for at in bag["u"]}:
        made["utterances"][at]["o"] = 1
    _add_numbers(made, from_data(heard["transcript"]), lines, checklist, where, asked.reader)
    return made


def _add_numbers(
    run: dict[str, Any],
    transcript: Transcript,
    lines: list[tuple[list[int], ScriptLine]],
    checklist: Checklist,
    where: dict[tuple[str, str], int],
    reader: RunReader | None,
) -> None:
    """`n` of an utterance: [first letter, last letter, questions] of every number said in it; with
    a reader, `thought` of the run: [utterance, question, told, against] of its opinions."""
    reading = read(transcript, checklist, reader)
    utterances = reading.utterances
    if reader is not None:
        run["thought"] = [
            [one.row, where[QuestionKind.TOLD, one.targets[0]], round(one.told, 3), round(one.against, 3)]
            for one in reading.opinions if one.kind == QuestionKind.TOLD
        ]  # fmt: skip
    for at, utterance in enumerate(utterances):
        labels = [n for us, line in lines if at in us for n in line.numbers]
        rows = []
        for mention in utterance.numbers:
            meant = [
                n.requirement for n in labels
                for r in mention.readings[:3]
                if n.low == r.low and (n.low if n.high is None else n.high) == r.high
            ]  # fmt: skip
            before = written(utterance.tokens[: mention.first])
            through = written(utterance.tokens[: mention.last])
            rows.append([len(before), len(through), _numbers(where, QuestionKind.TOLD, meant)])
        if rows and utterance.voice == Voice.TRAINEE:
            run["utterances"][at]["n"] = rows


def made_run(
    name: str, lines: Sequence[MadeLine], checklist: Checklist, asked: Asked
) -> dict[str, Any]:
    """A made run; a line is one utterance. Whether it carries over is not known."""
    mine, where = asked.of(checklist)
    mine = [q for q in mine if asked.rows[q]["kind"] != QuestionKind.CARRY]
    bags = []
    for at, line in enumerate(lines):
        if line.who == "trainee":
            bags.append({
                "u": [at], "said": _numbers(where, QuestionKind.TOLD, line.earns),
                "against": _numbers(where, QuestionKind.TOLD, line.wrong),
                "named": _numbers(where, QuestionKind.NAMED, line.named),
                "places": _numbers(where, QuestionKind.PLACE, [line.place]), "skip": 0,
            })  # fmt: skip
    utterances = [{"t": line.text, "o": int(line.who != "trainee")} for line in lines]
    return {"id": name, "source": "made", "asked": mine, "utterances": utterances, "bags": bags}


def _run(
    name: str, source: str, mine: list[int], pieces: Sequence[Cut], bags: list[dict[str, Any]]
) -> dict[str, Any]:
    spoken = {at for bag in bags for at in bag["u"]}
    utterances = [
        {"t": written(p.tokens), "o": int(p.speaker not in ("", "trainee") and at not in spoken)}
        for at, p in enumerate(pieces)
    ]
    return {"id": name, "source": source, "asked": mine, "utterances": utterances, "bags": bags}


def _bag(
    at: list[int], line: ScriptLine, checklist: Checklist, where: dict[tuple[str, str], int]
) -> dict[str, Any]:
    said = [f"{item}.{short}" for item, shorts in line.earns for short in shorts]
    wrong = [f"{item}.{short}" for item, shorts in line.wrong for short in shorts]
    limits = {r.id for i in checklist.items for r in i.requirements if r.kind == Kind.LIMIT}
    said += [one for one in wrong if one in limits]  # it was spoken of; the number decides
    named = [item for item, _ in (*line.earns, *line.wrong)]
    places = {i.place for i in checklist.items if i.id in named}
    return {
        "u": at, "said": _numbers(where, QuestionKind.TOLD, said),
        "against": _numbers(where, QuestionKind.TOLD, [w for w in wrong if w not in limits]),
        "named": _numbers(where, QuestionKind.NAMED, named),
        "places": _numbers(where, QuestionKind.PLACE, sorted(places)),
        "skip": int(len(said) >= _MANY and bool(_SAME.search(line.text))),
    }  # fmt: skip


def _numbers(
    where: dict[tuple[str, str], int], kind: QuestionKind, ids: Sequence[str]
) -> list[int]:
    return sorted({where[kind, one] for one in ids if (kind, one) in where})


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
    args = parser.parse_args(words)
    asked = Asked(load_run_reader() if args.thought else None)
    parts: dict[str, list[dict[str, Any]]] = {}
    for part in ("tune", "check"):
        parts[part] = [typed_run(script, asked) for script in scripts(part)]
        if args.heard:
            parts[part] += _heard(args.heard, args.corpus, part, asked)
    parts["tune"] += [typed_run(script, asked) for script in scripts("demo")]
    parts["made"] = list(_all_made(args.made, asked))
    with gzip.open(args.out, "wt", encoding="utf-8") as target:
        json.dump({"questions": asked.rows, **parts}, target)
    print({name: len(found) for name, found in parts.items()}, len(asked.rows), "questions")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
