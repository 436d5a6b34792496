"""The pages in a real browser: drawn and printed, their script runs, nothing is refused."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from matplotlib.image import imread
from paper_pairs import tight
from pypdf import PdfReader

from walkgrade.checklists.applicable import applicable
from walkgrade.checklists.library import find_checklist, find_profile
from walkgrade.cli.main import run
from walkgrade.reports.document import read_document
from walkgrade.reports.page import write_page

REQUIRE_ALL = bool(os.environ.get("CI") or os.environ.get("WALKGRADE_REQUIRE_ALL"))
TYPED = "[00:02] Oil level, between add and full.\n[00:09] Front axle. Lug nuts, none missing.\n"

Browse = Callable[..., subprocess.CompletedProcess[str]]


@pytest.fixture
def browse(tmp_path: Path) -> Browse:
    """Run Chromium without a window; fails or skips when there is none."""
    names = ("chromium", "chromium-browser", "google-chrome")
    browser = next(filter(None, map(shutil.which, names)), None)
    if browser is None:
        if REQUIRE_ALL:
            pytest.fail("Chromium is missing")
        pytest.skip("Chromium is missing")
    root = hasattr(os, "geteuid") and os.geteuid() == 0

    def start(*words: str, width: int = 1180) -> subprocess.CompletedProcess[str]:
        quiet = [
            "--headless",
            "--disable-gpu",
            "--no-first-run",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            "--disable-quic",
            "--hide-scrollbars",
            "--enable-logging=stderr",
        ]
        command = [
            browser,
            *quiet,
            *(["--no-sandbox"] if root else []),
            f"--user-data-dir={tmp_path / 'browser'}",
            f"--window-size={width},1400",
            *words,
        ]
        return subprocess.run(command, capture_output=True, text=True, check=True, timeout=120)

    return start


@pytest.fixture
def page(tmp_path: Path) -> Path:
    """The page of a short typed run, with a player for a recording beside it."""
    (tmp_path / "run.txt").write_text(TYPED, encoding="utf-8")
    assert run(["grade", str(tmp_path / "run.txt"), "--out", str(tmp_path)]) == 0
    place = tmp_path / "run.html"
    write_page(place, read_document(tmp_path / "run.json"), audio="./run.wav")
    return place


def complaints(log: str) -> list[str]:
    return [line for line in log.splitlines() if "CONSOLE" in line or "Refused" in line]


def test_the_watch_hears_a_complaint(browse: Browse, tmp_path: Path) -> None:
    broken = tmp_path / "broken.html"
    broken.write_text("<script>throw new Error('planted')</script>", encoding="utf-8")
    assert any(
        "planted" in line for line in complaints(browse("--dump-dom", broken.as_uri()).stderr)
    )


def test_the_page_runs_without_complaint(browse: Browse, page: Path) -> None:
    done = browse("--dump-dom", page.as_uri())
    assert "Practice evidence, not official" in done.stdout
    assert "<audio" in done.stdout
    assert complaints(done.stderr) == []


def assert_drawn(browse: Browse, page: Path, picture: Path, width: int) -> None:
    """The page fills a window of that width with some ink, and not too much."""
    browse(f"--screenshot={picture}", page.as_uri(), width=width)
    pixels = imread(picture)[:, :, :3]
    assert pixels.shape[1] == width
    ink = np.mean(pixels.min(axis=2) < 0.5)
    assert 0.005 < ink < 0.5


def assert_no_wider(browse: Browse, page: Path, copy: Path, width: int) -> None:
    """The page does not scroll sideways; a script in a copy of it measures that."""
    text = page.read_text("utf-8").replace(
        "</body>",
        "<script>document.title = 'wide ' + (document.documentElement.scrollWidth - innerWidth)"
        "</script></body>",
    )
    copy.write_text(text.replace("default-src 'none'", "default-src 'unsafe-inline'"), "utf-8")
    seen = browse("--dump-dom", copy.as_uri(), width=width).stdout
    assert "<title>wide 0</title>" in seen or "<title>wide -" in seen, seen[:400]


@pytest.mark.parametrize("width", [1180, 500])
def test_the_page_is_drawn_within_its_window(
    browse: Browse, page: Path, tmp_path: Path, width: int
) -> None:
    assert_drawn(browse, page, tmp_path / "page.png", width)


@pytest.fixture
def group_page(page: Path, tmp_path: Path) -> Path:
    """The page of a group of two trainees, one with two runs."""
    for number, who in enumerate(("T-01", "T-02", "T-01")):
        run_text = f"{TYPED}[00:{20 + number}] Horn works.\n"
        (tmp_path / f"g{number}.txt").write_text(run_text, encoding="utf-8")
        words = ["--trainee", who, "--out", str(tmp_path / "group"), "--write", "json"]
        assert run(["grade", str(tmp_path / f"g{number}.txt"), *words]) == 0
    out = tmp_path / "overview"
    assert run(["cohort", str(tmp_path / "group"), "--out", str(out), "--write", "html"]) == 0
    return out / "cohort.html"


def test_the_page_of_a_group_runs_without_complaint(browse: Browse, group_page: Path) -> None:
    done = browse("--dump-dom", group_page.as_uri())
    assert "Item by item" in done.stdout
    assert "<img" in done.stdout
    assert complaints(done.stderr) == []


@pytest.mark.parametrize("width", [1180, 500])
def test_the_page_of_a_group_is_drawn_within_its_window(
    browse: Browse, group_page: Path, tmp_path: Path, width: int
) -> None:
    """Wide tables scroll in their own frames; the page itself never does."""
    assert_drawn(browse, group_page, tmp_path / "page.png", width)
    assert_no_wider(browse, group_page, tmp_path / "measured.html", width)


@pytest.fixture
def sheets(tmp_path: Path) -> dict[str, Path]:
    """The three sheets of the longest shipped list, as pages."""
    words = ["-c", "tractor-trailer-classic", "-p", "yard-tractor-trailer", "--write", "html"]
    assert run(["paper", *words, "--out", str(tmp_path / "paper")]) == 0
    return {path.stem.split("-")[-1]: path for path in (tmp_path / "paper").iterdir()}


@pytest.mark.parametrize("width", [1180, 500])
def test_sheets_to_print_are_drawn_within_their_window(
    browse: Browse, sheets: dict[str, Path], tmp_path: Path, width: int
) -> None:
    assert sorted(sheets) == ["clipboard", "numbers", "study"]
    for sheet in sheets.values():
        assert complaints(browse("--dump-dom", sheet.as_uri(), width=width).stderr) == []
        assert_drawn(browse, sheet, tmp_path / "sheet.png", width)
        assert_no_wider(browse, sheet, tmp_path / "measured.html", width)


@pytest.mark.parametrize("paper", ["letter", "A4"])
def test_the_browser_prints_whole_rows_repeated_heads_and_a_card_of_one_page(
    browse: Browse, sheets: dict[str, Path], tmp_path: Path, paper: str
) -> None:
    pages = {name: printed(browse, sheet, tmp_path, paper) for name, sheet in sheets.items()}
    assert len(pages["numbers"]) == 1
    list_ = applicable(
        find_checklist("tractor-trailer-classic"), find_profile("yard-tractor-trailer")
    )
    titles = [tight(section.title) for section in list_.sections]
    for name in ("clipboard", "study"):
        assert all(any(title in page for title in titles) for page in pages[name][:-1])
        for item in list_.items:
            texts = [item.title, item.caution, *(r.says for r in item.requirements if r.required)]
            assert any(all(tight(text) in page for text in texts) for page in pages[name]), item.id


def printed(browse: Browse, sheet: Path, folder: Path, paper: str) -> list[str]:
    """The text of each page as Chromium prints it, without white space."""
    sized = folder / f"sized-{sheet.name}"
    text = sheet.read_text("utf-8")
    sized.write_text(text.replace("@page {", f"@page {{ size: {paper};", 1), "utf-8")
    out = folder / "printed.pdf"
    browse(f"--print-to-pdf={out}", "--no-pdf-header-footer", sized.as_uri())
    return [tight(page.extract_text()) for page in PdfReader(out).pages]
