"""Feed spoiled files to every loader of checklists, overlays, vehicles and sheets.

    python -m benchmarks.fuzz_loaders --minutes 3 [--seed 1] [--only yaml|sheet]

Good files are spoiled in bytes, lines, values and, for XLSX, in the parts of the package. Whatever
comes in, a loader gives a record or a `WalkgradeError`; anything else is a find: it is printed with
its input, which is kept in `--keep`. Exit code 1 when there was one.
"""

from __future__ import annotations

import argparse
import csv
import io
import random
import sys
import tempfile
import time as clock
import traceback
import warnings
import zipfile
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any

import yaml
from openpyxl import load_workbook

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

NASTY = (
    b"", b"\0", b"\xff\xfe", b"\xef\xbb\xbf", b"&a", b"*a", b"<<: *a", b"!!python/object:os.x",
    b"!!binary x", b"!!timestamp 9999-99-99", b"!!set {a, b}", b"? [a, b]", b"---\n---\n", b"%YAML",
    b"[" * 400, b"{a: " * 400, b"1" * 5000, b"1/00", b"9" * 400 + b"/7", b"1e99", b".nan", b"-.inf",
    b"0x", b"1:99", b"~", b"null", b"on", b"\t", b"\r", b"'", b'"', b"\xc3\x28", b"\xed\xa0\x80",
    "\u2028\u202e\U0010ffff".encode(), b"../../x.yaml", b"/", b"a" * 3000, b";", b"\\;", b"'=1+1",
    b"between 5 and 4 psi", b" is ", b" or ", b"[published]", b" / ", b"{place}", b"%s{0}{x}",
)  # fmt: skip
VALUES: tuple[Any, ...] = (
    None, True, -1, 0, 10**30, 1.5, float("inf"), "", " ", "a", "a.b", "A", "1/0", "4/32", [], {},
    [None], [[]], [{}], {"a": None}, {"": ""}, ["a", "a"], "\x85", "\u0661/\u0663", "!a", "a||b",
    "a\nb", {1: 2}, [1, 2, 3], "at least", "in", "{place}", "small", "base.yaml",
)  # fmt: skip
TYPED: tuple[Any, ...] = (
    None, 0, -1, 4, 2.5, 1e300, True, False, datetime(2026, 1, 4), date(2026, 3, 5), time(1, 30),
    timedelta(days=1), "=1+1", "=A1", "#REF!", "x" * 30_000, "4/32", "at least 4/32 in", "yes", " ",
    "cab.horn", "works; no_leak", "a||b", "# note", "between 1 and 2 psi",
)  # fmt: skip


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


def spoiled(good: bytes, name: str, chance: random.Random) -> bytes:
    """`good` after one to four changes."""
    for _ in range(chance.randint(1, 4)):
        if good[:2] == b"PK" and chance.random() < 0.4:
            good = _typed(good, chance)
        elif good[:2] == b"PK" and chance.random() < 0.8:
            good = _packed(good, chance)
        elif name.endswith(".yaml") and chance.random() < 0.75:
            good = _valued(good, chance)
        elif name.endswith(".csv") and chance.random() < 0.75:
            good = _celled(good, chance)
        else:
            good = chance.choice((_bytes, _lines, _nasty))(good, chance)
    return good


def _celled(good: bytes, chance: random.Random) -> bytes:
    """Another text in a random cell of a sheet."""
    try:
        rows = list(csv.reader(io.StringIO(good.decode("utf-8-sig"))))
    except (UnicodeDecodeError, csv.Error):
        return good
    if not any(rows):
        return good
    row = chance.choice([row for row in rows if row])
    other = chance.choice([row for row in rows if row])
    fresh = chance.choice((chance.choice(NASTY).decode("utf-8", "replace"), chance.choice(other)))
    row[chance.randrange(len(row))] = fresh
    out = io.StringIO(newline="")
    csv.writer(out).writerows(rows)
    return out.getvalue().encode("utf-8", "replace")


def _bytes(good: bytes, chance: random.Random) -> bytes:
    data = bytearray(good)
    for _ in range(chance.randint(1, 8)):
        if data:
            data[chance.randrange(len(data))] = chance.randrange(256)
    return bytes(data)


