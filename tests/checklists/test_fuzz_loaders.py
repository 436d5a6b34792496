"""Whatever comes in, loaders give a record or a WalkgradeError.

`python -m benchmarks.fuzz_loaders --minutes 3` runs the same for longer.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from benchmarks.fuzz_loaders import SMALL, Ear, run, sound, targets
from walkgrade.checklists.faults import FaultyFileError
from walkgrade.checklists.library import find_checklist, find_profile
from walkgrade.checklists.marked_yaml import MOST_BYTES
from walkgrade.checklists.records import Checklist
from walkgrade.checklists.sheet_cells import COLUMNS
from walkgrade.checklists.sheet_draft import Terms
from walkgrade.checklists.sheet_file import read_table
from walkgrade.checklists.sheet_in import import_sheet
from walkgrade.errors import WalkgradeError

FEW = settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)

# Found by fuzzing: what PyYAML's own readers cannot take, and files that never end.
CASES = {
    "no timestamp": (b"a: !!timestamp soon\n", "C02"),
    "no truth": (b"a: !!bool maybe\n", "C02"),
    "empty number": (b"a: !!int ''\n", "C02"),
    "number without digits": (b"format: 0b\n", "C02"),
    "endless number": (b"format: " + b"1" * 100_000 + b"\n", "C02"),
    "nothing by nothing": (b"format: 1/00\n", "C02"),
    "python": (b"a: !!python/object:os.system x\n", "C02"),
    "deep": (b"[" * 600 + b"]" * 600, "C01"),
    "deep, open": (b"{a: " * 100_000, "C01"),
    "too large": (b"a" * (MOST_BYTES + 1), "C01"),
}


@pytest.mark.parametrize("name", CASES)
def test_what_fuzzing_found(name: str, tmp_path: Path) -> None:
    content, code = CASES[name]
    path = tmp_path / "x.yaml"
    path.write_bytes(content)
    with pytest.raises(FaultyFileError) as caught:
        find_checklist(str(path))
    assert caught.value.code == code
    with pytest.raises(FaultyFileError):
        find_profile(str(path))


def test_the_seeds_are_sound(tmp_path: Path) -> None:
    for number, target in enumerate(targets()):
        place = tmp_path / str(number)
        place.mkdir()
        sound(target, place)


def test_a_short_run_of_the_fuzzer() -> None:
    tallies = run(seconds=20, seed=5, most=15)
    assert all(tally.runs > 0 for tally in tallies.values())
    finds = [(name, find[3]) for name, tally in tallies.items() for find in tally.finds]
    assert not finds


VALUES: Any = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8) | st.dates(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=6), inner),
    max_leaves=8,
)


def code_of(load: Callable[[], object]) -> str:
    """How a loader ended; anything but a record or a WalkgradeError fails the test."""
    try:
        load()
    except WalkgradeError as error:
        return error.code
    return "good"


def write_small(folder: Path) -> None:
    for name, text in SMALL.items():
        (folder / name).write_text(text, encoding="utf-8")


@FEW
@given(key=st.sampled_from(sorted(yaml.safe_load(SMALL["small.yaml"]))), value=VALUES)
def test_any_value_under_any_key_of_a_checklist(key: str, value: Any, tmp_path: Path) -> None:
    write_small(tmp_path)
    data = {**yaml.safe_load(SMALL["small.yaml"]), key: value}
    (tmp_path / "small.yaml").write_text(yaml.safe_dump(data), encoding="utf-8")
    assert code_of(lambda: find_checklist(str(tmp_path / "small.yaml"))) in ("good", "C01", "C02")


@FEW
@given(key=st.sampled_from(sorted(yaml.safe_load(SMALL["ours.yaml"]))), value=VALUES)
def test_any_value_under_any_key_of_an_overlay(key: str, value: Any, tmp_path: Path) -> None:
    write_small(tmp_path)
    data = {**yaml.safe_load(SMALL["ours.yaml"]), key: value}
    (tmp_path / "ours.yaml").write_text(yaml.safe_dump(data), encoding="utf-8")
    assert code_of(lambda: find_checklist(str(tmp_path / "ours.yaml"))) in ("good", "C01", "C06")


@FEW
@given(content=st.binary(max_size=400) | st.text(max_size=300).map(str.encode))
def test_any_bytes(content: bytes, tmp_path: Path) -> None:
    path = tmp_path / "x.yaml"
    path.write_bytes(content)
    for load in (find_checklist, find_profile):
        with pytest.raises(WalkgradeError):
            load(str(path))
    with pytest.raises(WalkgradeError):
        import_sheet(read_table(path), terms())


def terms() -> Terms:
    like: Checklist = find_checklist("school-bus-air-classic") if not _LIKE else _LIKE[0]
    _LIKE[:] = [like]
    return Terms(id="ours", title="Ours", like=like, parts=(), hear=lambda text: Ear())


_LIKE: list[Checklist] = []
CELL = st.text(max_size=12) | st.sampled_from(
    [
        "at least 4/32 in",
        "4 to 5",
        "yes",
        "lift is fitted",
        "works",
        "a; b",
        "cab.horn",
        "1/0",
        "'=",
    ]
)


@FEW
@given(rows=st.lists(st.lists(CELL, min_size=len(COLUMNS), max_size=len(COLUMNS)), max_size=4))
def test_any_cells(rows: list[list[str]], tmp_path: Path) -> None:
    out = io.StringIO(newline="")
    csv.writer(out).writerows([list(COLUMNS), *rows])
    path = tmp_path / "x.csv"
    path.write_text(out.getvalue(), encoding="utf-8", errors="replace", newline="")
    assert code_of(lambda: import_sheet(read_table(path), terms())) in ("good", "C07", "C08")
