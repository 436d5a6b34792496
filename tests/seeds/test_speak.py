"""Speaking a script: times, voices, conditions and files, with tones in place of engines."""

import hashlib
import json
from pathlib import Path

import numpy as np
import pytest
import soundfile

from seeds import speak, voices
from seeds.noise import measured_snr
from seeds.script import Script, ScriptLine
from walkgrade.errors import InputError, ModelError

RATE = speak.RATE


def line(text: str, pause_ms: int = 400, who: str = "trainee") -> ScriptLine:
    return ScriptLine(
        text=text, pause_ms=pause_ms, who=who, earns=(), wrong=(), numbers=(), flags=()
    )


SCRIPT = Script(
    id="tune-x", checklist="c", profile="p", speaker="s", part="tune", complete_run=True,
    lines=(line("tread 4/32", 1500), line("go on", who="examiner"), line("rims", 2000)),
)  # fmt: skip


class Tones:
    """Half a second of tone per line; remembers what was asked of it."""

    def __init__(self) -> None:
        self.asked: list[tuple[str, str]] = []

    def __call__(self, text: str, who: voices.Voice) -> np.ndarray:
        self.asked.append((text, who.name))
        wave = np.sin(2 * np.pi * 300 * np.arange(RATE // 2) / RATE)
        return (0.1 * wave).astype(np.float32)


def test_times_voices_and_words() -> None:
    tones = Tones()
    run = speak.speak_script(SCRIPT, "piper-joe", "clean", say_line=tones)
    assert run.times == ((1500, 2000), (2400, 2900), (4900, 5400))
    assert run.duration_ms == 6200
    assert [text for text, _ in tones.asked] == ["tread four thirty-seconds", "go on", "rims"]
    first, second, third = (name for _, name in tones.asked)
    assert first == third == "piper-joe"
    assert voices.VOICES[second].speaker != "joe"
    for start, end in run.times:
        assert np.any(run.samples[start * 16 : end * 16])
    assert not np.any(run.samples[: 1500 * 16])


def test_one_voice_may_speak_for_all_others() -> None:
    tones = Tones()
    speak.speak_script(SCRIPT, "piper-joe", "clean", say_line=tones, beside="flite-slt")
    assert [name for _, name in tones.asked] == ["piper-joe", "flite-slt", "piper-joe"]


@pytest.mark.parametrize(("condition", "wanted"), [("snr20", 20), ("snr10", 10), ("snr5", 5)])
def test_noise_is_as_loud_as_the_condition_says(condition: str, wanted: float) -> None:
    clean = speak.speak_script(SCRIPT, "piper-joe", "clean", say_line=Tones())
    noisy = speak.speak_script(SCRIPT, "piper-joe", condition, say_line=Tones())
    again = speak.speak_script(SCRIPT, "piper-joe", condition, say_line=Tones())
    assert np.array_equal(noisy.samples, again.samples)
    assert noisy.times == clean.times
    assert noisy.snr_db == pytest.approx(wanted, abs=0.01)
    yard = noisy.samples - clean.samples
    assert measured_snr(clean.samples, yard, RATE) == pytest.approx(wanted, abs=0.5)


def test_files_hold_the_sound_and_the_true_times(tmp_path: Path) -> None:
    path = tmp_path / "run.opus"
    run = speak.speak_script(SCRIPT, "flite-slt", "phone-snr10", say_line=Tones())
    speak.write_recording(run, path)
    info = soundfile.info(path)
    assert (info.format, info.subtype, info.channels) == ("OGG", "OPUS", 1)
    assert info.duration == pytest.approx(6.2, abs=0.05)
    side = json.loads(path.with_suffix(".json").read_text(encoding="utf-8"))
    assert side["sha256"] == hashlib.sha256(path.read_bytes()).hexdigest()
    assert [(one["start"], one["end"]) for one in side["lines"]] == list(run.times)
    assert side["snr_db"] == pytest.approx(10, abs=0.5)


def test_cache_speaks_once_per_content(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    spoken: list[str] = []

    def tone(text: str, who: voices.Voice) -> tuple[np.ndarray, int]:
        spoken.append(text)
        return (0.3 * np.sin(np.arange(22050) / 10)).astype(np.float32), 22050

    monkeypatch.setenv("WALKGRADE_SEEDS_CACHE", str(tmp_path))
    monkeypatch.setattr(speak, "say", tone)
    slt, kal = voices.voice("flite-slt"), voices.voice("flite-kal")
    first = speak.cached_line("rims", slt)
    assert np.array_equal(first, speak.cached_line("rims", slt))
    speak.cached_line("rims", kal)
    speak.cached_line("lugs", slt)
    assert spoken == ["rims", "rims", "lugs"]
    assert np.sqrt(np.mean(first**2)) == pytest.approx(speak.LEVEL, rel=0.05)


def test_refusals() -> None:
    with pytest.raises(InputError) as condition:
        speak.speak_script(SCRIPT, "piper-joe", "loud", say_line=Tones())
    assert condition.value.code == "I92"
    with pytest.raises(ModelError) as name:
        speak.speak_script(SCRIPT, "joey", "clean", say_line=Tones())
    assert name.value.code == "M91"


def test_missing_engine_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(voices.shutil, "which", lambda _: None)
    with pytest.raises(ModelError, match="festvox") as caught:
        voices.say("rims", voices.voice("festival-ked"))
    assert caught.value.code == "M92"


@pytest.mark.parametrize("name", [name for name in voices.VOICES if not name.startswith("kokoro")])
def test_every_plain_voice_speaks(name: str) -> None:
    who = voices.voice(name)
    if voices.missing_tool(who.engine):
        pytest.skip(f"{who.engine} is not on this machine")
    sound, rate = voices.say("Lug nuts.", who)
    assert 0.3 < len(sound) / rate < 3
