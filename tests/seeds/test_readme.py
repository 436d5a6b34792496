"""What seeds/README.md promises: every error code, voice engine and noise condition."""

import re
from pathlib import Path

from seeds.speak import CONDITIONS
from seeds.voices import VOICES

SEEDS = Path(__file__).resolve().parents[2] / "seeds"
README = (SEEDS / "README.md").read_text(encoding="utf-8")


def test_error_codes_are_listed_and_used() -> None:
    raised = re.compile(r"\"([IMA]9\d)\"")
    used = {code for path in SEEDS.glob("*.py") for code in raised.findall(path.read_text("utf-8"))}
    listed = set(re.findall(r"^\| `([IMA]9\d)`", README, re.MULTILINE))
    assert used == listed


def test_conditions_and_engines_are_described() -> None:
    assert all(f"`{name}`" in README for name in CONDITIONS)
    assert all(who.engine in README.lower() for who in VOICES.values())
