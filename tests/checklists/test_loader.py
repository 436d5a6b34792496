"""Checklists load, and every fault is told with its file, line and path."""

from __future__ import annotations

import random
import shutil
from fractions import Fraction
from pathlib import Path

import pytest
from checklist_writer import GOOD, SHARED, write_small
from fault_rows import BAD
from hypothesis import given, settings
from hypothesis import strategies as st

from walkgrade.checklists.faults import FaultyFileError
from walkgrade.checklists.library import reference_folder
from walkgrade.checklists.loader import load_checklist, load_profile
from walkgrade.checklists.records import Comparator, Kind
from walkgrade.checklists.schema import parse_number
from walkgrade.errors import ChecklistError, Fault


def test_a_good_checklist_becomes_records(tmp_path: Path) -> None:
    checklist = load_checklist(write_small(tmp_path))
    assert [item.id for item in checklist.items] == [
        "engine.oil-level", "front-axle.tread", "rear-axle.tread", "check.stop", "check.hold",
    ]  # fmt: skip
    assert [item.step for item in checklist.items] == [0, 0, 0, 1, 2]
    assert checklist.budget_s == 180
    front, rear = checklist.items[1:3]
    assert front.title == "Tread, front axle"
    assert front.carry_over == ("rear-axle.tread",)
    depth, even = rear.requirements
    assert depth.id == "rear-axle.tread.depth"
    assert depth.says == "at least 2/32 inch"
    assert depth.kind is Kind.LIMIT
    assert depth.limit is not None
    assert depth.limit.low == Fraction(1, 8)
    assert depth.limit.comparator is Comparator.AT_LEAST
    assert (depth.required, even.required) == (True, False)
    assert depth.row == "W2"
    assert depth.basis[0].title == "Manual"
    assert checklist.items[3].requirements[0].kind is Kind.ACTION
    assert hash(checklist) is not None, "a list slipped into a record"


def test_the_digest_covers_every_file(tmp_path: Path) -> None:
    before = load_checklist(write_small(tmp_path)).sha256
    changed = write_small(tmp_path, shared=(("Worn tread slides", "Worn tread slips"),))
    assert len(before) == 64
    assert load_checklist(changed).sha256 != before
    assert load_checklist(write_small(tmp_path)).sha256 == before


def test_an_item_may_change_drop_and_add(tmp_path: Path) -> None:
    path = write_small(
        tmp_path,
        ("        place: front-axle\n", "        place: front-axle\n        names_add: [thread]\n"),
        ("        requires_change:\n          depth: {says: at least 2/32 inch}\n",
         "        requires_drop: [even]\n"),
    )  # fmt: skip
    front, rear = load_checklist(path).items[1:3]
    assert front.names == ("tread", "thread")
    assert [r.id for r in rear.requirements] == ["rear-axle.tread.depth"]


@pytest.mark.parametrize("name", BAD)
def test_each_fault_is_told_where_it_stands(name: str, tmp_path: Path) -> None:
    bad = BAD[name]
    change = (bad.old, bad.new)
    path = write_small(tmp_path, shared=(change,)) if bad.shared else write_small(tmp_path, change)
    with pytest.raises(ChecklistError) as caught:
        load_checklist(path)
    assert isinstance(caught.value, FaultyFileError)
    assert caught.value.code == "C02"
    found = [f for f in caught.value.faults if f.path == bad.at and bad.says in f.message]
    assert len(found) == 1, [str(f) for f in caught.value.faults]
    assert str(found[0]) in str(caught.value)
    file = "shared.yaml" if bad.shared else "small.yaml"
    assert found[0].file == file
    if bad.at in ("vehicle", "budget_minutes"):
        return
    lines = (tmp_path / file).read_text().splitlines()
    changed = _changed_lines(SHARED if bad.shared else GOOD, lines)
    # The fault stands on a changed line, or on the entry that the changed lines belong to.
    near = range(min(changed) - 9, max(changed) + 2)
    assert found[0].line in near, (found[0].line, changed)


def _changed_lines(before: str, after: list[str]) -> list[int]:
    old = before.splitlines()
    first = next(
        (i for i, (a, b) in enumerate(zip(old, after, strict=False)) if a != b),
        min(len(old), len(after)),
    )
    return list(range(first + 1, first + 2 + max(0, len(after) - len(old))))


EXACT = {
    "bare no": "names: [no]",
    "unknown concept": "levle",
    "bad fraction": "4/0",
    "comparator and side": "at most",
    "unknown part": "thread",
    "duplicate item": "id: check.stop",
    "unknown unit": "inch",
    "include missing": "gone.yaml",
    "duplicate key": "row: E3",
    "unknown key": "reason:",
    "bare word in a rule": "brakes: no",
}


