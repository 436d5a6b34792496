"""Every kind of file that should open, and every kind that should be refused with its reason."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
import soundfile

from walkgrade.errors import AudioError
from walkgrade.speech import decode
from walkgrade.speech.decode import BLOCK, RATE, blocks, check_sound

SECONDS = 12


def tone(rate: int, channels: int = 1, seconds: float = SECONDS, level: float = 0.3) -> np.ndarray:
    t = np.arange(round(seconds * rate)) / rate
    wave = level * np.sin(2 * np.pi * 440 * t)
    return np.stack([wave] * channels, axis=1).astype(np.float32)


def write_av(
    path: Path, codec: str, rate: int, layout: str = "mono", picture: bool = False
) -> None:
    """Write a tone with PyAV, on request beside a grey moving picture (a phone's video)."""
    channels = {"mono": 1, "stereo": 2}[layout]
    with av.open(str(path), "w") as out:
        sound = out.add_stream(codec, rate=rate, layout=layout)
        video = out.add_stream("mpeg4", rate=5) if picture else None
        if video is not None:
            video.width, video.height, video.pix_fmt = 64, 48, "yuv420p"
            for _ in range(SECONDS * 5):
                frame = av.VideoFrame.from_ndarray(np.full((48, 64, 3), 99, np.uint8))
                out.mux(video.encode(frame))
            out.mux(video.encode(None))
        data = np.ascontiguousarray(tone(rate, channels).T)
        for at in range(0, data.shape[1], 960):
            piece = av.AudioFrame.from_ndarray(
                np.ascontiguousarray(data[:, at : at + 960]), format="fltp", layout=layout
            )
            piece.sample_rate, piece.pts, piece.time_base = rate, at, Fraction(1, rate)
            out.mux(sound.encode(piece))
        out.mux(sound.encode(None))


def loudest_pitch(path: Path) -> float:
    sound = np.concatenate(list(blocks(path)))[RATE : 6 * RATE]
    return float(np.abs(np.fft.rfft(sound)).argmax() / 5)


@pytest.mark.parametrize("channels", [1, 2])
@pytest.mark.parametrize(
    ("name", "rate"),
    [
        ("run.wav", 44_100),
        ("run.wav", 96_000),
        ("run.wav", 16_000),
        ("run.wav", 11_025),
        ("run.flac", 48_000),
        ("run.mp3", 44_100),
        ("run.ogg", 22_050),
        ("run.aiff", 32_000),
    ],
)
def test_files_of_soundfile(tmp_path: Path, name: str, rate: int, channels: int) -> None:
    path = tmp_path / name
    soundfile.write(path, tone(rate, channels), rate)
    sound = check_sound(path)
    assert (sound.rate, sound.channels) == (rate, channels)
    assert sound.duration == pytest.approx(soundfile.info(path).duration * 1000, abs=60)
    assert sound.notices == ()
    assert sound.sha256 == hashlib.sha256(path.read_bytes()).hexdigest()
    assert loudest_pitch(path) == pytest.approx(440, abs=1)


def test_opus_of_soundfile(tmp_path: Path) -> None:
    path = tmp_path / "run.opus"
    soundfile.write(path, tone(16_000), 16_000, format="OGG", subtype="OPUS")
    assert check_sound(path).duration == pytest.approx(SECONDS * 1000, abs=60)
    assert loudest_pitch(path) == pytest.approx(440, abs=1)


@pytest.mark.parametrize("layout", ["mono", "stereo"])
@pytest.mark.parametrize(
    ("name", "codec", "rate", "picture"),
    [
        ("run.m4a", "aac", 44_100, False),
        ("run.m4a", "alac", 44_100, False),
        ("run.webm", "libopus", 48_000, False),
        ("run.ogg", "libopus", 48_000, False),
        ("run.mp4", "aac", 48_000, True),
        ("run.mov", "aac", 44_100, True),
        ("run.mkv", "flac", 48_000, True),
        ("run.3gp", "aac", 16_000, True),
    ],
)
def test_files_of_phones_and_browsers(
    tmp_path: Path, name: str, codec: str, rate: int, picture: bool, layout: str
) -> None:
    path = tmp_path / name
    write_av(path, codec, rate, layout, picture)
    sound = check_sound(path)
    assert sound.duration == pytest.approx(SECONDS * 1000, abs=90)
    assert sound.notices == ()
    assert loudest_pitch(path) == pytest.approx(440, abs=1)


def wav(path: Path, sound: np.ndarray, rate: int = 16_000) -> Path:
    soundfile.write(path, sound, rate)
    return path


def missing(folder: Path) -> Path:
    return folder / "absent.wav"


def is_folder(folder: Path) -> Path:
    return folder


def empty(folder: Path) -> Path:
    (folder / "empty.wav").write_bytes(b"")
    return folder / "empty.wav"


def renamed_text(folder: Path) -> Path:
    (folder / "notes.wav").write_text("Checked the lug nuts. " * 200)
    return folder / "notes.wav"


def play_list(folder: Path) -> Path:
    wav(folder / "run.wav", tone(16_000))
    (folder / "list.mp3").write_text(f"#EXTM3U\n#EXTINF:12,\n{folder / 'run.wav'}\n")
    return folder / "list.mp3"


def joined_list(folder: Path) -> Path:
    wav(folder / "run.wav", tone(16_000))
    (folder / "list.wav").write_text("ffconcat version 1.0\nfile run.wav\n")
    return folder / "list.wav"


def m4a_without_end(folder: Path) -> Path:
    write_av(folder / "run.m4a", "aac", 44_100)
    whole = (folder / "run.m4a").read_bytes()
    (folder / "cut.m4a").write_bytes(whole[: len(whole) // 2])
    return folder / "cut.m4a"


def header_only(folder: Path) -> Path:
    return wav(folder / "header.wav", np.zeros((0, 1), np.float32))


def picture_only(folder: Path) -> Path:
    path = folder / "film.mp4"
    with av.open(str(path), "w") as out:
        video = out.add_stream("mpeg4", rate=5)
        video.width, video.height, video.pix_fmt = 64, 48, "yuv420p"
        for _ in range(10):
            frame = av.VideoFrame.from_ndarray(np.full((48, 64, 3), 99, np.uint8))
            out.mux(video.encode(frame))
        out.mux(video.encode(None))
    return path


def silence(folder: Path) -> Path:
    return wav(folder / "silence.wav", np.zeros((16_000 * 20, 1), np.float32))


def faint_hiss(folder: Path) -> Path:
    hiss = np.random.default_rng(0).normal(0, 3e-4, 16_000 * 20)
    return wav(folder / "hiss.wav", hiss.astype(np.float32))


def too_short(folder: Path) -> Path:
    return wav(folder / "click.wav", tone(16_000, seconds=0.4))


@pytest.mark.parametrize(
    ("make", "code"),
    [
        (missing, "A01"),
        (is_folder, "A01"),
        (empty, "A02"),
        (renamed_text, "A03"),
        (play_list, "A03"),
        (joined_list, "A03"),
        (m4a_without_end, "A03"),
        (header_only, "A03"),
        (picture_only, "A04"),
        (silence, "A05"),
        (faint_hiss, "A05"),
        (too_short, "A06"),
    ],
    ids=lambda value: getattr(value, "__name__", value),
)
def test_refused(tmp_path: Path, make: Callable[[Path], Path], code: str) -> None:
    with pytest.raises(AudioError) as caught:
        check_sound(make(tmp_path))
    assert caught.value.code == code
    assert caught.value.way_out


def test_too_long_is_refused_and_just_long_enough_is_not(tmp_path: Path) -> None:
    path = wav(tmp_path / "run.wav", tone(16_000))
    with pytest.raises(AudioError) as caught:
        check_sound(path, longest_ms=SECONDS * 1000 - 1)
    assert caught.value.code == "A07"
    assert check_sound(path, longest_ms=SECONDS * 1000).duration == SECONDS * 1000


def fine(folder: Path) -> Path:
    return wav(folder / "fine.wav", tone(16_000, level=0.9))


def loud_stereo(folder: Path) -> Path:
    return wav(folder / "stereo.wav", tone(44_100, 2, level=0.95), 44_100)


def clipped(folder: Path) -> Path:
    return wav(folder / "clipped.wav", np.clip(tone(16_000, level=1.6), -1, 1))


def clipped_mp3(folder: Path) -> Path:
    soundfile.write(folder / "c.mp3", np.clip(tone(44_100, level=2.0), -1, 1), 44_100)
    return folder / "c.mp3"


def telephone(folder: Path) -> Path:
    return wav(folder / "call.wav", tone(8_000), 8_000)


def cut_mp3(folder: Path) -> Path:
    soundfile.write(folder / "run.mp3", tone(44_100, seconds=30), 44_100)
    whole = (folder / "run.mp3").read_bytes()
    (folder / "cut.mp3").write_bytes(whole[: len(whole) * 6 // 10])
    return folder / "cut.mp3"


def cut_wav(folder: Path) -> Path:
    whole = wav(folder / "run.wav", tone(16_000, seconds=30)).read_bytes()
    (folder / "cut.wav").write_bytes(whole[: len(whole) * 6 // 10])
    return folder / "cut.wav"


def holed_mp3(folder: Path) -> Path:
    soundfile.write(folder / "run.mp3", tone(44_100, seconds=30), 44_100)
    whole = bytearray((folder / "run.mp3").read_bytes())
    middle = len(whole) // 2
    whole[middle : middle + 4000] = bytes(4000)
    (folder / "holed.mp3").write_bytes(whole)
    return folder / "holed.mp3"


def quiet(folder: Path) -> Path:
    return wav(folder / "quiet.wav", tone(16_000, level=0.005))


def three_seconds(folder: Path) -> Path:
    return wav(folder / "three.wav", tone(16_000, seconds=3))


@pytest.mark.parametrize(
    ("make", "codes"),
    [
        (fine, []),
        (loud_stereo, []),
        (clipped, ["N01"]),
        (clipped_mp3, ["N01"]),
        (telephone, ["N02"]),
        (cut_mp3, ["N03"]),
        (cut_wav, ["N03"]),
        (quiet, ["N04"]),
        (three_seconds, ["N05"]),
    ],
    ids=lambda value: getattr(value, "__name__", None),
)
def test_usable_with_notices(
    tmp_path: Path, make: Callable[[Path], Path], codes: list[str]
) -> None:
    assert [notice.code for notice in check_sound(make(tmp_path)).notices] == codes


def test_a_hole_in_the_file_does_not_stop_decoding(tmp_path: Path) -> None:
    sound = check_sound(holed_mp3(tmp_path))
    assert sound.duration > 25_000


def test_cut_file_is_used_as_far_as_it_goes(tmp_path: Path) -> None:
    assert check_sound(cut_wav(tmp_path)).duration == pytest.approx(18_000, abs=20)


def test_wav_whose_recorder_crashed_before_writing_its_length(tmp_path: Path) -> None:
    whole = bytearray(wav(tmp_path / "run.wav", tone(16_000)).read_bytes())
    assert whole[36:40] == b"data"
    whole[4:8] = whole[40:44] = b"\xff\xff\xff\xff"
    (tmp_path / "crashed.wav").write_bytes(whole)
    assert check_sound(tmp_path / "crashed.wav").duration == SECONDS * 1000


def test_stereo_with_a_dead_channel_is_heard(tmp_path: Path) -> None:
    sound = tone(44_100, 2)
    sound[:, 1] = 0
    path = wav(tmp_path / "half.wav", sound, 44_100)
    assert check_sound(path).loudest_db == pytest.approx(-3.0 - 10.5 - 6.0, abs=0.5)


def test_a_name_that_reads_like_an_address_is_only_a_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    wav(tmp_path / "run.wav", tone(16_000)).rename(tmp_path / "concat:run.wav")
    assert check_sound("concat:run.wav").duration == SECONDS * 1000


def test_blocks_are_bounded_and_start_where_asked(tmp_path: Path) -> None:
    noise = np.random.default_rng(0).uniform(-0.5, 0.5, 70 * RATE).astype(np.float32)
    path = tmp_path / "long.wav"
    soundfile.write(path, noise, RATE, subtype="FLOAT")
    pieces = list(blocks(path))
    assert [piece.size for piece in pieces] == [BLOCK, BLOCK, 10 * RATE]
    # The decoder keeps 16 bits, half a step of which is 1.5e-5.
    np.testing.assert_allclose(np.concatenate(pieces), noise, atol=1e-4)
    for start in (0, 1, BLOCK - 1, BLOCK, BLOCK + 7, noise.size - 1):
        np.testing.assert_allclose(
            np.concatenate(list(blocks(path, start=start))), noise[start:], atol=1e-4
        )
    assert list(blocks(path, start=noise.size)) == []


@pytest.mark.parametrize("kept_ms", [0, 3_600_000])
def test_a_long_sound_is_decoded_again_and_a_short_one_is_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, kept_ms: int
) -> None:
    monkeypatch.setattr(decode, "KEPT_MS", kept_ms)
    noise = np.random.default_rng(0).uniform(-0.5, 0.5, 40 * 44_100).astype(np.float32)
    path = wav(tmp_path / "run.wav", noise, 44_100)
    sound = check_sound(path)
    assert (sound.kept is not None) is bool(kept_ms)
    for start in (0, 777, BLOCK + 5):
        ours = np.concatenate(list(sound.blocks(start=start)))
        np.testing.assert_array_equal(ours, np.concatenate(list(blocks(path, start=start))))
