"""How a page refers to its recording."""

from __future__ import annotations

import base64
from pathlib import Path

import pytest

from walkgrade.errors import InputError
from walkgrade.reports.sound import beside, embedded


@pytest.mark.parametrize(
    ("path", "address"),
    [
        ("run.wav", "./run.wav"),
        ("runs/run 1.wav", "./runs/run%201.wav"),
        ("runs\\run.wav", "./runs/run.wav"),
        ("javascript:alert(1)", "./javascript%3Aalert%281%29"),
        ('a"b<c>.wav', "./a%22b%3Cc%3E.wav"),
        ("lauf-ä.wav", "./lauf-%C3%A4.wav"),
        ("a#b?c.wav", "./a%23b%3Fc.wav"),
    ],
)
def test_relative_paths(path: str, address: str) -> None:
    assert beside(path) == address


@pytest.mark.parametrize("path", ["/etc/run.wav", "../run.wav", "a/../../b.wav", "C:/run.wav", ""])
def test_paths_outside_the_page_are_refused(path: str) -> None:
    with pytest.raises(InputError) as caught:
        beside(path)
    assert caught.value.code == "I66"


def test_small_files_are_embedded(tmp_path: Path) -> None:
    (tmp_path / "run.wav").write_bytes(b"RIFF")
    address = embedded(tmp_path / "run.wav")
    assert address == f"data:audio/wav;base64,{base64.b64encode(b'RIFF').decode()}"


@pytest.mark.parametrize(("name", "limit"), [("run.wav", 3), ("run.exe", 99), ("none.wav", 99)])
def test_what_cannot_be_embedded_is_refused(tmp_path: Path, name: str, limit: int) -> None:
    if not name.startswith("none"):
        (tmp_path / name).write_bytes(b"RIFF")
    with pytest.raises(InputError) as caught:
        embedded(tmp_path / name, limit=limit)
    assert caught.value.code == "I65"
