"""Nothing is asked of the network while a run is graded."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from walkgrade.reports.document import parse_document

REQUIRE_ALL = bool(os.environ.get("CI") or os.environ.get("WALKGRADE_REQUIRE_ALL"))

# A library binds a socket to this machine's own loopback to learn whether IPv6 is there; that
# reaches nobody. Looking up a name, connecting and sending is what would.
WATCH = """
import sys
asked = []
REACHING = ("connect", "getaddrinfo", "gethostbyname", "gethostbyaddr", "sendto", "sendmsg")
def hook(event, arguments):
    if event.startswith("socket.") and event.removeprefix("socket.") in REACHING:
        asked.append((event, arguments))
sys.addaudithook(hook)
"""


def watched(code: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", WATCH + code], cwd=cwd, capture_output=True, text=True, check=False
    )


def test_the_watch_sees_a_connection(root: Path) -> None:
    code = """
import socket
try:
    socket.create_connection(("127.0.0.1", 9), timeout=1)
except OSError:
    pass
print(len(asked))
"""
    assert int(watched(code, root).stdout) > 0


def test_grading_a_transcript_opens_no_connection(root: Path, tmp_path: Path) -> None:
    script = tmp_path / "run.txt"
    script.write_text("[00:02] Oil level, between add and full, no leaks.\n", encoding="utf-8")
    code = f"""
from walkgrade.cli.main import run
status = run(["grade", {str(script)!r}, "--out", {str(tmp_path / "out")!r}])
print("status", status, "asked", asked)
"""
    done = watched(code, root)
    assert done.stdout.strip().endswith("status 0 asked []"), done.stdout[-800:] + done.stderr


def without_network() -> list[str]:
    """Words that start a command in a world without any network interface, where possible."""
    for words in (["unshare", "--net"], ["unshare", "--net", "--map-root-user"]):
        if shutil.which("unshare") and not subprocess.run([*words, "true"], check=False).returncode:
            return words
    return []


def need_speech_models() -> None:
    """Skip without the speech models, or fail where everything must be there."""
    from walkgrade.speech.models import installed_models

    if not installed_models():
        if REQUIRE_ALL:
            pytest.fail("the speech models are not installed")
        pytest.skip("the speech models are not installed: make setup")


@pytest.mark.audio
def test_grading_sound_asks_for_no_network_and_needs_none(root: Path, tmp_path: Path) -> None:
    need_speech_models()
    run = root / "seeds" / "recordings" / "demo-short.opus"
    out = tmp_path / "out"
    words = ["grade", str(run), "--out", str(out), "--cache", str(tmp_path / "cache")]
    code = (
        f"{WATCH}\nfrom walkgrade.cli.main import run\n"
        f"status = run({words!r})\nprint('status', status, 'asked', asked)\n"
    )
    done = subprocess.run(
        [*without_network(), sys.executable, "-c", code],
        cwd=root,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stdout.strip().endswith("status 0 asked []"), done.stdout[-800:] + done.stderr
    document = parse_document((out / "demo-short.json").read_text("utf-8"))
    assert document["provenance"]["transcript"]["origin"] == "recognised"
    assert document["provenance"]["transcript"]["model"] == "trade"
    assert document["totals"]["complete"] > 0
    page = (out / "demo-short.html").read_text("utf-8")
    assert "data:audio/ogg;base64," in page
    assert not re.search(r"(?:src|href)\s*=\s*[\"']?(?:https?:)?//", page)


@pytest.mark.audio
def test_hearing_while_recording_asks_for_no_network(root: Path, tmp_path: Path) -> None:
    """Not even for a model that only a download could bring."""
    need_speech_models()
    run = root / "seeds" / "recordings" / "demo-short.opus"
    for model, end in (("tiny.en", "kept"), ("some/model", "refused")):
        code = f"""{WATCH}
import threading
from walkgrade.speech import ahead
class Input:
    def readline(self):
        return ahead.Order(path={str(run)!r}, bytes_a_second=8000, model={model!r}, device="cpu",
                           cache_dir={str(tmp_path)!r}).line()
    def __iter__(self):
        yield "stop"
        threading.Event().wait()
sys.stdin = Input()
print("status", ahead.main(), "asked", asked, flush=True)
"""
        out = watched(code, root).stdout.splitlines()
        assert out[-1] == "status 0 asked []"
        assert f'"end": "{end}"' in out[-2]
