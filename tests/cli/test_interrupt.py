"""Ctrl-C as a terminal sends it, while the recogniser works."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
REQUIRE_ALL = bool(os.environ.get("CI") or os.environ.get("WALKGRADE_REQUIRE_ALL"))


@pytest.mark.audio
@pytest.mark.skipif(os.name != "posix", reason="needs POSIX signals")
def test_a_real_interrupt_ends_at_once_and_says_how_to_go_on(tmp_path: Path) -> None:
    from walkgrade.speech.models import installed_models

    if not installed_models():
        if REQUIRE_ALL:
            pytest.fail("the speech models are not installed")
        pytest.skip("the speech models are not installed: make setup")
    sound = ROOT / "seeds" / "recordings" / "demo-full.opus"
    job = subprocess.Popen(
        [sys.executable, "-m", "walkgrade", "grade", sound, "--cache", tmp_path / "cache"],
        cwd=tmp_path,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        # a suite started in the background of a shell has Ctrl-C switched off, and hands that on
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    )
    time.sleep(8)
    assert job.poll() is None, "it ended before it could be interrupted"
    sent = time.monotonic()
    job.send_signal(signal.SIGINT)
    out, err = job.communicate(timeout=60)
    assert job.returncode == 130, out + err
    assert time.monotonic() - sent < 30
    assert "the same command goes on from there" in err
    assert "Traceback" not in err
    assert not list((tmp_path / "walkgrade-reports").iterdir())