@pytest.mark.parametrize("name", EXACT)
def test_the_line_is_exact(name: str, tmp_path: Path) -> None:
    bad = BAD[name]
    change = (bad.old, bad.new)
    path = write_small(tmp_path, shared=(change,)) if bad.shared else write_small(tmp_path, change)
    with pytest.raises(FaultyFileError) as caught:
        load_checklist(path)
    lines = (tmp_path / ("shared.yaml" if bad.shared else "small.yaml")).read_text().splitlines()
    wanted = [number for number, text in enumerate(lines, 1) if EXACT[name] in text][-1]
    assert [f.line for f in caught.value.faults if f.path == bad.at] == [wanted]


def test_all_faults_come_at_once(tmp_path: Path) -> None:
    """A fault of shape does not hide faults of meaning, in either file."""
    path = write_small(
        tmp_path,
        ('version: "1.0"', "version: 1.10"),
        ("concepts: [level]", "concepts: [levle]"),
        ("        place: rear-axle\n", "        place: rear-axel\n        colour: red\n"),
        ("names: [hold the pedal]", "names: []"),
        shared=(("unit: in,", "unit: inch,"), ("concepts: [even_wear]", "concepts: [odd_wear]")),
    )
    with pytest.raises(FaultyFileError) as caught:
        load_checklist(path)
    assert {(f.file, f.path) for f in caught.value.faults} == {
        ("small.yaml", "version"),
        ("small.yaml", "sections[0].items[0].requires[0].concepts[0]"),
        ("small.yaml", "sections[0].items[2].place"),
        ("small.yaml", "sections[0].items[2].colour"),
        ("small.yaml", "sections[1].items[1].names"),
        ("shared.yaml", "parts.tread.requires[0].limit.unit"),
        ("shared.yaml", "parts.tread.optional[0].concepts[0]"),
    }
    assert "7 faults" in str(caught.value)


RING = """
      - {part: tread, id: front-axle.a, place: front-axle, carry_over: [front-axle.b]}
      - {part: tread, id: front-axle.b, place: front-axle, carry_over: [front-axle.c]}
      - {part: tread, id: front-axle.c, place: front-axle, carry_over: [front-axle.a]}
"""
GROUP = (
    RING.replace("[front-axle.b]", "[front-axle.b, front-axle.c]")
    .replace(" carry_over: [front-axle.c]}", " carry_over: [front-axle.c, front-axle.a]}")
    .replace(" carry_over: [front-axle.a]}", " carry_over: [front-axle.a, front-axle.b]}")
)


def test_a_ring_of_carry_over_is_refused(tmp_path: Path) -> None:
    place = "  - id: check\n    title: Check"
    with pytest.raises(FaultyFileError) as caught:
        load_checklist(write_small(tmp_path, (place, RING.strip("\n") + "\n" + place)))
    assert len(caught.value.faults) == 3
    assert all("circle" in fault.message for fault in caught.value.faults)


def test_a_group_that_all_name_each_other_is_fine(tmp_path: Path) -> None:
    place = "  - id: check\n    title: Check"
    checklist = load_checklist(write_small(tmp_path, (place, GROUP.strip("\n") + "\n" + place)))
    assert checklist.items[3].carry_over == ("front-axle.b", "front-axle.c")


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"format: [1\nid: {x", "line 2"),
        (b"format: 1\nid: \xff\xfe", "line 2: is not UTF-8"),
        (b"a: &x [*x]", "line 1: is used again by an alias"),
        (b"b: &x {c: 1}\nd: *x", "line 1: is used again by an alias"),
        (b"\tformat: 1", "line 1"),
    ],
)
def test_what_is_no_yaml_is_c01_with_its_line(content: bytes, says: str, tmp_path: Path) -> None:
    path = tmp_path / "bad.yaml"
    path.write_bytes(content)
    with pytest.raises(FaultyFileError) as caught:
        load_checklist(path)
    assert caught.value.code == "C01"
    assert says in str(caught.value)
    assert caught.value.faults[0].file == "bad.yaml"


@pytest.mark.parametrize("text", ["", "- a\n- b\n", "just words\n", "5\n"])
def test_yaml_that_is_no_checklist_is_c02(text: str, tmp_path: Path) -> None:
    path = tmp_path / "bad.yaml"
    path.write_text(text)
    with pytest.raises(FaultyFileError) as caught:
        load_checklist(path)
    assert caught.value.code == "C02"
    assert "mapping" in caught.value.faults[0].message


def test_a_missing_file_is_c01(tmp_path: Path) -> None:
    with pytest.raises(FaultyFileError) as caught:
        load_checklist(tmp_path / "none.yaml")
    assert caught.value.code == "C01"


