"""The file on the disk: its form, its mending, and disks that fail."""

from __future__ import annotations

import errno
import os
import struct
import subprocess
import wave
from itertools import pairwise
from pathlib import Path

import pytest
import soundfile

from walkgrade.errors import OutputError
from walkgrade.practice import recording as module
from walkgrade.practice.recording import SYNC_MS, Recording, repair, unfinished

RATE = 16_000
BLOCK = bytes(range(256)) * 12 + bytes(128)


def start(path: Path, blocks: int = 0) -> Recording:
    one = Recording(path, RATE)
    for _ in range(blocks):
        one.add(BLOCK)
    return one


def fill(one: Recording) -> None:
    for _ in range(100):
        one.add(BLOCK)


def test_a_finished_file_is_read_by_other_programs(tmp_path: Path) -> None:
    """Checked against Python's own reader and libsndfile."""
    place = tmp_path / "run.wav"
    with start(place, 20) as one:
        assert one.samples == 20 * 1_600
        assert one.elapsed_ms == 2_000
    with wave.open(str(place)) as file:
        assert (file.getnchannels(), file.getsampwidth(), file.getframerate()) == (1, 2, RATE)
        assert file.readframes(10**6) == BLOCK * 20
    with soundfile.SoundFile(place) as other:
        assert other.subtype == "PCM_16"
        assert other.frames == 32_000
        assert other.software == "walkgrade"
    size = place.stat().st_size
    assert struct.unpack("<I", place.read_bytes()[4:8])[0] == size - 8


def test_every_block_is_in_the_file_at_once(tmp_path: Path) -> None:
    place = tmp_path / "run.wav"
    with start(place) as one:
        empty = place.stat().st_size
        for count in range(1, 4):
            one.add(BLOCK)
            assert place.stat().st_size == empty + count * len(BLOCK)


def test_the_disk_is_told_at_least_every_half_second(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sizes: list[int] = []
    place = tmp_path / "run.wav"
    with start(place) as one:
        real = os.fsync

        def noted(handle: int) -> None:
            sizes.append(place.stat().st_size)
            real(handle)

        monkeypatch.setattr(os, "fsync", noted)
        for _ in range(50):
            one.add(BLOCK)
    assert SYNC_MS <= 500
    gaps = [later - earlier for earlier, later in pairwise(sizes)]
    assert len(sizes) >= 10
    assert max(gaps) <= RATE * 2 * 500 // 1000


def test_an_existing_file_is_never_overwritten(tmp_path: Path) -> None:
    place = tmp_path / "run.wav"
    place.write_bytes(b"precious")
    with pytest.raises(OutputError, match="O41"):
        Recording(place, RATE)
    assert place.read_bytes() == b"precious"


def test_half_a_sample_at_the_end_is_cut_off(tmp_path: Path) -> None:
    place = tmp_path / "run.wav"
    one = start(place, 3)
    one._file.write(b"\x01")
    one._file.close()
    assert repair(place).length_ms == 300
    with wave.open(str(place)) as file:
        assert file.readframes(10**6) == BLOCK * 3


def test_only_our_own_unfinished_files_are_touched(tmp_path: Path) -> None:
    start(tmp_path / "whole.wav", 2).close()
    cut = start(tmp_path / "cut.wav", 2)
    cut._file.close()
    soundfile.write(tmp_path / "other.wav", [0.0] * 100, RATE)
    streamed = bytearray((tmp_path / "other.wav").read_bytes())
    streamed[40:44] = b"\xff" * 4
    (tmp_path / "other.wav").write_bytes(streamed)
    (tmp_path / "short.wav").write_bytes(b"RIFF")
    (tmp_path / "folder.wav").mkdir()
    assert [path.name for path in unfinished(tmp_path)] == ["cut.wav"]
    with pytest.raises(ValueError, match=r"whole\.wav"):
        repair(tmp_path / "whole.wav")


def test_a_recording_killed_before_its_first_sound(tmp_path: Path) -> None:
    start(tmp_path / "cut.wav")._file.close()
    (path,) = unfinished(tmp_path)
    assert repair(path).length_ms == 0
    assert list(unfinished(tmp_path)) == []


@pytest.mark.parametrize(
    ("number", "code"), [(errno.ENOSPC, "O40"), (errno.EDQUOT, "O40"), (errno.EIO, "O41")]
)
def test_a_failing_disk_keeps_what_was_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int, code: str
) -> None:
    place = tmp_path / "run.wav"
    one = start(place, 3)

    def fail(handle: int) -> None:
        raise OSError(number, os.strerror(number))

    with monkeypatch.context() as broken:
        broken.setattr(module.os, "fsync", fail)
        with pytest.raises(OutputError) as caught:
            one.add(BLOCK)
    assert caught.value.code == code
    assert "kept" in caught.value.way_out
    one.close()
    with wave.open(str(place)) as file:
        assert file.getnframes() == 4 * 1_600


def test_a_folder_that_cannot_be_synced_still_records(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = os.fsync

    def refuse_folders(handle: int) -> None:
        if os.path.isdir(f"/proc/self/fd/{handle}"):
            raise OSError(errno.EINVAL, "Invalid argument")
        real(handle)

    monkeypatch.setattr(module.os, "fsync", refuse_folders)
    with start(tmp_path / "run.wav", 1) as one:
        assert one.samples == 1_600


def test_a_really_full_disk_keeps_what_was_there(tmp_path: Path) -> None:
    small = tmp_path / "small"
    small.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(small)]
    if os.name != "posix" or subprocess.run(mount, check=False, capture_output=True).returncode:
        pytest.skip("a small disk can be mounted by root only")
    try:
        one = start(small / "run.wav")
        with pytest.raises(OutputError, match="O40"):
            fill(one)
        one.close()
        with wave.open(str(small / "run.wav")) as file:
            assert file.getnframes() >= 50_000 // 2
        with pytest.raises(OutputError, match="O40"):
            Recording(small / "second.wav", RATE)
        assert [path.name for path in small.iterdir()] == ["run.wav"]
    finally:
        subprocess.run(["umount", str(small)], check=True)
