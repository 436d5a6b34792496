"""The wheel holds all it needs and works away from the source tree."""

from __future__ import annotations

import os
import subprocess
import sys
import sysconfig
import zipfile
from pathlib import Path

import pytest

SENTENCES = """[00:02] Front axle, left side.
[00:05] Tyre: at least four thirty-seconds of tread, no cuts or bulges, properly inflated.
[00:15] Lug nuts, all present, tight, no rust trails.
"""


@pytest.fixture(scope="session")
def wheel(root: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", folder, root],
        check=True,
        capture_output=True,
    )
    return next(folder.glob("walkgrade-*.whl"))


@pytest.fixture(scope="session")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A fresh environment with the wheel; its dependencies are borrowed from this one."""
    place = tmp_path_factory.mktemp("elsewhere")
    subprocess.run(
        [sys.executable, "-m", "venv", "--without-pip", place / "env"],
        check=True,
        capture_output=True,
    )
    python = place / "env" / "bin" / "python"
    asked = [python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))"]
    site = Path(subprocess.run(asked, check=True, capture_output=True, text=True).stdout.strip())
    with zipfile.ZipFile(wheel) as packed:
        packed.extractall(site)
    # Appended last, and without following its .pth files, so the source tree stays out of reach.
    (site / "borrowed.pth").write_text(sysconfig.get_path("purelib") + "\n", encoding="utf-8")
    return python


def run(python: Path, *words: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    kept = {name: os.environ[name] for name in ("PATH", "HOME", "LANG") if name in os.environ}
    return subprocess.run(
        [python, "-m", "walkgrade", *words],
        cwd=cwd,
        env=kept,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
    )


def test_the_wheel_carries_data_beside_code(wheel: Path) -> None:
    names = zipfile.ZipFile(wheel).namelist()
    for needed in (
        "walkgrade/reference_checklists/",
        "walkgrade/reference_checklists/profiles/",
        "walkgrade/model_data/manifest.toml",
        "walkgrade/language/data/",
        "walkgrade/py.typed",
    ):
        assert any(name.startswith(needed) for name in names), needed
    assert not [name for name in names if name.startswith(("tests", "seeds", "benchmarks"))]
    sound = [name for name in names if name.endswith((".bin", ".wav", ".ogg", ".opus"))]
    assert sound
    assert all(name.startswith("walkgrade/demo_runs/demo-") for name in sound)


def test_every_data_file_of_the_tree_is_in_the_wheel(wheel: Path, tracked: list[Path]) -> None:
    root = Path(__file__).resolve().parents[2]
    names = set(zipfile.ZipFile(wheel).namelist())
    moved = {
        "reference_checklists": "walkgrade/reference_checklists",
        "models": "walkgrade/model_data",
    }
    wanted = set()
    for path in tracked:
        first, *rest = path.relative_to(root).parts
        if first == "walkgrade" or first in moved:
            wanted.add("/".join((moved.get(first, first), *rest)))
    assert len(wanted) > 20
    assert not wanted - names


def test_the_installed_command_runs_away_from_the_source(
    installed: Path, tmp_path: Path, root: Path
) -> None:
    code = "import walkgrade; print(walkgrade.__file__)"
    place = subprocess.run(
        [installed, "-c", code], cwd=tmp_path, check=True, capture_output=True, text=True
    ).stdout
    assert str(root) not in place
    done = run(installed, "checklist", "list", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "school-bus-air-classic" in done.stdout


def test_the_installed_command_grades_a_transcript(installed: Path, tmp_path: Path) -> None:
    (tmp_path / "run.txt").write_text(SENTENCES, encoding="utf-8")
    done = run(installed, "grade", "run.txt", "--out", "reports", cwd=tmp_path)
    assert done.returncode == 0, done.stdout + done.stderr
    assert (tmp_path / "reports" / "run.html").stat().st_size > 1000
    assert (tmp_path / "reports" / "run.json").is_file()


def test_the_installed_command_writes_sheets_and_a_profile(installed: Path, tmp_path: Path) -> None:
    done = run(installed, "paper", "numbers", cwd=tmp_path)
    assert done.returncode == 0, done.stdout + done.stderr
    kinds = sorted(path.suffix for path in (tmp_path / "walkgrade-paper").iterdir())
    assert kinds == [".html", ".pdf"]
    ended = run(installed, "vehicle", "bus.yaml", cwd=tmp_path)
    assert "[I10]" in ended.stderr  # no one is there to answer
    assert "1 of " in ended.stdout or "What do you call" in ended.stdout
