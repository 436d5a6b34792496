"""The split: every voice on one side, every speaker on one side, enough voices to report on."""

from pathlib import Path

import pytest

from seeds.split import SPLIT_FILE, load_split, voices_beside
from seeds.voices import VOICES
from walkgrade.errors import InputError


def test_split_holds() -> None:
    split = load_split()
    sides = {name: split.part_of_voice(name) for name in VOICES}
    speakers: dict[str, set[str]] = {}
    for name, side in sides.items():
        speakers.setdefault(VOICES[name].speaker, set()).add(side)
    assert all(len(parts) == 1 for parts in speakers.values())
    report = [name for name, side in sides.items() if side == "report"]
    assert len({VOICES[name].speaker for name in report}) >= 5
    assert split.part_of_script("demo-full") == "tune"


@pytest.mark.parametrize("name", VOICES)
def test_company_is_of_the_same_side_and_somebody_else(name: str) -> None:
    split, speakers = load_split(), {VOICES[name].speaker}
    for other in voices_beside(name):
        assert split.part_of_voice(other) == split.part_of_voice(name)
        speakers.add(VOICES[other].speaker)
    assert len(speakers) == 3


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("festival-ked,", "festival-ked, festival-slt,", "festival-slt stands twice"),
        ("flite-kal, ", "", "flite-kal stands nowhere"),
        ("[flite-rms,", "[flite-rms, flite-xyz,", "no voice flite-xyz"),
    ],
)
def test_faults_are_named(tmp_path: Path, old: str, new: str, said: str) -> None:
    text = SPLIT_FILE.read_text(encoding="utf-8")
    assert old in text
    path = tmp_path / "split.yaml"
    path.write_text(text.replace(old, new), encoding="utf-8")
    with pytest.raises(InputError, match=said) as caught:
        load_split(path)
    assert caught.value.code == "I93"


def test_speaker_on_two_sides_is_named(tmp_path: Path) -> None:
    text = SPLIT_FILE.read_text(encoding="utf-8")
    moved = text.replace(", festival-kal]", "]").replace("[flite-rms,", "[festival-kal, flite-rms,")
    path = tmp_path / "split.yaml"
    path.write_text(moved.replace("\n             espeak-us-fast,", " espeak-us-fast,"))
    with pytest.raises(InputError, match="speaker kal stands in check and tune"):
        load_split(path)


def test_unknown_names() -> None:
    split = load_split()
    for ask in (lambda: split.part_of_voice("nobody"), lambda: split.part_of_script("run-1")):
        with pytest.raises(InputError) as caught:
            ask()
        assert caught.value.code == "I93"
