"""Any sound file to 16 kHz mono, in bounded memory.

Decides: which files can be used, what is wrong with the others, and what to tell about the rest.
Conventions: float32 samples at 16 kHz, one channel (channels are averaged), in blocks of 30 s;
nothing ever holds the whole file. Times are whole milliseconds. Only local sound and video
containers are opened: play lists and anything that points elsewhere are refused, so decoding can
never reach a network.
Public: `RATE`, `Sound`, `check_file`, `check_sound`, `blocks`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from walkgrade.errors import AudioError
from walkgrade.speech.levels import LevelMeter
from walkgrade.speech.places import digest_of
from walkgrade.speech.records import SoundNotice
from walkgrade.speech.wav_header import announced_ms

RATE = 16_000
FULL_SCALE = np.float32(32768)
BLOCK = 30 * RATE
KEPT_MS = 60 * 60 * 1000
"""Up to this length the decoded sound is kept (115 MB an hour), so it is decoded only once."""

LONGEST_MS = 3 * 60 * 60 * 1000
SHORTEST_MS = 500
SHORT_MS = 10_000
GATHERED = 1 << 17
"""Samples of the file gathered before they are resampled; frame by frame would be twice as slow."""

NARROW_RATE = 8_000
CONTAINERS = (
    "wav,w64,aiff,au,caf,flac,mp3,aac,ogg,mov,matroska,avi,asf,flv,mpeg,mpegts,amr,ape,wv,tta"
)
SUFFIXES = "wav, flac, mp3, m4a, ogg, opus, webm, mp4, mov"

Samples = NDArray[np.float32]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sound:
    """A sound file that has been decoded once from end to end and found usable.

    `duration` in ms of what can be decoded; `rate` and `channels` as in the file.
    """

    path: Path
    sha256: str
    duration: int
    rate: int
    channels: int
    codec: str
    loudest_db: float
    notices: tuple[SoundNotice, ...] = ()
    kept: tuple[NDArray[np.int16], ...] | None = field(default=None, repr=False, compare=False)

    def blocks(self, *, start: int = 0) -> Iterator[Samples]:
        """Samples from sample `start` on, in blocks of at most 30 s."""
        if self.kept is None:
            yield from blocks(self.path, start=start)
        else:
            yield from _from(start, (_as_float(block) for block in self.kept))


@dataclass(slots=True)
class _Source:
    """What the container says and what decoding it met."""

    rate: int = 0
    channels: int = 0
    codec: str = ""
    declared_ms: int = 0
    broken: int = 0


def check_sound(path: str | Path, *, longest_ms: int = LONGEST_MS) -> Sound:
    """Decode `path` once and report what it is.

    Raises
    ------
    AudioError A01 : no such file, or it cannot be read. A02 : empty file. A03 : no sound format.
    A04 : no sound track. A05 : silence only. A06 : shorter than 0.5 s. A07 : longer than
    `longest_ms` (three hours).
    """
    place = check_file(path)
    source, meter = _Source(), LevelMeter()
    kept: list[NDArray[np.int16]] | None = []
    for block in _decode(place, source):
        meter.add(block)
        if kept is not None:
            kept.append(np.round(block * FULL_SCALE).astype(np.int16))
        if meter.samples > KEPT_MS * RATE // 1000:
            kept = None
        if meter.samples > longest_ms * RATE // 1000:
            raise AudioError(
                "A07",
                f"{place.name} is longer than {longest_ms / 3_600_000:g} hours.",
                "Cut it into single runs first.",
            )
    source.declared_ms = announced_ms(place) or source.declared_ms
    duration = round(meter.samples * 1000 / RATE)
    _check_content(place, source, meter, duration)
    return Sound(
        path=place,
        sha256=digest_of(place),
        duration=duration,
        rate=source.rate,
        channels=source.channels,
        codec=source.codec,
        loudest_db=round(meter.loudest_db, 1),
        notices=tuple(_notices(source, meter, duration)),
        kept=tuple(kept) if kept is not None else None,
    )


def blocks(path: str | Path, *, start: int = 0) -> Iterator[Samples]:
    """Samples of the file from sample `start` on, in blocks of at most 30 s.

    The file is decoded from its beginning whatever `start` is, because seeking in compressed
    sound is not exact to the sample.
    """
    yield from _from(start, _decode(Path(path), _Source()))


def _from(start: int, pieces: Iterable[Samples]) -> Iterator[Samples]:
    skip = start
    for block in pieces:
        if skip >= block.size:
            skip -= block.size
            continue
        yield block[skip:]
        skip = 0


def check_file(path: str | Path) -> Path:
    """The path, when a readable file with something in it lies there (AudioError A01, A02)."""
    place = Path(path)
    if not place.is_file():
        what = "is a folder, not a sound file" if place.is_dir() else "does not exist"
        raise AudioError("A01", f"{place} {what}.", "Check the path.")
    try:
        with open(place, "rb") as file:
            first = file.read(1)
    except OSError as error:
        raise AudioError(
            "A01", f"{place} cannot be read ({error.strerror}).", "Check its permissions."
        ) from error
    if not first:
        raise AudioError("A02", f"{place.name} is empty (0 bytes).", "Copy the recording again.")
    return place


def _check_content(place: Path, source: _Source, meter: LevelMeter, duration: int) -> None:
    if meter.samples == 0:
        raise _no_sound_format(place, "no sound could be decoded")
    if meter.silent:
        raise AudioError(
            "A05",
            f"{place.name} holds only silence (loudest 100 ms: {meter.loudest_db:.0f} dB).",
            "Check that the right microphone was on and not muted, and record again.",
        )
    if duration < SHORTEST_MS:
        raise AudioError(
            "A06",
            f"{place.name} is {duration} ms long; at least {SHORTEST_MS} ms are needed.",
            "Record again and speak before stopping.",
        )


def _notices(source: _Source, meter: LevelMeter, duration: int) -> Iterator[SoundNotice]:
    if meter.is_clipped:
        yield SoundNotice(
            code="N01",
            text=f"The sound is clipped ({meter.clipped_share:.1%} of it at full scale): words "
            "may be misheard. Hold the microphone further away or lower its level.",
        )
    if source.rate <= NARROW_RATE:
        yield SoundNotice(
            code="N02",
            text=f"The sound has telephone quality ({source.rate} Hz): words may be misheard. "
            "Record with a voice recorder, not over a call.",
        )
    missing = source.declared_ms - duration
    if missing > max(1000, source.declared_ms // 50):
        yield SoundNotice(
            code="N03",
            text=f"The file seems cut off: it announces {source.declared_ms / 1000:.0f} s but "
            f"holds {duration / 1000:.0f} s. What is there is graded.",
        )
    elif source.broken:
        yield SoundNotice(
            code="N03",
            text=f"The file is damaged: {source.broken} stretches could not be decoded. "
            "What is there is graded.",
        )
    if meter.quiet:
        yield SoundNotice(
            code="N04",
            text=f"The sound is very quiet (loudest 100 ms: {meter.loudest_db:.0f} dB): words may "
            "be missed. Hold the microphone closer.",
        )
    if duration < SHORT_MS:
        yield SoundNotice(
            code="N05",
            text=f"The recording is only {duration / 1000:.1f} s long, far shorter than a run.",
        )


def _decode(place: Path, source: _Source) -> Iterator[Samples]:
    """Blocks of at most `BLOCK` samples; fills `source` on the way."""
    waiting: list[Samples] = []
    held = 0
    for piece in _pieces(place, source):
        waiting.append(piece)
        held += piece.size
        while held >= BLOCK:
            joined = np.concatenate(waiting)
            yield joined[:BLOCK]
            rest = joined[BLOCK:]
            waiting, held = [rest], rest.size
    if held:
        yield np.concatenate(waiting)


def _pieces(place: Path, source: _Source) -> Iterator[Samples]:
    import av

    try:
        container = av.open(
            str(place.resolve()),  # a relative name with a colon would read as an address
            mode="r",
            metadata_errors="ignore",
            container_options={"format_whitelist": CONTAINERS, "protocol_whitelist": "file"},
        )
    except (av.error.FFmpegError, ValueError) as error:
        raise _no_sound_format(place, getattr(error, "strerror", None) or str(error)) from error
    with container:
        if not container.streams.audio:
            raise AudioError(
                "A04",
                f"{place.name} has no sound track.",
                "Choose the video or recording that has sound.",
            )
        stream = container.streams.best("audio") or container.streams.audio[0]
        _describe(container, stream, source)
        yield from _resample(_frames(container, stream, source))


def _describe(container: Any, stream: Any, source: _Source) -> None:
    context = stream.codec_context
    source.rate = int(context.sample_rate or 0)
    source.channels = int(context.channels or 0)
    source.codec = str(context.name)
    if stream.duration is not None and stream.time_base is not None:
        source.declared_ms = int(stream.duration * stream.time_base * 1000)
    elif container.duration is not None:
        source.declared_ms = int(container.duration // 1000)


def _frames(container: Any, stream: Any, source: _Source) -> Iterator[Any]:
    """Every frame that can be decoded; counts the packets that cannot."""
    import av

    packets = container.demux(stream)
    while True:
        try:
            packet = next(packets, None)
        except av.error.FFmpegError:
            source.broken += 1
            return
        if packet is None:
            return
        try:
            yield from packet.decode()
        except av.error.FFmpegError:
            source.broken += 1


def _resample(frames: Iterable[Any]) -> Iterator[Samples]:
    """16 kHz mono; a change of rate or channels in mid-file starts a fresh resampler."""
    from av.audio.fifo import AudioFifo
    from av.audio.resampler import AudioResampler

    kind: tuple[str, str, int] | None = None
    fifo, resampler = AudioFifo(), AudioResampler()
    for frame in frames:
        frame.pts = None
        here = (frame.format.name, frame.layout.name, frame.sample_rate)
        if here != kind:
            if kind is not None:
                yield from _drain(fifo, resampler)
            # Whole-number output makes the mixer average the channels; with floating point it
            # would add 3 dB to what both channels share, and loud stereo would seem clipped.
            resampler = AudioResampler(format="s16", layout="mono", rate=RATE)
            fifo, kind = AudioFifo(), here
        fifo.write(frame)
        if fifo.samples >= GATHERED:
            yield from _arrays(resampler.resample(fifo.read()))
    if kind is not None:
        yield from _drain(fifo, resampler)


def _drain(fifo: Any, resampler: Any) -> Iterator[Samples]:
    if fifo.samples:
        yield from _arrays(resampler.resample(fifo.read()))
    yield from _arrays(resampler.resample(None))


def _arrays(frames: Iterable[Any]) -> Iterator[Samples]:
    for frame in frames:
        yield _as_float(frame.to_ndarray().reshape(-1))


def _as_float(block: NDArray[np.int16]) -> Samples:
    return block.astype(np.float32) / FULL_SCALE


def _no_sound_format(place: Path, why: str) -> AudioError:
    return AudioError(
        "A03",
        f"{place.name} is not a sound file that can be read ({why}).",
        f"Usable are {SUFFIXES} and other common sound and video files.",
    )
