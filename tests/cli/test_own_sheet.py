"""`walkgrade checklist template`, `import`, `export`."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Command = Callable[..., Any]
SHEET = """Section,Place,Item,Say,Number,Source
Engine,Under the hood,Oil level,between add and full,,Yard sheet / 1
Wheels,Front axle,Tire tread,at least 4/32 inch,at least 4/32 in,Yard sheet / 2
Wheels,Front axle,Rabbit box,the rabbit does not hop,,Yard sheet / 2
"""


@pytest.mark.parametrize("name", ["our-sheet.csv", "mine.xlsx"])
def test_a_template_is_written_once(walkgrade: Command, name: str) -> None:
    words = () if name == "our-sheet.csv" else (name,)
    done = walkgrade("checklist", "template", *words)
    assert (done.status, done.out) == (0, f"written: {name}\n")
    again = walkgrade("checklist", "template", *words)
    assert again.status == 2
    assert "[I09]" in again.err
    assert walkgrade("checklist", "template", *words, "--replace").status == 0


def test_a_sheet_becomes_a_checklist_that_grades(walkgrade: Command, typed: Path) -> None:
    Path("yard.csv").write_text(SHEET, encoding="utf-8")
    done = walkgrade("checklist", "import", "yard.csv", "--title", "Our yard", "--minutes", "10")
    assert done.status == 0, done.err
    assert "written: yard.yaml (3 items)" in done.out
    guess = "no|not|never|without|nothing rabbit hop"
    assert f"the rabbit does not hop: wording [guess]: {guess}" in done.out
    told = Path("yard.decide.txt").read_text("utf-8")
    assert "What words should earn it?" in told
    assert "conditions [sure]: level" in told
    assert walkgrade("checklist", "check", "yard.yaml").status == 0
    assert "10 minutes; 3 items" in walkgrade("checklist", "show", "yard.yaml").out
    graded = walkgrade(
        "grade", typed, "-c", "yard.yaml", "-p", "yard-bus-air", "--write", "none", "--every-item"
    )
    assert graded.status == 0, graded.err
    assert "Rabbit box" in graded.out


def test_an_edited_checklist_is_not_written_over(walkgrade: Command) -> None:
    Path("yard.csv").write_text(SHEET, encoding="utf-8")
    Path("yard.yaml").write_text("mine", encoding="utf-8")
    assert "[I09]" in walkgrade("checklist", "import", "yard.csv").err
    assert Path("yard.yaml").read_text("utf-8") == "mine"


def test_faults_of_a_sheet_leave_nothing_behind(walkgrade: Command) -> None:
    Path("yard.csv").write_text(SHEET.replace("4/32 in,", "4 furlongs,"), encoding="utf-8")
    done = walkgrade("checklist", "import", "yard.csv")
    assert done.status == 2
    assert "[C08]" in done.err
    assert "yard.csv:3: number: unit 'furlongs'" in done.err
    assert not Path("yard.yaml").exists()


def test_export_and_import_give_the_same_rows(walkgrade: Command) -> None:
    name = "school-bus-air-classic"
    assert "rows)" in walkgrade("checklist", "export", name, "one.csv").out
    assert walkgrade("checklist", "export", name, "one.xlsx").status == 0
    for ending in ("csv", "xlsx"):
        made = walkgrade("checklist", "import", f"one.{ending}", "--out", f"{ending}.yaml")
        assert "0 things to decide" in made.out
        walkgrade("checklist", "export", f"{ending}.yaml", f"{ending}.csv")
        assert Path(f"{ending}.csv").read_bytes() == Path("one.csv").read_bytes()


def test_another_ending_is_refused(walkgrade: Command) -> None:
    done = walkgrade("checklist", "export", "school-bus-air-classic", "one.ods")
    assert done.status == 2
    assert "[C09]" in done.err
