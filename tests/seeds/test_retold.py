"""Retold lines: well-formed, of tune scripts alone, with ids that the script's checklist knows."""

from __future__ import annotations

import json
from functools import lru_cache
from pathlib import Path

import pytest

from seeds.retold import FOLDER, around, load_retold
from seeds.script import Script, load_script
from walkgrade.checklists.applicable import applicable
from walkgrade.checklists.library import find_checklist, find_profile
from walkgrade.errors import InputError

ROOT = Path(__file__).resolve().parents[2]
FILES = sorted(FOLDER.glob("*.jsonl"))
GOOD = {"text": "Cap is on.", "earns": ["front-axle.valve-stem.cap"], "wrong": []}


@lru_cache
def script(name: str) -> Script:
    return load_script(ROOT / "seeds" / "scripts" / f"{name}.yaml")


@lru_cache
def ids(checklist: str, profile: str) -> frozenset[str]:
    fitted = applicable(find_checklist(checklist), find_profile(profile))
    return frozenset(r.id for item in fitted.items for r in item.requirements)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_retold_line_fits_its_script(path: Path) -> None:
    for one in load_retold(path):
        told = script(one.of)
        assert told.lines[one.number - 1].who == "trainee", (one.of, one.number)
        known = ids(told.checklist, told.profile)
        said = {f"{i}.{s}" for i, shorts in (*one.line.earns, *one.line.wrong) for s in shorts}
        assert said <= known, (one.of, one.number, said - known)


def test_no_line_of_the_judges_scripts_is_retold() -> None:
    """The judge is fitted on them; the close reader must not know them."""
    reader = json.loads((ROOT / "models" / "run_reader" / "reader.json").read_text("utf-8"))
    kept_apart = set(reader["trained_on"]["without"])
    assert kept_apart
    assert not {one.of for path in FILES for one in load_retold(path)} & kept_apart


@pytest.mark.parametrize(
    ("body", "why"),
    [
        ("{", "no retold line"),
        (json.dumps({"of": "report-01", "line": 1, "variants": [GOOD]}), "of"),
        (json.dumps({"of": "tune-01", "line": 0, "variants": [GOOD]}), "line"),
        (json.dumps({"of": "tune-01", "line": 1, "variants": []}), "variants"),
        (json.dumps({"of": "tune-01", "line": 1, "variants": [GOOD | {"note": ""}]}), "note"),
    ],
)
def test_what_is_no_retold_line_is_refused(tmp_path: Path, body: str, why: str) -> None:
    place = tmp_path / "x.jsonl"
    place.write_text(body + "\n", "utf-8")
    with pytest.raises(InputError, match=why) as caught:
        list(load_retold(place))
    assert caught.value.code == "I91"


def test_a_retold_line_stands_among_the_lines_around_it(tmp_path: Path) -> None:
    place = tmp_path / "x.jsonl"
    body = {"of": "tune-01", "line": 3, "variants": [GOOD]}
    place.write_text(json.dumps(body) + "\n", "utf-8")
    one = next(load_retold(place))
    told = script("tune-01")
    stretch, number = around(one, told)
    assert number == 3
    assert stretch.lines[2].text == "Cap is on."
    assert stretch.lines[2].earns == (("front-axle.valve-stem", ("cap",)),)
    assert stretch.lines[:2] == told.lines[:2]
    assert stretch.lines[3:] == told.lines[3:5]