def _lines(good: bytes, chance: random.Random) -> bytes:
    lines = good.splitlines(keepends=True)
    if len(lines) < 2:
        return good[: chance.randint(0, len(good))]
    a, b = chance.randrange(len(lines)), chance.randrange(len(lines))
    what = chance.randrange(4)
    if what == 0:
        del lines[a]
    elif what == 1:
        lines.insert(a, lines[b])
    elif what == 2:
        lines[a], lines[b] = lines[b], lines[a]
    else:
        lines[a] = lines[a][: chance.randint(0, len(lines[a]))] + b"\n"
    return b"".join(lines)


def _nasty(good: bytes, chance: random.Random) -> bytes:
    at = chance.randint(0, len(good))
    return good[:at] + chance.choice(NASTY) + good[at + chance.choice((0, 0, 3, 20)) :]


def _valued(good: bytes, chance: random.Random) -> bytes:
    """Another value at a random place of a YAML file that can still be read."""
    try:
        data = yaml.safe_load(good)
    except Exception:  # PyYAML's own readers raise anything at all
        return good
    spots = list(_spots(data))
    if not spots:
        return good
    holder, key = chance.choice(spots)
    what = chance.randrange(3)
    if what == 0:
        holder[key] = chance.choice(VALUES)
    elif what == 1:
        other, other_key = chance.choice(spots)
        holder[key] = other[other_key] if other[other_key] is not holder else "x"
    else:
        del holder[key]
    try:
        dumper = yaml.SafeDumper
        dumper.ignore_aliases = lambda *a: True  # type: ignore[method-assign,assignment]
        return yaml.dump(data, Dumper=dumper, sort_keys=False, allow_unicode=True).encode()
    except (yaml.YAMLError, RecursionError, UnicodeEncodeError, TypeError):
        return good


def _spots(data: Any) -> Iterator[tuple[Any, Any]]:
    pairs = (
        list(data.items()) if isinstance(data, dict)
        else list(enumerate(data)) if isinstance(data, list) else []
    )  # fmt: skip
    for key, value in pairs:
        yield data, key
        yield from _spots(value)


def _typed(good: bytes, chance: random.Random) -> bytes:
    """A workbook with other kinds of values in some cells."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # it tells of what was spoiled before
            book = load_workbook(io.BytesIO(good))
        sheet = book.worksheets[0]
        for _ in range(chance.randint(1, 5)):
            row = chance.randint(1, max(1, min(sheet.max_row, 30)))
            column = chance.randint(1, max(1, min(sheet.max_column, 30)))
            sheet.cell(row=row, column=column).value = chance.choice(TYPED)
        out = io.BytesIO()
        book.save(out)
    except Exception:  # spoiled before, beyond what the library takes
        return good
    return out.getvalue()


def _packed(good: bytes, chance: random.Random) -> bytes:
    """An XLSX with one of its parts spoiled, dropped or doubled."""
    try:
        with zipfile.ZipFile(io.BytesIO(good)) as old:
            parts = [(info.filename, old.read(info)) for info in old.infolist()]
    except (zipfile.BadZipFile, OSError, ValueError, RuntimeError, NotImplementedError, EOFError):
        return _bytes(good, chance)
    except Exception:  # zlib.error and whatever else a broken package gives
        return _bytes(good, chance)
    at = chance.randrange(len(parts))
    name, content = parts[at]
    what = chance.randrange(8)
    if what == 0:
        del parts[at]
    elif what == 1:
        parts[at] = (chance.choice(("x", "xl/workbook.xml", "../x")), content)
    else:
        parts[at] = (name, chance.choice((_bytes, _nasty, _lines, _swapped))(content, chance))
    out = io.BytesIO()
    with warnings.catch_warnings(), zipfile.ZipFile(out, "w") as new:
        warnings.simplefilter("ignore")
        for name, content in parts:
            new.writestr(name, content)
    return out.getvalue()


def _swapped(good: bytes, chance: random.Random) -> bytes:
    """An XML attribute or text put in place of another."""
    pieces = good.split(b'"')
    if len(pieces) < 4:
        return _bytes(good, chance)
    a, b = chance.randrange(len(pieces)), chance.randrange(len(pieces))
    pieces[a] = chance.choice(
        (pieces[b], b"", b"-1", b"999999999", b"A0", b"XFE1048577", b"d", b"e")
    )
    return b'"'.join(pieces)


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
