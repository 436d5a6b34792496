"""The process beside a recording: told, waited for, ended; and every way it can fail."""

from __future__ import annotations

import json
import os
import subprocess
import time
from pathlib import Path
from typing import NoReturn

import pytest

from walkgrade.practice import beside
from walkgrade.practice.beside import KEPT, REFUSED, Beside
from walkgrade.speech.ahead import Order

# What the program does once it has been told to stop.
READ = "import sys, json, time\norder = sys.stdin.readline()\nword = sys.stdin.readline()\n"


def order(place: str = "run.wav") -> Order:
    return Order(path=place, bytes_a_second=32_000, model="auto", device="cpu", cache_dir="cache")


def program(monkeypatch: pytest.MonkeyPatch, text: str) -> None:
    monkeypatch.setattr(beside, "PROGRAM", ("-c", text))


def ended(job: Beside) -> int | None:
    assert job._job is not None
    return job._job.poll()


def test_it_is_told_what_to_hear_then_to_stop(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    told = tmp_path / "told"
    program(
        monkeypatch,
        READ + f"open({str(told)!r}, 'w').write(order + word)\n"
        'print(\'{"heard": 0, "of": 0}\')\n'
        'print(\'{"heard": 300, "of": 500}\')\n'
        'print(\'{"end": "kept", "decoded": 2, "remembered": 40}\')\n',
    )
    seen: list[tuple[int, int]] = []
    with Beside(order("ü.wav")) as job:
        assert job.finish(lambda *now: seen.append(now)) == KEPT
    assert seen == [(300, 500)]
    assert job.said == {"end": "kept", "decoded": 2, "remembered": 40}
    first, second = told.read_text("utf-8").splitlines()
    assert json.loads(first)["path"] == "ü.wav"
    assert second == "stop"
    assert ended(job) == 0


@pytest.mark.parametrize(
    ("text", "end"),
    [
        (READ + 'print(\'{"end": "refused"}\')', REFUSED),
        (READ + 'print(\'{"end": "OSError: no disk"}\')', "OSError: no disk"),
        ("raise SystemExit(3)", "it ended too early"),
        (READ + "print('what?')", "it ended too early"),
        ('print(\'{"end": "MemoryError: "}\')', "MemoryError: "),
        (READ + 'print(\'{"heard": 1, "of": 2}\', flush=True)\ntime.sleep(60)', "it hung"),
        ("import time; time.sleep(60)", "it hung"),
    ],
)
def test_what_goes_wrong_is_told_and_nothing_is_left(
    monkeypatch: pytest.MonkeyPatch, text: str, end: str
) -> None:
    # Long enough for an interpreter to start on a busy machine, unless it is waited for in vain.
    monkeypatch.setattr(beside, "SILENCE_S", 1.5 if end == "it hung" else 30)
    program(monkeypatch, text)
    with Beside(order()) as job:
        assert job.finish(lambda done, total: None) == end
    assert ended(job) is not None


def test_a_process_that_cannot_be_started(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*words: object, **how: object) -> NoReturn:
        raise OSError("no more processes")

    monkeypatch.setattr(subprocess, "Popen", refuse)
    with Beside(order()) as job:
        assert job.finish(lambda done, total: None) == "it could not be started"


def test_a_process_that_was_killed(monkeypatch: pytest.MonkeyPatch) -> None:
    program(monkeypatch, READ)
    with Beside(order()) as job:
        assert job._job is not None
        job._job.kill()
        job._job.wait()
        assert job.finish(lambda done, total: None) == "it ended too early"


def test_it_is_ended_when_it_is_not_needed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without a stop: closing its input ends a process that listens, force one that does not."""
    program(monkeypatch, READ)
    with Beside(order()) as polite:
        assert ended(polite) is None
    assert ended(polite) == 0

    program(monkeypatch, "import time; time.sleep(60)")
    began = time.monotonic()
    with pytest.raises(KeyboardInterrupt), Beside(order()) as deaf:
        raise KeyboardInterrupt
    assert ended(deaf) not in (None, 0)
    assert time.monotonic() - began < 30


@pytest.mark.skipif(os.name != "posix", reason="Windows has process groups of its own")
def test_it_is_out_of_reach_of_the_terminals_interrupt(monkeypatch: pytest.MonkeyPatch) -> None:
    program(monkeypatch, READ)
    with Beside(order()) as job:
        assert job._job is not None
        assert os.getpgid(job._job.pid) == job._job.pid != os.getpgrp()
        assert os.getsid(job._job.pid) != os.getsid(0)
