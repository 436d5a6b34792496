"""Weights with additions: read and written whole, added rightly, refused when damaged."""

from __future__ import annotations

import hashlib
import io
from pathlib import Path

import numpy as np
import pytest

from walkgrade.errors import ModelError
from walkgrade.speech import manifest, models
from walkgrade.speech.additions import made_whole, make_folder
from walkgrade.speech.engine import WhisperEngine
from walkgrade.speech.manifest import load_manifest, named_models
from walkgrade.speech.models import resolve_model
from walkgrade.speech.places import digest_of
from walkgrade.speech.tensors import Weights, read_weights, write_weights

W = np.arange(6, dtype=np.float16).reshape(2, 3)
UP, DOWN = np.array([[1.0], [-2.0]], np.float16), np.array([[0.5, 0.0, 1.0]], np.float16)


@pytest.fixture
def upon(tmp_path: Path) -> Path:
    """A model of two tensors."""
    weights = Weights(spec="WhisperSpec", revision=3, aliases=[("b", "a/weight")])
    weights.tensors = {"a/weight": W, "n": np.array(4, dtype=np.int16)}
    folder = tmp_path / "upon"
    folder.mkdir()
    with open(folder / "model.bin", "wb") as file:
        write_weights(weights, file)
    (folder / "config.json").write_text("{}")
    (folder / "code.py").write_text("never copied")
    return folder


def additions(place: Path, **kept: np.ndarray) -> Path:
    with open(place, "wb") as file:
        np.savez(file, **(kept or {"a|up": UP, "a|down": DOWN}))
    return place


def test_the_sum_is_written_and_the_rest_stays(upon: Path, tmp_path: Path) -> None:
    made = tmp_path / "made"
    make_folder(upon, additions(tmp_path / "x.npz"), made)
    found = read_weights(made / "model.bin")
    assert found.tensors["a/weight"].tolist() == [[0.5, 1, 3], [2, 4, 3]]
    assert found.tensors["a/weight"].dtype == np.float16
    assert found.tensors["n"] == 4
    assert found.aliases == [("b", "a/weight")]
    assert (found.spec, found.revision) == ("WhisperSpec", 3)
    assert sorted(p.name for p in made.iterdir()) == ["config.json", "made.json", "model.bin"]


def test_a_made_model_is_whole_until_a_byte_changes(upon: Path, tmp_path: Path) -> None:
    made = tmp_path / "made"
    assert not made_whole(made, digest_of)
    make_folder(upon, additions(tmp_path / "x.npz"), made)
    assert made_whole(made, digest_of)
    data = bytearray((made / "model.bin").read_bytes())
    data[-1] ^= 1
    (made / "model.bin").write_bytes(data)
    assert not made_whole(made, digest_of)


@pytest.mark.parametrize(
    "kept",
    [
        {"other|up": UP, "other|down": DOWN},
        {"a|up": UP, "a|down": DOWN[:, :2]},
        {"a|up": UP[:1], "a|down": DOWN},
    ],
)
def test_additions_for_another_model_are_refused(
    upon: Path, tmp_path: Path, kept: dict[str, np.ndarray]
) -> None:
    with pytest.raises(ValueError, match="does not fit"):
        make_folder(upon, additions(tmp_path / "x.npz", **kept), tmp_path / "made")
    assert not (tmp_path / "made" / "model.bin").exists()


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (lambda data: data[:-3], "ends too early"),
        (lambda data: data[:60], "ends too early"),
        (lambda data: b"\x05" + data[1:], "binary version 5"),
    ],
)
def test_a_file_of_weights_that_cannot_be_read_says_why(
    upon: Path, change: object, says: str
) -> None:
    place = upon / "model.bin"
    place.write_bytes(change(place.read_bytes()))  # type: ignore[operator]
    with pytest.raises(ValueError, match=says):
        read_weights(place)


@pytest.mark.audio
def test_the_published_weights_are_read_and_written_bit_for_bit() -> None:
    place = resolve_model("tiny.en").folder / "model.bin"
    out = io.BytesIO()
    write_weights(read_weights(place), out)
    assert hashlib.sha256(out.getvalue()).hexdigest() == named_models()["tiny.en"].sha256


@pytest.mark.audio
def test_the_usual_model_is_made_once_and_again_when_damaged(tmp_path: Path) -> None:
    found = resolve_model(cache_dir=tmp_path)
    assert found.folder.is_relative_to(tmp_path)
    assert found.sha256 not in (
        named_models()["tiny.en"].sha256,
        digest_of(found.folder / "model.bin"),
    )
    first, stamp = digest_of(found.folder / "model.bin"), (found.folder / "model.bin").stat()
    assert resolve_model(cache_dir=tmp_path) == found
    assert (found.folder / "model.bin").stat().st_mtime_ns == stamp.st_mtime_ns
    with open(found.folder / "model.bin", "r+b") as file:
        file.seek(1000)
        file.write(b"changed")
    resolve_model(cache_dir=tmp_path)
    assert digest_of(found.folder / "model.bin") == first


@pytest.mark.audio
def test_taught_weights_are_not_asked_for_a_language() -> None:
    """Their guess is worth nothing, though they stand upon weights that know many."""
    assert [WhisperEngine(resolve_model(name)).multilingual for name in ("base", "trade")] == [
        True,
        False,
    ]


@pytest.mark.audio
def test_a_cache_that_cannot_be_written_costs_time_only(tmp_path: Path) -> None:
    (tmp_path / "cache").write_text("a file where the folder should be")
    found = resolve_model(cache_dir=tmp_path / "cache")
    made = resolve_model(cache_dir=tmp_path / "good")
    assert found.sha256 == made.sha256
    assert digest_of(found.folder / "model.bin") == digest_of(made.folder / "model.bin")


@pytest.mark.audio
@pytest.mark.parametrize("damage", ["changed", "missing"])
def test_damaged_additions_are_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, damage: str
) -> None:
    source = next(place for place in manifest.MANIFEST_PLACES if place.is_file())
    (tmp_path / "manifest.toml").write_bytes(source.read_bytes())
    model = next(one for one in load_manifest(source) if one.additions)
    assert model.additions is not None
    if damage == "changed":
        copy = tmp_path / model.additions.place.name
        copy.write_bytes(model.additions.place.read_bytes()[:-1] + b"x")
    monkeypatch.setattr(manifest, "MANIFEST_PLACES", (tmp_path / "manifest.toml",))
    named_models.cache_clear()
    try:
        with pytest.raises(ModelError, match=model.additions.place.name) as caught:
            models.resolve_model(model.name, cache_dir=tmp_path / "cache")
        assert caught.value.code == "M03"
    finally:
        named_models.cache_clear()
