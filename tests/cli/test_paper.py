"""`walkgrade paper`: which files are written, and what is refused."""

from __future__ import annotations

from pathlib import Path

import pytest

from walkgrade.cli.paper import SHEETS
from walkgrade.paper.pdf import SIZES
from walkgrade.paper.records import Kind

BASE = "school-bus-air-classic-yard-bus-air"


def names(folder: str = "walkgrade-paper") -> list[str]:
    return sorted(path.name for path in Path(folder).iterdir())


def test_all_sheets_are_written_as_pages_and_pdf(walkgrade) -> None:
    done = walkgrade("paper")
    assert done.status == 0, done.err
    wanted = sorted(f"{BASE}-{kind}.{end}" for kind in Kind for end in ("html", "pdf"))
    assert names() == wanted
    assert sorted(Path(line).name for line in done.out.splitlines()) == wanted
    assert "Yard bus with air brakes" in done.err


def test_the_words_of_the_command_are_the_kinds_of_sheet() -> None:
    assert list(SHEETS) == [str(kind) for kind in Kind]
    assert set(SIZES) == {"letter", "a4"}


def test_one_sheet_in_one_form_for_another_bus(walkgrade) -> None:
    done = walkgrade(
        "paper", "clipboard", "-p", "yard-bus-lift", "--write", "html", "-o", "out",
        "--trainee", "T-07", "--instructor", "J. Ortiz", "--date", "6 March", "--vehicle", "14",
    )  # fmt: skip
    assert done.status == 0, done.err
    assert names("out") == ["school-bus-air-classic-yard-bus-lift-clipboard.html"]
    text = next(Path("out").iterdir()).read_text("utf-8")
    for given in ("T-07", "J. Ortiz", "6 March", ">14<", "wheelchair lift"):
        assert given in text


def test_the_same_words_give_the_same_files(walkgrade) -> None:
    for folder in ("one", "two"):
        assert walkgrade("paper", "-o", folder).status == 0
    for name in names("one"):
        assert Path("one", name).read_bytes() == Path("two", name).read_bytes()


@pytest.mark.parametrize(
    ("words", "status", "text"),
    [
        (["clipbord"], 2, "[I01]"),
        (["--size", "b5"], 2, "[I01]"),
        (["--write", "docx"], 2, "[I01]"),
        (["-c", "school-bus-clasic"], 2, "[C03]"),
        (["-p", "no-such-bus"], 2, "[C03]"),
    ],
)
def test_refused(walkgrade, words: list[str], status: int, text: str) -> None:
    done = walkgrade("paper", *words)
    assert done.status == status
    assert text in done.err
    assert not Path("walkgrade-paper").exists()


def test_a_vehicle_of_another_kind_is_refused(walkgrade) -> None:
    (Path("odd.yaml")).write_text("format: 1\nid: odd\ntitle: Odd\nfitted: {lift: none}\n", "utf-8")
    done = walkgrade("paper", "-p", "odd.yaml")
    assert done.status == 2
    assert "[C05]" in done.err


def test_a_folder_that_cannot_be_written(walkgrade) -> None:
    Path("taken").write_text("a file", "utf-8")
    done = walkgrade("paper", "numbers", "-o", "taken")
    assert done.status == 3
    assert "[O01]" in done.err
