"""Order of the work, names of results, and what the table makes of a refused recording."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
import soundfile

from benchmarks import hear, table
from benchmarks.agreement import scripts
from benchmarks.conditions import in_condition_file
from benchmarks.corpus import content_key
from benchmarks.table import ENGINE
from walkgrade.errors import InputError


def test_jobs_by_condition_then_longest_first(tmp_path: Path) -> None:
    for name, size in (("a--v--1", 10), ("b--v--2", 99), ("b--w--3", 50)):
        (tmp_path / f"{name}.opus").write_bytes(b"0" * size)
    jobs = hear.jobs_for(tmp_path, ("snr10", "clean"), ("stock:/x/tiny.en",))
    assert [hear.heard_name(job) for job in jobs] == [
        f"{stem}--{condition}--stock-tiny.en--{key}.json"
        for condition in ("snr10", "clean")
        for stem, key in (("b--v", 2), ("b--w", 3), ("a--v", 1))
    ]
    assert [j.voice for j in hear.jobs_for(tmp_path, ("clean",), ("m",), ("w",))] == ["w"]
    with pytest.raises(InputError, match="I92"):
        hear.jobs_for(tmp_path, ("loud",), ("m",))


def test_noise_is_put_on_while_reading(tmp_path: Path) -> None:
    time = np.arange(32_000) / 16_000
    tone = (0.1 * np.sin(2 * np.pi * 440 * time) * (time < 1)).astype(np.float32)
    place = tmp_path / "s--v--0.opus"
    soundfile.write(place, tone, 16_000, format="OGG", subtype="OPUS")
    assert in_condition_file(place, "s", "clean", tmp_path) == place
    noisy = soundfile.read(in_condition_file(place, "s", "snr5", tmp_path))[0]
    assert np.std(noisy[20_000:]) > 10 * np.std(soundfile.read(place)[0][20_000:])


def test_a_refused_recording_earns_nothing(tmp_path: Path) -> None:
    script = scripts("demo")[0]
    refused = {"script": script.id, "voice": "v", "condition": "clean", "model": "m", "error": {}}
    (tmp_path / f"{script.id}--v--clean--m--0.json").write_text(json.dumps(refused))
    (heard,) = table.read_heard(tmp_path)
    made = table.score(script, heard.transcript, lambda *_: pytest.fail("nothing to grade"))
    assert made.tally.both == made.tally.false_credit == 0
    assert made.tally.missed_credit > 0
    rows = list(table.heard_rows(scripts("demo"), [heard], {ENGINE: lambda *_: pytest.fail("no")}))
    assert [row[0].strip() for row in rows] == ["clean m, walkgrade", "v (1)"]


def test_a_changed_word_makes_a_new_file() -> None:
    from dataclasses import replace

    script = scripts("demo")[0]
    first = script.lines[0]
    other = replace(script, lines=(replace(first, text=first.text + " so"), *script.lines[1:]))
    assert content_key(script, "flite-slt") == content_key(script, "flite-slt")
    assert content_key(other, "flite-slt") != content_key(script, "flite-slt")
    assert content_key(script, "flite-kal") != content_key(script, "flite-slt")
    assert content_key(script, "flite-slt", "flite-kal") != content_key(script, "flite-slt")
