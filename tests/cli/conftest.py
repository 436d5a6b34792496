"""What the command line's tests share: a run of the command in process, and typed runs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from walkgrade.cli.main import run

TYPED = """[00:02] Front axle, left side.
[00:06] Steer tyre: at least four thirty-seconds of tread depth, checked with a gauge.
[00:14] No cuts, no bulges, even wear, and properly inflated by gauge.
[00:22] Lug nuts: all present, tight, no rust trails around them.
[00:30] Under the hood. Oil level between add and full, no leaks.
"""


@dataclass(frozen=True, slots=True)
class Done:
    """How a command ended."""

    status: int
    out: str
    err: str


Command = Callable[..., Done]


@pytest.fixture(autouse=True)
def own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Cache, crash files and the current folder lie in the test's own folder."""
    monkeypatch.setenv("WALKGRADE_CACHE", str(tmp_path / "cache"))
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setenv("COLUMNS", "100")
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")


@pytest.fixture
def walkgrade(capsys: pytest.CaptureFixture[str]) -> Command:
    """Run the command in this process."""

    def command(*words: object) -> Done:
        capsys.readouterr()
        try:
            status = run([str(word) for word in words])
        except SystemExit as end:  # argparse ends this way after --help and --version
            status = int(end.code or 0)
        shown = capsys.readouterr()
        return Done(status, shown.out, shown.err)

    return command


@pytest.fixture
def typed(tmp_path: Path) -> Path:
    """A short typed run."""
    path = tmp_path / "typed.txt"
    path.write_text(TYPED, encoding="utf-8")
    return path
