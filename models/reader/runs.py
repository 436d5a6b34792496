"""Runs as the readers learn from them: utterances, and which questions each line of talk answers.

Decides: how the truth beside a script's lines becomes yes and no for utterances. The truth of a
line belongs to the utterances it was cut into together (one of them must say yes); every other
utterance must say no. A line that only repeats what was earned elsewhere ("same on this side") is
left out: that is carry-over, which the matcher does.
Conventions: a run is a dictionary that JSON can hold; questions are numbers, given by `Asked`.
Recognised runs take the truth of the lines they overlap in time.
Public: `Asked`, `Run`, `typed_run`, `heard_run`, `made_run`, `retold_runs`.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator, Sequence
from typing import Any

from benchmarks.agreement import fitted
from models.reader.carrying import as_before, carried_lines
from seeds.retold import Retold, around
from seeds.script import Script, ScriptLine, to_transcript
from seeds.variants import MadeLine
from walkgrade.checklists.records import Checklist, Kind
from walkgrade.language.questions import QuestionKind, questions_of
from walkgrade.language.read import read
from walkgrade.language.records import Voice
from walkgrade.language.run_reader import RunReader
from walkgrade.language.tokens import Cut, cut, written
from walkgrade.speech.records import Transcript
from walkgrade.speech.transcript_json import from_data

_SAME = re.compile(
    r"\b(same|ditto|likewise|identical|identically|just like|matches|repeat)\b", re.I
)
_MANY = 7  # requirements beyond which a "same" line is carry-over
_OVERLAP_MS = 300

Run = dict[str, Any]


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
                if {r.low, r.high} <= {n.low, n.high}  # one end of a range speaks to it, too
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


def retold_runs(
    retold: Sequence[Retold], known: dict[str, Script], typed: dict[str, Run], asked: Asked
) -> Iterator[Run]:
    """A run for every retold line; `known` and `typed`: the scripts and their runs, by id."""
    every = sorted(retold, key=lambda one: (one.of, one.number))
    for of, same in itertools.groupby(every, key=lambda one: one.of):
        checklist = fitted(known[of])
        put = checklist, *asked.of(checklist)
        for number, variants in itertools.groupby(same, key=lambda one: one.number):
            maybe = _thought_of(typed[of], known[of], number)
            for at, one in enumerate(variants):
                made = _retold_run(*around(one, known[of]), *put)
                yield made | {"id": f"{of}/retold/{number}-{at}", "maybe": maybe}


def _retold_run(
    script: Script,
    number: int,
    checklist: Checklist,
    mine: list[int],
    where: dict[tuple[str, str], int],
) -> Run:
    """A stretch of a script with a retold line, of which alone something is learnt."""
    pieces = cut(to_transcript(script))
    at = [n for n, piece in enumerate(pieces) if piece.segment == f"l{number}"]
    bags = [_bag(at, script.lines[number - 1], checklist, where)]
    return _run(script.id, "typed", mine, pieces, bags)


def _thought_of(run: Run, script: Script, number: int) -> list[int]:
    """What the run reader thought a line of the script to answer: a retold one might, too."""
    pieces = cut(to_transcript(script))
    mine = {at for at, piece in enumerate(pieces) if piece.segment == f"l{number}"}
    return sorted({question for at, question, _, _ in run["thought"] if at in mine})
