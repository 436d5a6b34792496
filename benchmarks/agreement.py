"""Agreement of the engine with the labels, from typed text or from recognised audio.

Run ``python -m benchmarks.agreement --part tune`` (or check, report, demo). Prints, per script and
in all: items, complete share, Cohen's kappa on credit (complete or not), false and missed credit
as shares of all items judged, share sent to listening, errors among the rest, numbers F1.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path

from seeds.script import Script, load_script, to_transcript
from seeds.truth import truth_of
from walkgrade.checklists.applicable import applicable
from walkgrade.checklists.library import find_checklist, find_profile
from walkgrade.checklists.records import Checklist
from walkgrade.language.read import read
from walkgrade.matching.match import match
from walkgrade.matching.records import Findings, ItemOutcome, NumberVerdict
from walkgrade.speech.records import Transcript
from walkgrade.trained import load_judge, load_readers

SCRIPTS = Path(__file__).resolve().parent.parent / "seeds" / "scripts"


@dataclass(slots=True)
class Tally:
    """Counts over items; `kappa` and shares are derived."""

    both: int = 0
    false_credit: int = 0
    missed_credit: int = 0
    neither: int = 0
    listening: int = 0
    listening_wrong: int = 0
    numbers: Counter[str] = field(default_factory=Counter)

    def add(self, other: Tally) -> None:
        """Sum another tally into this one."""
        for name in (
            "both",
            "false_credit",
            "missed_credit",
            "neither",
            "listening",
            "listening_wrong",
        ):
            setattr(self, name, getattr(self, name) + getattr(other, name))
        self.numbers.update(other.numbers)

    @property
    def items(self) -> int:
        """Items judged."""
        return self.both + self.false_credit + self.missed_credit + self.neither

    @property
    def kappa(self) -> float:
        """Cohen's kappa of credit given against credit due: (po - pe) / (1 - pe)."""
        n = self.items
        observed = (self.both + self.neither) / n
        given = (self.both + self.false_credit) / n
        due = (self.both + self.missed_credit) / n
        chance = given * due + (1 - given) * (1 - due)
        return (observed - chance) / (1 - chance) if chance < 1 else 1.0

    @property
    def f1(self) -> float:
        """F1 of numbers: 2 tp / (2 tp + fp + fn)."""
        right = 2 * self.numbers["hit"]
        total = right + self.numbers["extra"] + self.numbers["lost"]
        return right / total if total else 1.0

    def row(self) -> list[str]:
        """The cells of the printed table."""
        n = self.items
        rest = n - self.listening
        wrong = self.false_credit + self.missed_credit - self.listening_wrong
        return [
            str(n), f"{(self.both + self.missed_credit) / n:.0%}", f"{self.kappa:.3f}",
            f"{self.false_credit / n:.1%}", f"{self.missed_credit / n:.1%}",
            f"{self.listening / n:.1%}", f"{wrong / rest:.1%}", f"{self.f1:.3f}",
        ]  # fmt: skip


HEADS = ["items", "due", "kappa", "false", "missed", "listen", "err.rest", "num.F1"]


def fitted(script: Script) -> Checklist:
    """The checklist of a script, fitted to its vehicle."""
    return applicable(find_checklist(script.checklist), find_profile(script.profile))


def engine(transcript: Transcript, checklist: Checklist, profile: str) -> Findings:
    """Today's engine."""
    reading = read(transcript, checklist, load_readers())
    return match(reading, checklist, profile, judge=load_judge())


def rules_alone(transcript: Transcript, checklist: Checklist, profile: str) -> Findings:
    """The engine without run reader and judge."""
    return match(read(transcript, checklist), checklist, profile)


