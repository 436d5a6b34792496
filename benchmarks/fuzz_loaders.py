"""Feed spoiled files to every loader of checklists, overlays, vehicles and sheets.

    python -m benchmarks.fuzz_loaders --minutes 3 [--seed 1] [--only yaml|sheet]

Good files are spoiled in bytes, lines, values and, for XLSX, in the parts of the package. Whatever
comes in, a loader gives a record or a `WalkgradeError`; anything else is a find: it is printed with
its input, which is kept in `--keep`. Exit code 1 when there was one.
"""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
import time as clock
import traceback
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from benchmarks.spoiling import spoiled
from walkgrade.checklists.library import (
    find_checklist,
    find_profile,
    reference_folder,
    shipped_parts,
)
from walkgrade.checklists.sheet_draft import Terms
from walkgrade.checklists.sheet_file import read_table, write_table
from walkgrade.checklists.sheet_in import import_sheet
from walkgrade.checklists.sheet_links import KnownPart, known_parts
from walkgrade.checklists.sheet_out import sheet_rows, template_rows
from walkgrade.errors import WalkgradeError
from walkgrade.school.corrections import read_corrections

Load = Callable[[Path], object]


@dataclass(frozen=True, slots=True)
class Ear:
    concepts: tuple[str, ...] = ()


@dataclass(slots=True)
class Target:
    """A loader, good files for it (name, bytes), and files that lie beside them."""

    name: str
    load: Load
    seeds: list[tuple[str, bytes]]
    beside: dict[str, bytes] = field(default_factory=dict)


@dataclass(slots=True)
class Tally:
    """What came out: error codes, good records, finds."""

    runs: int = 0
    seconds: float = 0.0
    codes: Counter[str] = field(default_factory=Counter)
    finds: list[tuple[str, str, bytes, str]] = field(default_factory=list)
    slowest: tuple[float, str] = (0.0, "")


def targets() -> list[Target]:
    """Every loader with its seeds."""
    folder = reference_folder()
    shared = {path.name: path.read_bytes() for path in folder.glob("*.yaml")}
    overlays = {path.name: path.read_bytes() for path in (folder / "overlays").glob("*.yaml")}
    vehicles = [(p.name, p.read_bytes()) for p in sorted((folder / "profiles").glob("*.yaml"))]
    lists = [(n, b) for n, b in shared.items() if b"\nsections:" in b]
    small = {name: text.encode() for name, text in SMALL.items()}
    main = lambda path: find_checklist(str(path))  # noqa: E731
    return [
        Target("checklist", main, _one("small.yaml"), small),
        Target("shared file", _beside("small.yaml"), _one("shared.yaml"), small),
        Target("shipped checklist", main, lists, shared),
        Target("overlay", main, _one("ours.yaml"), small),
        Target("shipped overlay", main, list(overlays.items())),
        Target("vehicle", lambda path: find_profile(str(path)), vehicles),
        Target("sheet csv", _import, _sheets(".csv")),
        Target("sheet xlsx", _import, _sheets(".xlsx")),
        Target("corrections", read_corrections, list(CORRECTIONS.items())),
    ]  # fmt: skip


def _one(name: str) -> list[tuple[str, bytes]]:
    return [(name, SMALL[name].encode())]


def _beside(main: str) -> Load:
    return lambda path: find_checklist(str(path.parent / main))


_PARTS: list[tuple[KnownPart, ...]] = []


def _import(path: Path) -> object:
    if not _PARTS:
        _PARTS.append(known_parts(shipped_parts()))
    like = find_checklist("school-bus-air-classic") if not _LIKE else _LIKE[0]
    _LIKE[:] = [like]
    terms = Terms(id="ours", title="Ours", like=like, parts=_PARTS[0], hear=lambda text: Ear())
    return import_sheet(read_table(path), terms)


_LIKE: list[Any] = []


def _sheets(ending: str) -> list[tuple[str, bytes]]:
    rows = sheet_rows(find_checklist("school-bus-air-classic"))
    kinds = (rows[:12], [rows[0], *rows[-14:]], template_rows(), HAND)
    made = []
    with tempfile.TemporaryDirectory() as folder:
        for n, kind in enumerate(kinds):
            path = write_table(Path(folder) / f"s{n}{ending}", kind)
            made.append((path.name, path.read_bytes()))
    return made


def sound(target: Target, top: Path) -> None:
    """Load every seed as it is; a faulty one would hide what it is meant to reach."""
    for name, good in target.seeds:
        for other, content in target.beside.items():
            (top / other).write_bytes(content)
        (top / name).write_bytes(good)
        if not name.startswith("s2."):  # the template holds no rows
            target.load(top / name)


def run(seconds: float, seed: int, only: str = "", most: int = 10**9) -> dict[str, Tally]:
    """Spoil and load until the time is up or each target had `most` runs."""
    chance = random.Random(seed)
    chosen = [t for t in targets() if _chosen(t, only)]
    tallies = {target.name: Tally() for target in chosen}
    end = clock.monotonic() + seconds
    with tempfile.TemporaryDirectory() as top:
        while clock.monotonic() < end:
            waiting = [t for t in chosen if tallies[t.name].runs < most]
            if not waiting:
                break
            # Slow loaders get as much time as quick ones, not as many runs.
            target = min(waiting, key=lambda one: tallies[one.name].seconds)
            _once(target, tallies[target.name], Path(top), chance)
    return tallies


def _chosen(target: Target, only: str) -> bool:
    is_sheet = target.name.startswith(("sheet", "corrections"))
    return only == "" or is_sheet == (only == "sheet")