def test_broken_yaml_in_an_include_is_told_with_its_own_line(tmp_path: Path) -> None:
    path = write_small(tmp_path)
    (tmp_path / "shared.yaml").write_text("sources: {\nplaces: [\n")
    with pytest.raises(FaultyFileError) as caught:
        load_checklist(path)
    assert ("shared.yaml", 2) in {(f.file, f.line) for f in caught.value.faults} or (
        "shared.yaml",
        3,
    ) in {(f.file, f.line) for f in caught.value.faults}
    assert any(f.path == "include[0]" for f in caught.value.faults)


PROFILE = "format: 1\nid: bus\ntitle: Bus\nfitted:\n  brakes: air\n"


def test_a_profile_loads(tmp_path: Path) -> None:
    path = tmp_path / "bus.yaml"
    path.write_text(PROFILE)
    profile = load_profile(path)
    assert profile.fitted == (("brakes", "air"),)


@pytest.mark.parametrize(
    ("old", "new", "at", "line"),
    [
        ("brakes: air", "brakes: no", "fitted.brakes", 5),
        ("title: Bus", "tittle: Bus", "tittle", 3),
        ("title: Bus\n", "", "title", 1),
        ("format: 1", "format: one", "format", 1),
        ("brakes: air", "Brakes: air", "fitted.Brakes", 5),
    ],
)
def test_profile_faults_are_c04(old: str, new: str, at: str, line: int, tmp_path: Path) -> None:
    path = tmp_path / "bus.yaml"
    path.write_text(PROFILE.replace(old, new))
    with pytest.raises(FaultyFileError) as caught:
        load_profile(path)
    assert caught.value.code == "C04"
    assert (at, line) in {(f.path, f.line) for f in caught.value.faults}


@pytest.mark.parametrize(
    ("given", "value"),
    [
        (3, Fraction(3)),
        ("4/32", Fraction(1, 8)),
        ("1 1/2", Fraction(3, 2)),
        ("2.5", Fraction(5, 2)),
    ],
)
def test_numbers_are_exact(given: object, value: Fraction) -> None:
    assert parse_number(given) == value


@pytest.mark.parametrize(
    "given", [1.5, True, None, "", "-1", "1/0", "4 /32", "1e3", "three", -2, []]
)
def test_other_numbers_are_refused(given: object) -> None:
    with pytest.raises(ValueError, match="is no number"):
        parse_number(given)


@given(st.integers(0, 500), st.integers(1, 64), st.integers(0, 9))
def test_any_fraction_reads_back(top: int, bottom: int, whole: int) -> None:
    assert parse_number(f"{top}/{bottom}") == Fraction(top, bottom)
    assert parse_number(f"{whole} {top}/{bottom}") == whole + Fraction(top, bottom)


def _faults(path: Path) -> tuple[Fault, ...] | None:
    """The faults of a file, None when it loads; any other exception goes through."""
    try:
        load_checklist(path)
    except FaultyFileError as error:
        return error.faults
    return None


def _spoil(lines: list[str], rng: random.Random) -> None:
    at = rng.randrange(len(lines))
    match rng.randrange(4):
        case 0:
            del lines[at]
        case 1:
            lines[at] = (
                lines[at].partition(": ")[0]
                + ": "
                + rng.choice(
                    ["null", "[]", "{}", "no", "1.10", "-", "[1, 2]", "{a: 1}", "*a", "!!int x"]
                )
            )
        case 2:
            lines.insert(at, lines[at])
        case _:
            lines[at] = lines[at].replace(rng.choice(["id", "says", "row", "low", "part"]), "zzz")


@settings(max_examples=40, deadline=None)
@given(seed=st.integers(0, 10_000), file=st.sampled_from(["small.yaml", "shared.yaml"]))
def test_no_spoilt_file_gets_past_or_crashes(
    seed: int, file: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Whatever is broken: either records, or faults that name a file; never another exception."""
    folder = tmp_path_factory.mktemp("spoilt")
    path = write_small(folder)
    rng = random.Random(seed)
    lines = (folder / file).read_text().splitlines()
    for _ in range(rng.randint(1, 4)):
        _spoil(lines, rng)
    (folder / file).write_text("\n".join(lines))
    faults = _faults(path)
    assert faults is None or faults
    assert all(fault.file in ("small.yaml", "shared.yaml") for fault in faults or ())


def test_the_shipped_files_survive_spoiling(tmp_path: Path) -> None:
    for path in reference_folder().glob("*.yaml"):
        shutil.copy(path, tmp_path)
    parts = tmp_path / "parts.yaml"
    whole = parts.read_text("utf-8")
    refused = 0
    for seed in range(12):
        lines = whole.splitlines()
        rng = random.Random(seed)
        for _ in range(3):
            _spoil(lines, rng)
        parts.write_text("\n".join(lines), "utf-8")
        faults = _faults(tmp_path / "school-bus-air-classic.yaml")
        refused += faults is not None
        assert len(faults or ()) < 40, "three slips must not bring a flood of faults"
    assert refused >= 8
