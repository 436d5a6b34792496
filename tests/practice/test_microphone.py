"""Devices and their faults, with sounddevice replaced by a small likeness."""

from __future__ import annotations

import sys
import types
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from walkgrade.errors import AudioError
from walkgrade.practice.microphone import Device, Microphone, choose, devices


class PortAudioError(Exception):
    """As in sounddevice."""


class Stream:
    """Calls back by hand."""

    def __init__(self, owner: types.SimpleNamespace, **asked: Any) -> None:
        if owner.busy == "open":
            raise PortAudioError("Device unavailable [PaErrorCode -9985]")
        self.owner, self.asked, self.closed = owner, asked, False
        owner.stream = self

    def start(self) -> None:
        if self.owner.busy == "start":
            raise PortAudioError("Unanticipated host error")

    def close(self, ignore_errors: bool = True) -> None:
        self.closed = True

    def feed(self, data: bytes, overflow: bool = False) -> None:
        status = types.SimpleNamespace(input_overflow=overflow)
        self.asked["callback"](memoryview(data), len(data) // 2, None, status)


@pytest.fixture
def sounddevice(monkeypatch: pytest.MonkeyPatch) -> types.SimpleNamespace:
    """The likeness: an output, a two-channel microphone at 48 kHz, a headset that does 16 kHz."""

    def row(name: str, inputs: int, rate: float) -> dict[str, object]:
        return {"name": name, "max_input_channels": inputs, "default_samplerate": rate}

    def check(device: int, channels: int, dtype: str, samplerate: int) -> None:
        assert dtype == "int16"
        if (channels, samplerate) not in fake.can[device]:
            raise PortAudioError("Invalid sample rate")

    fake = types.SimpleNamespace(
        PortAudioError=PortAudioError,
        rows=[row("Speakers", 0, 48000.0), row("Desk mic", 2, 48000.0), row("Headset", 1, 16000.0)],
        default=types.SimpleNamespace(device=[2, 0]),
        can={1: {(2, 48000)}, 2: {(1, 16000)}},
        busy="",
        check_input_settings=check,
    )
    fake.query_devices = lambda: fake.rows
    fake.RawInputStream = lambda **asked: Stream(fake, **asked)
    monkeypatch.setitem(sys.modules, "sounddevice", fake)  # type: ignore[arg-type]
    return fake


def fault(act: Callable[[], object]) -> AudioError:
    with pytest.raises(AudioError) as caught:
        act()
    return caught.value


def test_only_microphones_are_listed(sounddevice: types.SimpleNamespace) -> None:
    assert devices() == (
        Device(number=1, name="Desk mic", channels=2, rate=48_000),
        Device(number=2, name="Headset", channels=1, rate=16_000, usual=True),
    )


def test_without_portaudio(tmp_path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "sounddevice.py").write_text("raise OSError('PortAudio library not found')\n")
    monkeypatch.delitem(sys.modules, "sounddevice", raising=False)
    monkeypatch.syspath_prepend(str(tmp_path))
    error = fault(devices)
    assert error.code == "A40"
    assert "apt install libportaudio2" in error.way_out


def test_without_a_microphone(sounddevice: types.SimpleNamespace) -> None:
    del sounddevice.rows[1:]
    assert fault(devices).code == "A41"

    def broken() -> None:
        raise PortAudioError("Error querying device -1")

    sounddevice.query_devices = broken
    assert fault(devices).code == "A41"


FOUND = (
    Device(number=1, name="Desk mic", channels=2, rate=48_000),
    Device(number=4, name="Headset", channels=1, rate=16_000, usual=True),
    Device(number=7, name="Headset (hands-free)", channels=1, rate=8_000),
)


@pytest.mark.parametrize(
    ("wanted", "number"), [("", 4), ("1", 1), ("desk", 1), ("HEADSET", 4), ("hands", 7)]
)
def test_a_device_is_meant_by_number_name_or_part(wanted: str, number: int) -> None:
    assert choose(FOUND, wanted).number == number


def test_the_first_is_used_when_the_system_has_no_favourite() -> None:
    assert choose(FOUND[:1]).number == 1


@pytest.mark.parametrize(("wanted", "text"), [("lapel", "4 Headset"), ("head", "2 microphones")])
def test_a_device_that_is_not_clear(wanted: str, text: str) -> None:
    error = fault(lambda: choose(FOUND, wanted))
    assert error.code == "A42"
    assert text in error.message


def test_sixteen_kilohertz_mono_where_the_device_can(sounddevice: types.SimpleNamespace) -> None:
    with Microphone(choose(devices())) as source:
        assert source.rate == 16_000
        sounddevice.stream.feed(b"\1\0" * 1_600)
        assert source.waiting() == 1
        assert source.take(0.1) == b"\1\0" * 1_600
        assert source.take(0) is None
        assert source.lost == 0
    assert sounddevice.stream.closed
    assert sounddevice.stream.asked["blocksize"] == 1_600


def test_other_devices_are_opened_as_they_like_and_averaged(
    sounddevice: types.SimpleNamespace,
) -> None:
    with Microphone(choose(devices(), "desk")) as source:
        assert source.rate == 48_000
        both = np.array([[100, 200], [-3, 5], [32_767, 32_767]], dtype="<i2")
        sounddevice.stream.feed(both.tobytes(), overflow=True)
        block = source.take(0.1)
        assert block is not None
        assert np.frombuffer(block, "<i2").tolist() == [150, 1, 32_767]
        assert source.lost == 1


@pytest.mark.parametrize("busy", ["open", "start"])
def test_a_busy_device(sounddevice: types.SimpleNamespace, busy: str) -> None:
    sounddevice.busy = busy

    def use() -> None:
        with Microphone(choose(devices())):
            pass

    assert fault(use).code == "A43"


def test_a_device_that_can_do_nothing(sounddevice: types.SimpleNamespace) -> None:
    sounddevice.can[2] = set()
    error = fault(lambda: Microphone(choose(devices())))
    assert error.code == "A43"
    assert "Invalid sample rate" in error.message


def test_a_device_that_goes_away(sounddevice: types.SimpleNamespace) -> None:
    with Microphone(choose(devices())) as source:
        sounddevice.stream.feed(b"\1\0" * 1_600)
        sounddevice.stream.asked["finished_callback"]()
        assert source.take(0.1) is not None
        assert fault(lambda: source.take(0)).code == "A44"