def _once(target: Target, tally: Tally, top: Path, chance: random.Random) -> None:
    name, good = chance.choice(target.seeds)
    data = spoiled(good, name, chance)
    for other, content in target.beside.items():
        place = top / other
        if not place.exists() or place.read_bytes() != content:
            place.write_bytes(content)
    path = top / name
    path.write_bytes(data)
    began = clock.monotonic()
    tally.runs += 1
    try:
        target.load(path)
        tally.codes["good"] += 1
    except WalkgradeError as error:
        tally.codes[error.code] += 1
    except Exception as error:
        tally.codes[type(error).__name__] += 1
        tally.finds.append((name, type(error).__name__, data, traceback.format_exc()))
    took = clock.monotonic() - began
    tally.seconds += took
    if took > tally.slowest[0]:
        tally.slowest = (took, name)
    path.unlink()


SMALL = {
    "small.yaml": """\
format: 1
id: small
version: "1.0"
title: Small list
vehicle: bus
edition: test
budget_minutes: 3
include: [shared.yaml]
sections:
  - id: engine
    title: Engine
    budget_minutes: 2
    place: engine
    items:
      - {id: engine.oil, row: E2, title: Oil, names: [oil level], why: So., basis: [manual],
         requires: [{id: level, says: level, concepts: [level]}]}
      - {part: tread, place: axle, carry_over: [engine.tread], requires_drop: [even]}
      - {part: tread, carry_over: [axle.tread], requires_change: {depth: {says: two}}}
  - id: check
    title: Check
    budget_minutes: 1
    place: engine
    procedure: true
    items:
      - {id: check.hold, row: A, title: Hold, names: [hold], if_fitted: {brakes: air},
         basis: [manual], requires: [{id: minute, says: one minute, patterns: ["one|1 minute"]}]}
""",
    "shared.yaml": """\
sources:
  manual: {title: Manual, section: "1", standing: published}
profile_keys: {brakes: [air, hydraulic]}
places:
  - {id: engine, title: Engine, cues: [under the hood]}
  - {id: axle, title: Axle, cues: [axle]}
parts:
  tread:
    row: W2
    title: "Tread, {place}"
    names: [tread]
    basis: [manual]
    requires:
      - {id: depth, says: four, limit: {quantity: tread depth, comparator: at least, low: "4/32",
         unit: in, accept: ["4/32", "4/32"]}}
    optional: [{id: even, says: evenly worn, concepts: [even_wear]}]
  worn: {like: tread, requires_add: [{id: new, says: new, patterns: [new]}]}
""",
    "ours.yaml": """\
format: 1
id: ours
version: "2"
title: Ours
base: small.yaml
date: "2026-03-01"
basis: [sheet]
sources: {sheet: {title: Sheet, section: p, standing: from memory}}
section_minutes: {check: 2}
points: {each: 2, items: {check.hold: 5}, late_counts: false}
target_percent: 85
requirements:
  axle.tread.depth: {says: five, limit: {quantity: tread depth, comparator: between, low: 4,
    high: 5, unit: in, accept: [4, 5]}}
items: {check.hold: {title: Hold on, names_add: [keep], carry_over: [engine.oil]}}
add:
  - {section: engine, after: engine.oil, part: worn, id: engine.worn}
  - {section: check, id: check.x, row: X, title: X, names: [x],
     requires: [{id: a, says: a, concepts: [works]}]}
drop: [engine.tread]
profile_keys: {lift: [fitted, none]}
places: [{id: gate, title: Gate, cues: [gate]}]
parts: {horn: {row: H, title: Horn, names: [horn], requires: [{id: a, says: a, patterns: [a]}]}}
""",
}
_HAND = """\
Section|Minutes|Place|Item|Say|Needed|Number|Of|Accept|Only if|Source
Hood|4|Under the hood|Oil level|between add and full|||||lift is fitted|A / 1
||||no leak|no|||||
Wheels||Front axle|Tread|4/32|yes|at least 4/32 in|tread depth|4/32||
"""
HAND = [line.split("|") for line in _HAND.splitlines()]
CORRECTIONS = {
    "c.csv": b"attempt,item,outcome,who,when,why\nr1,cab.horn,complete,J.O.,2026-03-01,heard\n",
    "c.yaml": b"- {attempt: r1, item: cab.horn, outcome: missed, who: J, when: '', why: x}\n",
}


def main(words: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--minutes", type=float, default=2.0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", choices=("yaml", "sheet"), default="")
    parser.add_argument("--keep", type=Path, help="folder for the inputs of finds")
    asked = parser.parse_args(words)
    tallies = run(asked.minutes * 60, asked.seed, asked.only)
    found = 0
    for name, tally in tallies.items():
        codes = ", ".join(f"{code} {count}" for code, count in tally.codes.most_common())
        print(f"{name:<18} {tally.runs:>6} runs; slowest {tally.slowest[0]:.2f} s; {codes}")
        kinds: dict[str, tuple[str, bytes, str]] = {}
        for file, _, data, trace in tally.finds:
            kinds.setdefault("\n".join(trace.splitlines()[-3:]), (file, data, trace))
        found += len(kinds)
        for n, (file, data, trace) in enumerate(kinds.values()):
            print(trace, file=sys.stderr)
            if asked.keep:
                asked.keep.mkdir(parents=True, exist_ok=True)
                (asked.keep / f"{name.replace(' ', '-')}-{n}-{file}").write_bytes(data)
    print(f"{found} kinds of finds")
    return 1 if found else 0


if __name__ == "__main__":
    raise SystemExit(main())
