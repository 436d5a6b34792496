"""What the house tests share: the source tree, and whether a missing tool may be skipped."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
REQUIRE_ALL = bool(os.environ.get("CI") or os.environ.get("WALKGRADE_REQUIRE_ALL"))


@pytest.fixture(scope="session")
def root() -> Path:
    """The top of the source tree."""
    return ROOT


@pytest.fixture(scope="session")
def tracked(root: Path) -> list[Path]:
    """Every file that git tracks and that is there."""
    if not shutil.which("git") or not (root / ".git").exists():
        if REQUIRE_ALL:
            pytest.fail("git or the repository is missing")
        pytest.skip("not a git checkout")
    listing = subprocess.run(
        ["git", "-c", f"safe.directory={root}", "ls-files", "-z"],
        cwd=root,
        check=True,
        capture_output=True,
        text=True,
    ).stdout
    files = [root / name for name in listing.split("\0") if name]
    return [file for file in files if file.is_file()]
