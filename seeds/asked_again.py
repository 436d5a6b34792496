"""How far the labels can be trusted: what blind labellers said of single items, counted.

    python -m seeds.asked_again                       (the counts)
    python -m seeds.asked_again --sheet RUN ITEM ...  (what a labeller is shown)

Decides: what a labeller is shown, words and requirements alone. A second one, who saw neither the
labels nor any engine's word, said of each item whether it was told completely; a third one answered
where the second differed, and of as many more so that it could not know which.
Conventions: a row is an item of a run told first. `why` it was asked about: the engine credited it
against the label (``credited``), or missed it (``missed``), or ``agreed``; in the second round the
engine gave it 6 % or more (``likely``) or less (``unlikely``). In the third (the readers' runs) and
the fourth (report-11 to -19, and the check scripts that nothing is fitted to) every item called
incomplete, named only or wrong was asked about (``spoken of``), two a run that were called missed
(``unsaid``) and some called complete (``agreed``), whatever an engine thinks. `label` is as it
stood then; docs/decisions/0019-labels-asked-about-again.md and 0020-close-calls.md
say what became of it.
Public: `agreement`, `counts`, `load_asked`, `sheet`.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

import pandas as pd

from seeds.check_labels import SCRIPTS
from seeds.script import Script, load_script
from walkgrade.checklists.applicable import applicable
from walkgrade.checklists.library import find_checklist, find_profile

PLACE = Path(__file__).with_name("asked_again.csv")


def load_asked(place: Path = PLACE) -> pd.DataFrame:
    """The answers: round, run, item, why, label, second, sure, third ("" where nobody asked)."""
    return pd.read_csv(place, keep_default_na=False)


def counts(asked: pd.DataFrame) -> pd.DataFrame:
    """By round, reason and label: items asked about, those where the second labeller differs from
    the label (and is sure of it), and those where the third sides with the second."""
    differs = asked["second"] != asked["label"]
    rows = asked.assign(
        asked=1,
        differs=differs,
        sure=differs & (asked["sure"] == "yes"),
        upheld=differs & (asked["third"] == asked["second"]),
    )
    by = rows.groupby(["round", "why", "label"])[["asked", "differs", "sure", "upheld"]]
    found: pd.DataFrame = by.sum().astype(int)
    return found


def agreement(asked: pd.DataFrame) -> tuple[int, int]:
    """Of the items put to the third labeller though the second had agreed with the label: in how
    many third and second agree, and how many there are."""
    both = asked[(asked["third"] != "") & (asked["second"] == asked["label"])]
    return int((both["third"] == both["second"]).sum()), len(both)


def sheet(script: Script, items: Sequence[str]) -> str:
    """A run as a labeller is shown it: numbered lines without labels, then the items' requirements.

    Raises
    ------
    KeyError : when an item is not on the run's checklist, as it applies to the vehicle.
    """
    return "\n".join([*_lines(script), "", "QUESTIONS", *_questions(script, items), ""])


def _lines(script: Script) -> Iterator[str]:
    yield f"RUN {script.id}  checklist: {script.checklist}  profile: {script.profile}"
    for number, line in enumerate(script.lines, 1):
        voice = "" if line.who == "trainee" else f"[{line.who.upper()}] "
        yield f"{number:3}  {voice}{line.text}"


def _questions(script: Script, items: Sequence[str]) -> Iterator[str]:
    checklist = applicable(find_checklist(script.checklist), find_profile(script.profile))
    known = {item.id: item for item in checklist.items}
    for name in items:
        item = known[name]
        yield f"* {name} ({item.title})"
        for one in item.requirements:
            optional = "" if one.required else " (optional)"
            yield f"    - {one.id.removeprefix(name + '.')}: {one.says}{optional}"


def main(words: Sequence[str]) -> int:
    """Print the counts, or a sheet."""
    parser = argparse.ArgumentParser(prog="python -m seeds.asked_again")
    parser.add_argument("--sheet", nargs="+", metavar="RUN ITEM")
    args = parser.parse_args(words)
    if args.sheet:
        print(sheet(load_script(SCRIPTS / f"{args.sheet[0]}.yaml"), args.sheet[1:]))
        return 0
    answers = load_asked()
    print(counts(answers).to_string())
    print("third and second agree on {} of {} others".format(*agreement(answers)))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