def tally(script: Script, findings: Findings) -> tuple[Tally, list[str]]:
    """Compare findings with the labels; also the disagreements, one line each."""
    checklist = find_checklist(script.checklist)
    truth = truth_of(script, checklist, find_profile(script.profile))
    made, notes = Tally(), []
    for found in findings.items:
        due = truth[found.item] == ItemOutcome.COMPLETE
        given = found.outcome == ItemOutcome.COMPLETE
        listening = found.outcome == ItemOutcome.NEEDS_LISTENING or found.close_call
        made.both += due and given
        made.false_credit += given and not due
        made.missed_credit += due and not given
        made.neither += not due and not given
        made.listening += listening
        made.listening_wrong += listening and due != given
        if due != given:
            kind = "FALSE " if given else "MISSED"
            notes.append(f"{kind} {script.id} {found.item}: {_detail(found, truth[found.item])}")
    made.numbers, lost = _numbers(script, findings)
    return made, notes + lost


def _detail(found: object, truth: ItemOutcome) -> str:
    parts = [
        f"{r.requirement.rsplit('.', 1)[1]}={r.outcome}({r.confidence:.2f})"
        + (f" '{r.evidence[0].quote}'" if r.evidence else "")
        for r in found.requirements  # type: ignore[attr-defined]
        if r.required or r.evidence
    ]
    return f"labels say {truth}; engine {found.outcome}: " + "; ".join(parts)  # type: ignore[attr-defined]


def _numbers(script: Script, findings: Findings) -> tuple[Counter[str], list[str]]:
    """Numbers found against labelled: requirement, value and right/wrong must agree."""
    want: Counter[tuple[str, str, str, bool]] = Counter(
        (
            n.requirement,
            _plain(n.low, n.unit),
            _plain(n.low if n.high is None else n.high, n.unit),
            n.right,
        )
        for line in script.lines
        if line.who == "trainee"
        for n in line.numbers
    )
    have: Counter[tuple[str, str, str, bool]] = Counter(
        (
            n.requirement,
            _plain(n.value_low, n.unit),
            _plain(n.value_high, n.unit),
            n.verdict == NumberVerdict.RIGHT,
        )
        for n in findings.numbers
    )
    hit = sum((want & have).values())
    notes = [f"NUMLOST {script.id} {key}" for key in (want - have)]
    notes += [f"NUMEXTRA {script.id} {key}" for key in (have - want)]
    return Counter(hit=hit, extra=sum(have.values()) - hit, lost=sum(want.values()) - hit), notes


def _plain(value: object, unit: str) -> str:
    """The number, a time in seconds: half a minute and 30 seconds are the same."""
    return str(Fraction(str(value)) * (60 if unit == "min" else 1))


def scripts(part: str) -> list[Script]:
    """Scripts of one part of the split, in order."""
    return [load_script(path) for path in sorted(SCRIPTS.glob(f"{part}-*.yaml"))]


def table(rows: Iterable[tuple[str, list[str]]], heads: list[str]) -> str:
    """A plain text table."""
    lines = [f"{'':<34}" + "".join(f"{head:>10}" for head in heads)]
    lines += [f"{name:<34}" + "".join(f"{cell:>10}" for cell in cells) for name, cells in rows]
    return "\n".join(lines)


def run(
    part: str,
    grade: Callable[[Transcript, Checklist, str], Findings] = engine,
    transcribed: Callable[[Script], Transcript] = to_transcript,
) -> tuple[Tally, list[tuple[str, list[str]]], list[str]]:
    """Grade every script of a part; the sum, the rows and the disagreements."""
    total, rows, notes = Tally(), [], []
    for script in scripts(part):
        made, said = tally(script, grade(transcribed(script), fitted(script), script.profile))
        total.add(made)
        rows.append((script.id, made.row()))
        notes += said
    rows.append((f"all {part}", total.row()))
    return total, rows, notes


def main(words: list[str]) -> int:
    """Print the table (and with --errors every disagreement)."""
    parser = argparse.ArgumentParser(description="Agreement with the labels, typed text")
    parser.add_argument("--part", default="tune", choices=["tune", "check", "report", "demo"])
    parser.add_argument("--errors", action="store_true", help="list every disagreement")
    args = parser.parse_args(words)
    _, rows, notes = run(args.part)
    if args.errors:
        print("\n".join(notes))
    print(table(rows, HEADS))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
