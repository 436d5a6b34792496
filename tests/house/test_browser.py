"""The report page in a real browser: it is drawn, its script runs, nothing is refused."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from matplotlib.image import imread

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


@pytest.mark.parametrize("width", [1180, 500])
def test_the_page_is_drawn_within_its_window(
    browse: Browse, page: Path, tmp_path: Path, width: int
) -> None:
    picture = tmp_path / "page.png"
    browse(f"--screenshot={picture}", page.as_uri(), width=width)
    pixels = imread(picture)[:, :, :3]
    assert pixels.shape[1] == width
    ink = np.mean(pixels.min(axis=2) < 0.5)
    assert 0.005 < ink < 0.5


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
    picture = tmp_path / "page.png"
    browse(f"--screenshot={picture}", group_page.as_uri(), width=width)
    pixels = imread(picture)[:, :, :3]
    assert pixels.shape[1] == width
    ink = np.mean(pixels.min(axis=2) < 0.5)
    assert 0.005 < ink < 0.5
    text = group_page.read_text("utf-8").replace(
        "</body>",
        "<script>document.title = 'wide ' + (document.documentElement.scrollWidth - innerWidth)"
        "</script></body>",
    )
    measured = tmp_path / "measured.html"
    measured.write_text(text.replace("default-src 'none'", "default-src 'unsafe-inline'"), "utf-8")
    seen = browse("--dump-dom", measured.as_uri(), width=width).stdout
    assert "<title>wide 0</title>" in seen or "<title>wide -" in seen, seen[:400]
