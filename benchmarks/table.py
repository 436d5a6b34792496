"""One table: the baselines and today's engine against the labels, typed and from sound.

    python -m benchmarks.table [--part report] [--scripts IDS] [--heard DIR] [--write FILE]

Decides: nothing about grading. Typed text needs the repository alone. Sound needs a folder of
results of `benchmarks.hear`; every condition and model found there becomes rows.
Conventions: kappa, false and missed credit, and the share sent to listening are over all items of
all scripts of the part; an item sent to listening counts as the engine calls it: a close call as
credited, a doubtful one as not. `rest` is the share of wrong calls among the items not sent to
listening. `steps` is the share of procedure steps whose state agrees with the labels. `s` is the
mean time from transcript to findings of one run (wall, one process). From sound, each figure is the
mean over voices, with the standard deviation over voices behind it. Baselines are tuned on the
typed tune scripts (`benchmarks.baselines`).
Public: `Score`, `Heard`, `read_heard`, `score`, `main`.
"""

from __future__ import annotations

import argparse
import json
import re
import statistics
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from benchmarks.agreement import Tally, engine, fitted, scripts, tally
from benchmarks.baselines import as_findings, baselines, tuned
from benchmarks.step_order import agreeing
from seeds.script import Script, to_transcript
from seeds.speak import CONDITIONS
from walkgrade.checklists.records import Checklist
from walkgrade.matching.records import Findings
from walkgrade.speech.records import Transcript
from walkgrade.speech.transcript_json import from_data

Grade = Callable[[Transcript, Checklist, str], Findings]
ENGINE = "walkgrade"
HEADS = ("items", "kappa", "false", "missed", "listen", "rest", "num.F1", "steps", "s")


@dataclass(slots=True)
class Score:
    """What several runs come to."""

    tally: Tally = field(default_factory=Tally)
    steps_right: int = 0
    steps: int = 0
    seconds: float = 0.0
    runs: int = 0

    def add(self, other: Score) -> None:
        """Sum another score into this one."""
        self.tally.add(other.tally)
        self.steps_right += other.steps_right
        self.steps += other.steps
        self.seconds += other.seconds
        self.runs += other.runs

    def figures(self) -> tuple[float, ...]:
        """In the order of `HEADS`."""
        made, n = self.tally, self.tally.items
        wrong = made.false_credit + made.missed_credit - made.listening_wrong
        return (
            n, made.kappa, made.false_credit / n, made.missed_credit / n, made.listening / n,
            wrong / max(1, n - made.listening), made.f1, self.steps_right / max(1, self.steps),
            self.seconds / max(1, self.runs),
        )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Heard:
    """A result of `benchmarks.hear`; no transcript when the recording was refused."""

    script: str
    voice: str
    condition: str
    model: str
    transcript: Transcript | None
    seconds: float
    audio_seconds: float


def read_heard(folder: Path) -> list[Heard]:
    """Every result below `folder`."""
    found = []
    for path in sorted(folder.rglob("*--*--*--*.json")):
        data = json.loads(path.read_text(encoding="utf-8"))
        transcript = data.get("transcript")
        found.append(
            Heard(
                script=data["script"], voice=data["voice"], condition=data["condition"],
                model=data["model"], transcript=from_data(transcript) if transcript else None,
                seconds=data.get("seconds", 0.0), audio_seconds=data.get("audio_seconds", 0.0),
            )
        )  # fmt: skip
    return found


def score(script: Script, transcript: Transcript | None, grade: Grade) -> Score:
    """Grade one run and compare with the labels; a refused recording earns nothing."""
    checklist = fitted(script)
    start = time.perf_counter()
    if transcript is None:
        findings = as_findings([False] * len(checklist.items), checklist, script.profile)
    else:
        findings = grade(transcript, checklist, script.profile)
    seconds = time.perf_counter() - start
    right, steps = agreeing(script, findings)
    return Score(
        tally=tally(script, findings)[0], steps_right=right, steps=steps, seconds=seconds, runs=1
    )


def typed_rows(mine: Sequence[Script], graders: dict[str, Grade]) -> Iterable[list[str]]:
    """One row a grader for typed text."""
    for name, grade in graders.items():
        total = Score()
        for script in mine:
            total.add(score(script, to_transcript(script), grade))
        yield [f"typed, {name}", *_cells(total.figures(), name)]


