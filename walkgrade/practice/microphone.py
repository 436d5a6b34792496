"""The microphone; the only place that loads sounddevice and with it PortAudio.

Decides: which device is meant and how it is opened.
Conventions: 16-bit mono at 16 kHz, which is what is recognised; a device that cannot do that is
opened as it likes, and its channels are averaged. Blocks of a tenth of a second.
Public: `Device`, `devices`, `choose`, `Microphone`.
"""

from __future__ import annotations

import queue
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from types import TracebackType
from typing import Any

from walkgrade.errors import AudioError

RATE = 16_000
BLOCKS_A_SECOND = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class Device:
    """A microphone. `number` is PortAudio's; `rate` its usual one; `usual`: used when none is
    named."""

    number: int
    name: str
    channels: int
    rate: int
    usual: bool = False


def _portaudio() -> Any:
    """The module sounddevice.

    Raises
    ------
    AudioError A40 : it, or the PortAudio library it needs, is not there.
    """
    try:
        import sounddevice
    except (ImportError, OSError) as error:
        raise AudioError(
            "A40",
            f"Recording needs the PortAudio library, which is not there ({error}).",
            "Debian, Ubuntu: apt install libportaudio2. Fedora: dnf install portaudio. "
            "Or record with any other program and use: walkgrade grade FILE",
        ) from error
    return sounddevice


def devices() -> tuple[Device, ...]:
    """Every microphone, in PortAudio's order.

    Raises
    ------
    AudioError A40 : no PortAudio. A41 : no microphone.
    """
    sounddevice = _portaudio()
    try:
        rows = list(sounddevice.query_devices())
        usual = sounddevice.default.device[0]
    except sounddevice.PortAudioError as error:
        raise _none(str(error)) from error
    found = tuple(
        Device(
            number=number,
            name=str(row["name"]),
            channels=int(row["max_input_channels"]),
            rate=int(row["default_samplerate"]),
            usual=number == usual,
        )
        for number, row in enumerate(rows)
        if row["max_input_channels"] > 0
    )
    if not found:
        raise _none("none is connected")
    return found


def choose(found: Sequence[Device], wanted: str = "") -> Device:
    """The device meant by `wanted`: its number, name, or a part of the name; else the usual one.

    Raises
    ------
    AudioError A42 : none is called so, or several are.
    """
    if not wanted:
        return next((one for one in found if one.usual), found[0])
    said = wanted.strip().casefold()
    exact = [one for one in found if said in (str(one.number), one.name.casefold())]
    near = exact or [one for one in found if said in one.name.casefold()]
    if len(near) == 1:
        return near[0]
    what = f"{len(near)} microphones match" if near else "No microphone is called"
    raise AudioError(
        "A42",
        f"{what} {wanted!r}. There are: "
        + "; ".join(f"{one.number} {one.name}" for one in (near or found))
        + ".",
        "Name it by its number or by more of its name.",
    )


class Microphone:
    """A running microphone; use it as a context. Implements `recorder.Source`.

    Raises
    ------
    AudioError A40 : no PortAudio. A43 : the device cannot be opened (busy, or not allowed).
    """

    def __init__(self, device: Device) -> None:
        self.name = device.name
        self.lost = 0
        self._blocks: queue.SimpleQueue[bytes] = queue.SimpleQueue()
        self._ended = False
        sounddevice = _portaudio()
        self.rate, self._channels = self._agree(sounddevice, device)
        try:
            self._stream = sounddevice.RawInputStream(
                device=device.number,
                samplerate=self.rate,
                channels=self._channels,
                dtype="int16",
                blocksize=self.rate // BLOCKS_A_SECOND,
                callback=self._arrived,
                finished_callback=self._finished,
            )
        except sounddevice.PortAudioError as error:
            raise _shut(device, error) from error
        self._device = device
        self._error: type[Exception] = sounddevice.PortAudioError

    def __enter__(self) -> Microphone:
        try:
            self._stream.start()
        except self._error as error:
            self._stream.close()
            raise _shut(self._device, error) from error
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        # A device that was pulled out cannot be closed properly; there is nothing to save in it.
        self._stream.close(ignore_errors=True)

    def take(self, wait_s: float) -> bytes | None:
        """The next block; see `recorder.Source.take`."""
        try:
            if wait_s > 0:
                return self._blocks.get(timeout=wait_s)
            return self._blocks.get_nowait()
        except queue.Empty:
            if self._ended:
                raise AudioError(
                    "A44",
                    f"The microphone {self.name} went away.",
                    "What was recorded until then is kept. Check its plug, then record again.",
                ) from None
            return None

    def waiting(self) -> int:
        """Blocks not taken yet."""
        return self._blocks.qsize()

    def _arrived(self, data: Any, frames: int, time: Any, status: Any) -> None:
        """Called by PortAudio's own thread: nothing but taking the samples out of its buffer."""
        if status.input_overflow:
            self.lost += 1
        self._blocks.put(_mono(bytes(data), self._channels))

    def _finished(self) -> None:
        self._ended = True

    @staticmethod
    def _agree(sounddevice: Any, device: Device) -> tuple[int, int]:
        """Rate and channels that the device can do; the first of a few."""
        last: Exception | None = None
        for rate, channels in _ways(device):
            try:
                sounddevice.check_input_settings(
                    device=device.number, channels=channels, dtype="int16", samplerate=rate
                )
            except (sounddevice.PortAudioError, ValueError) as error:
                last = error
            else:
                return rate, channels
        raise _shut(device, last)


def _ways(device: Device) -> Iterator[tuple[int, int]]:
    for channels in dict.fromkeys((1, min(2, device.channels))):
        for rate in dict.fromkeys((RATE, device.rate)):
            yield rate, channels


def _mono(data: bytes, channels: int) -> bytes:
    """One channel: the average of all."""
    if channels == 1:
        return data
    import numpy as np

    frames = np.frombuffer(data, dtype="<i2").reshape(-1, channels)
    mixed: bytes = np.round(frames.mean(axis=1)).astype("<i2").tobytes()
    return mixed


def _none(why: str) -> AudioError:
    return AudioError(
        "A41",
        f"No microphone was found ({why}).",
        "Plug one in and allow its use in the system's privacy settings. Or record with a phone "
        "and use: walkgrade grade FILE",
    )


def _shut(device: Device, error: Exception | None) -> AudioError:
    return AudioError(
        "A43",
        f"The microphone {device.name} cannot be opened ({error}).",
        "Close other programs that use it and allow its use in the system's privacy settings, or "
        "choose another one: walkgrade record --devices",
    )
