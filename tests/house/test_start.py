"""The command starts at once: nothing heavy is imported to show help."""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

HEAVY = (
    "faster_whisper", "ctranslate2", "onnxruntime", "av", "numpy", "pandas", "matplotlib", "spacy",
    "sounddevice", "soundfile", "pydantic", "rich", "jinja2", "yaml", "rapidfuzz", "reportlab",
)  # fmt: skip


def test_help_is_shown_within_0_3_seconds(root: Path) -> None:
    def once() -> float:
        start = time.perf_counter()
        command = [sys.executable, "-c", "from walkgrade.cli.main import run; run(['--help'])"]
        subprocess.run(command, cwd=root, check=False, capture_output=True)
        return time.perf_counter() - start

    assert min(once() for _ in range(7)) < 0.3


def test_help_imports_nothing_heavy(root: Path) -> None:
    code = (
        "import sys\nfrom walkgrade.cli.main import build_parser\nbuild_parser()\n"
        f"print([name for name in {HEAVY!r} if name in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=root, check=True, capture_output=True, text=True
    )
    assert done.stdout.strip() == "[]"