def heard_rows(
    mine: Sequence[Script], heard: Sequence[Heard], graders: dict[str, Grade]
) -> Iterable[list[str]]:
    """One row for each model, condition and grader, then the kappa of each voice."""
    by_id = {script.id: script for script in mine}
    groups: dict[tuple[str, str], list[Heard]] = defaultdict(list)
    for one in heard:
        if one.script in by_id:
            groups[one.model, one.condition].append(one)
    order = list(CONDITIONS)
    for model, condition in sorted(groups, key=lambda key: (key[0], order.index(key[1]))):
        for name, grade in graders.items():
            voices: dict[str, Score] = defaultdict(Score)
            for one in groups[model, condition]:
                voices[one.voice].add(score(by_id[one.script], one.transcript, grade))
            yield [f"{condition} {model}, {name}", *_over_voices(voices, name)]
            if name == ENGINE:
                yield from _voice_rows(voices)


def _voice_rows(voices: dict[str, Score]) -> Iterable[list[str]]:
    for voice, total in sorted(voices.items()):
        yield [f"    {voice} ({total.runs})", *_cells(total.figures(), ENGINE)]


def _over_voices(voices: dict[str, Score], name: str) -> list[str]:
    columns = list(zip(*(total.figures() for total in voices.values()), strict=True))
    means = _cells([sum(columns[0]), *map(statistics.mean, columns[1:])], name)
    spread = [
        0.0,
        *(statistics.stdev(column) if len(column) > 1 else 0.0 for column in columns[1:]),
    ]
    return [
        f"{mean} ±{_number(at, wide).strip('%')}" if 1 <= at <= 7 and mean != "-" else mean
        for at, (mean, wide) in enumerate(zip(means, spread, strict=True))
    ]


def _cells(figures: Sequence[float], name: str) -> list[str]:
    """Baselines call items only: they have no numbers, steps or listening."""
    blank = () if name == ENGINE else (4, 6, 7)
    return ["-" if at in blank else _number(at, value) for at, value in enumerate(figures)]


def _number(at: int, value: float) -> str:
    if at == 0:
        return f"{value:.0f}"
    if at in (1, 6, 7):
        return f"{value:.3f}"
    return f"{value:.2f}" if at == 8 else f"{value:.1%}"


def text_table(rows: Sequence[Sequence[str]]) -> str:
    """Aligned columns with the heads on top."""
    lines = [["", *HEADS], *rows]
    wide = [max(len(line[at]) for line in lines) for at in range(len(HEADS) + 1)]
    return "\n".join(
        "  ".join(
            cell.ljust(w) if at == 0 else cell.rjust(w)
            for at, (cell, w) in enumerate(zip(line, wide, strict=True))
        )
        for line in lines
    )


def main(words: Sequence[str]) -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.table", description=__doc__)
    parser.add_argument("--part", default="report", choices=["tune", "check", "report", "demo"])
    parser.add_argument("--scripts", default="", help="only these, with commas between them")
    parser.add_argument("--heard", type=Path, help="folder of results of benchmarks.hear")
    parser.add_argument("--conditions", default="", help="only these of the sound")
    parser.add_argument("--models", default="", help="only these recogniser models")
    parser.add_argument("--engine-only", action="store_true")
    parser.add_argument("--write", type=Path, help="also write the table here")
    args = parser.parse_args(words)
    graders: dict[str, Grade] = {}
    told: list[str] = []
    for one in [] if args.engine_only else baselines():
        best = tuned(one)
        graders[one.name] = best
        told.append(f"{one.name}: setting {best.setting}, kappa {best.kappa:.3f} on tune")
    graders[ENGINE] = engine
    only = tuple(filter(None, args.scripts.split(",")))
    mine = [script for script in scripts(args.part) if not only or script.id in only]
    rows = list(typed_rows(mine, graders))
    if args.heard:
        heard = [
            one
            for one in read_heard(args.heard)
            if (not args.conditions or one.condition in args.conditions.split(","))
            and (not args.models or one.model in args.models.split(","))
        ]
        rows += heard_rows(mine, heard, graders)
        told.append(_recognition(heard))
    text = "\n".join([f"part {args.part}, {len(mine)} scripts", "",
                      text_table(rows), "", *told])  # fmt: skip
    print(text)
    if args.write:
        args.write.write_text(text + "\n", encoding="utf-8")
    return 0


def _recognition(heard: Sequence[Heard]) -> str:
    sound = sum(one.audio_seconds for one in heard)
    refused = sum(one.transcript is None for one in heard)
    took = sum(one.seconds for one in heard)
    speed = f"{sound / took:.0f} times real time on one core" if took else "not timed"
    kept = Counter(
        re.sub(r", told \w+$", ", told its checklist's names", one.transcript.settings)
        for one in heard
        if one.transcript
    )
    told = "".join(f"\n  {count} with {settings}" for settings, count in kept.items())
    if len({one.model for one in heard}) < len(kept):
        told += "\n  MIXED: hear the older ones again before comparing conditions"
    head = f"recognised: {len(heard)} recordings, {sound / 3600:.1f} h, {speed}; refused {refused}"
    return head + told


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
