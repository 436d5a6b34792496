"""Which scripts an item reader learns from, how often, and which are left out.

Decides: the judge is fitted to answers of networks that did not learn from the run, so its scripts
are cut into two halves: each network leaves out one. Scripts that were told before they were
labelled count twice (tune-1046 and later, and the judge's); recordings count 0.7 times. Scripts
that the judge is tried on (`FRESH` of models/fit_judge.py) are never learnt from.
Conventions: a run's id is its script's, or that of a recording as `benchmarks.hear` names it, whose
first part is the script.
Public: `Parted`, `WITHOUT`, `halves`, `is_recording`, `parted`, `script_of`, `weight_of`.
"""

from __future__ import annotations

import random
import re
from collections.abc import Collection
from pathlib import Path
from typing import Any, NamedTuple

READER = Path(__file__).resolve().parent.parent / "run_reader"
WITHOUT = {"both": ("first", "second"), "first": ("first",), "second": ("second",)}
"""What can be left out, and the halves that this means."""
_SEED = 3
_TOLD_FIRST = 1046  # number of the first tune script that was told before it was labelled
_OFTEN, _RECORDING = 2.0, 0.7
_TUNE = re.compile(r"tune-(\d+)")

Run = dict[str, Any]


class Parted(NamedTuple):
    """Runs to learn from, runs of the halves left out, and those of fresh scripts."""

    learnt: list[Run]
    left_out: list[Run]
    fresh: list[Run]


def halves() -> tuple[list[str], dict[str, list[str]]]:
    """The fresh scripts, and both halves of those that the judge is fitted to, by their ids."""
    # only the machine that gathers needs what stands behind these
    from benchmarks.agreement import SCRIPTS
    from models.judged_rows import FRESH, unseen_by

    judged = [path.stem for path in sorted(SCRIPTS.glob("check-*.yaml")) if path.stem not in FRESH]
    judged += unseen_by(READER)
    random.Random(_SEED).shuffle(judged)
    return list(FRESH), {"first": sorted(judged[0::2]), "second": sorted(judged[1::2])}


def parted(data: dict[str, Any], without: str) -> Parted:
    """The runs of `data` (models/items/gathered.py); `without` is a key of `WITHOUT`."""
    out = {script for half in WITHOUT[without] for script in data["halves"][half]}
    fresh, found = set(data["fresh"]), Parted([], [], [])
    for run in data["runs"]:
        script = script_of(run["id"])
        kind = found.fresh if script in fresh else found.left_out if script in out else found.learnt
        kind.append(run)
    return found


def weight_of(run: str, judged: Collection[str]) -> float:
    """How often a run comes beside others, 0.7..2; `judged`: the scripts of both halves."""
    script = script_of(run)
    number = _TUNE.fullmatch(script)
    told_first = number is not None and int(number[1]) >= _TOLD_FIRST
    often = _OFTEN if told_first or script in judged else 1.0
    return often * (_RECORDING if is_recording(run) else 1.0)


def script_of(run: str) -> str:
    """The script that a run follows."""
    return run.split("--")[0]


def is_recording(run: str) -> bool:
    """Whether a run was spoken and recognised, not typed."""
    return "--" in run
