"""What each idea of the engine is worth: the engine with one of them switched off.

    python -m benchmarks.ablation [--part check]

Decides: nothing about grading; takes one kind of the readers' opinions away and grades again.
Conventions: typed text; the judge keeps its weights, so a row shows what the shipped engine loses,
not what a judge fitted without the idea would reach. Columns as in `benchmarks.agreement`.
Public: `without`, `main`.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from dataclasses import replace

from benchmarks.agreement import HEADS, Tally, fitted, scripts, table, tally
from seeds.script import to_transcript
from walkgrade.language.read import read
from walkgrade.language.records import Reading
from walkgrade.language.run_reader import load_run_reader
from walkgrade.matching.match import match
from walkgrade.trained import load_judge, load_readers

KINDS = {
    "answers": "told",
    "names": "named",
    "places": "place",
    "numbers": "number",
    "as told before": "same",
}
_FIRST, _PARTLY = "without the close reader", "without the item reader"


def without(reading: Reading, kind: str) -> Reading:
    """The reading less the opinions of one kind."""
    return replace(reading, opinions=tuple(o for o in reading.opinions if o.kind != kind))


def main(words: Sequence[str]) -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.ablation", description=__doc__)
    parser.add_argument("--part", default="check", choices=["tune", "check", "report"])
    args = parser.parse_args(words)
    ways: dict[str, Callable[[Reading], Reading]] = {"walkgrade": lambda reading: reading}
    for name, kind in KINDS.items():
        ways[f"without the readers' {name}"] = lambda reading, kind=kind: without(reading, kind)
    totals = {name: Tally() for name in (*ways, _FIRST, _PARTLY, "rules alone")}
    judge, reader = load_judge(), load_readers()
    for script in scripts(args.part):
        checklist = fitted(script)
        reading = read(to_transcript(script), checklist, reader)
        for name, way in ways.items():
            found = match(way(reading), checklist, script.profile, judge=judge)
            totals[name].add(tally(script, found)[0])
        once = read(to_transcript(script), checklist, load_run_reader())
        found = match(once, checklist, script.profile, judge=judge)
        totals[_FIRST].add(tally(script, found)[0])
        partly = match(reading, checklist, script.profile, judge=replace(judge, items=None))
        totals[_PARTLY].add(tally(script, partly)[0])
        alone = match(replace(reading, opinions=()), checklist, script.profile)
        totals["rules alone"].add(tally(script, alone)[0])
    print(table(((name, total.row()) for name, total in totals.items()), HEADS))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
