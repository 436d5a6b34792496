"""The order of the rooms holds, and the check that guards it can fail."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

VAGUE = {"utils", "util", "helpers", "helper", "common", "base", "manager", "misc"}
SHADOWING = {"io", "csv", "logging", "json", "time", "types", "random", "queue", "calendar"}


def lint(folder: Path) -> subprocess.CompletedProcess[str]:
    command = Path(sys.executable).parent / "lint-imports"
    return subprocess.run(
        [command, "--no-cache"], cwd=folder, capture_output=True, text=True, check=False
    )


def test_every_import_follows_the_order_of_the_rooms(root: Path) -> None:
    done = lint(root)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "kept" in done.stdout


def test_a_planted_wrong_import_is_named(root: Path, tmp_path: Path) -> None:
    shutil.copytree(
        root / "walkgrade", tmp_path / "walkgrade", ignore=shutil.ignore_patterns("__pycache__")
    )
    shutil.copy(root / "pyproject.toml", tmp_path)
    planted = tmp_path / "walkgrade" / "matching" / "planted.py"
    planted.write_text("import os\nfrom walkgrade import workflow\n", encoding="utf-8")
    done = lint(tmp_path)
    assert done.returncode == 1, done.stdout + done.stderr
    assert "walkgrade.matching.planted -> walkgrade.workflow" in done.stdout
    assert "walkgrade.matching.planted -> os" in done.stdout


def test_no_module_has_a_vague_or_shadowing_name(root: Path) -> None:
    names = {path.stem: path for path in (root / "walkgrade").rglob("*.py")}
    assert not {name: path for name, path in names.items() if name in VAGUE | SHADOWING}


def test_modules_stay_within_400_lines(root: Path) -> None:
    long = {
        path.name: count
        for path in (root / "walkgrade").rglob("*.py")
        if (count := len(path.read_text(encoding="utf-8").splitlines())) > 400
    }
    assert not long
