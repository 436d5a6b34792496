"""Nothing is asked of the network while a run is graded."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

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
