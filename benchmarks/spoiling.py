"""Good files spoiled in bytes, lines, values and, for XLSX, in the parts of the package.

Public: `spoiled`.
"""

from __future__ import annotations

import csv
import io
import random
import warnings
import zipfile
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from typing import Any

import yaml
from openpyxl import load_workbook

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
