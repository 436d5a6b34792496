"""Weights: found as data, verified, refused when damaged."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

from walkgrade.errors import ModelError
from walkgrade.speech import manifest, models
from walkgrade.speech.manifest import load_manifest, named_models
from walkgrade.speech.models import identify_model, installed_models, resolve_model

PUBLISHED = {
    # sha256 of model.bin in the hub repositories Systran/faster-whisper-tiny.en and -base.
    "tiny.en": "1a5afae06a4db91c975c9a9d78be5cc110ee4ea022ad57d55492e4550e936b2a",
    "base": "d01c3014881c9c6f3133c182f3d2887eb6ca1c789a7538c5c007196857a0a6a9",
}


@dataclass
class Shelf:
    """Two made-up packages with weights, and the manifest that names them."""

    site: Path
    whole: Path
    part2: Path


def package(site: Path, name: str, files: dict[str, bytes]) -> None:
    """An installed package whose code must never run."""
    for path, data in {**files, f"{name}/__init__.py": b"raise SystemExit('imported')"}.items():
        place = site / path
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_bytes(data)
    info = site / f"{name}-1.0.dist-info"
    info.mkdir()
    (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {name}\nVersion: 1.0\n")


def entry(name: str, files: dict[str, tuple[bytes, list[tuple[str, str]]]]) -> str:
    lines = [f'[[model]]\nname = "{name}"\ntitle = "t"\nsource = "s"\nlicence = "MIT"']
    lines += ["multilingual = false", f'install = "pip install {name}"']
    for file, (data, parts) in files.items():
        lines += ["[[model.file]]", f'name = "{file}"', f"size = {len(data)}"]
        lines += [f'sha256 = "{hashlib.sha256(data).hexdigest()}"']
        joined = ", ".join(f'{{package = "{p}", path = "{path}"}}' for p, path in parts)
        lines += [f"parts = [{joined}]"]
    return "\n".join(lines)


@pytest.fixture
def shelf(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shelf:
    site = tmp_path / "site"
    package(
        site,
        "wg_whole",
        {f"wg_whole/m/{n}": n.encode() for n in ("model.bin", "config.json", "tokenizer.json")},
    )
    package(site, "wg_part1", {"wg_part1/d/bin.1": b"AA", "wg_part1/d/config.json": b"c"})
    package(site, "wg_part2", {"wg_part2/d/bin.2": b"BB"})
    text = entry(
        "whole",
        {
            n: (n.encode(), [("wg_whole", f"wg_whole/m/{n}")])
            for n in ("model.bin", "config.json", "tokenizer.json")
        },
    )
    text += "\n" + entry(
        "parts",
        {
            "model.bin": (
                b"AABB",
                [("wg_part1", "wg_part1/d/bin.1"), ("wg_part2", "wg_part2/d/bin.2")],
            ),
            "config.json": (b"c", [("wg_part1", "wg_part1/d/config.json")]),
        },
    )
    text += "\n" + entry("absent", {"model.bin": (b"x", [("wg_absent", "wg_absent/m/model.bin")])})
    (tmp_path / "manifest.toml").write_text(text)
    monkeypatch.syspath_prepend(str(site))
    monkeypatch.setattr(manifest, "MANIFEST_PLACES", (tmp_path / "manifest.toml",))
    named_models.cache_clear()
    yield Shelf(site, site / "wg_whole/m/model.bin", site / "wg_part2/d/bin.2")
    named_models.cache_clear()


def test_a_whole_package_is_used_where_it_lies(shelf: Shelf, tmp_path: Path) -> None:
    found = resolve_model("whole", cache_dir=tmp_path / "cache")
    assert found.folder == shelf.whole.parent
    assert found.sha256 == hashlib.sha256(b"model.bin").hexdigest()
    assert found.name == "whole"


def test_parts_are_joined_into_the_cache_once(shelf: Shelf, tmp_path: Path) -> None:
    found = resolve_model("parts", cache_dir=tmp_path / "cache")
    assert found.folder.is_relative_to(tmp_path / "cache")
    assert (found.folder / "model.bin").read_bytes() == b"AABB"
    written = (found.folder / "model.bin").stat().st_mtime_ns
    assert resolve_model("parts", cache_dir=tmp_path / "cache") == found
    assert (found.folder / "model.bin").stat().st_mtime_ns == written
    assert sorted(p.name for p in found.folder.iterdir()) == ["config.json", "model.bin"]


def test_a_damaged_joined_file_is_joined_again(shelf: Shelf, tmp_path: Path) -> None:
    found = resolve_model("parts", cache_dir=tmp_path / "cache")
    (found.folder / "model.bin").write_bytes(b"AAXB")
    resolve_model("parts", cache_dir=tmp_path / "cache")
    assert (found.folder / "model.bin").read_bytes() == b"AABB"


def test_a_damaged_part_is_refused_and_leaves_nothing(shelf: Shelf, tmp_path: Path) -> None:
    shelf.part2.write_bytes(b"BX")
    with pytest.raises(ModelError) as caught:
        resolve_model("parts", cache_dir=tmp_path / "cache")
    assert caught.value.code == "M03"
    assert not list((tmp_path / "cache").rglob("model.bin"))


def test_a_damaged_copy_is_refused_even_after_it_was_once_whole(
    shelf: Shelf, tmp_path: Path
) -> None:
    resolve_model("whole", cache_dir=tmp_path / "cache")
    before = shelf.whole.stat()
    shelf.whole.write_bytes(b"modelXbin")
    os.utime(shelf.whole, ns=(before.st_atime_ns, before.st_mtime_ns))
    assert shelf.whole.stat().st_size == before.st_size
    with pytest.raises(ModelError) as caught:
        resolve_model("whole", cache_dir=tmp_path / "cache")
    assert caught.value.code == "M03"
    assert "pip install whole" in caught.value.way_out


def test_the_sum_of_an_untouched_file_is_remembered(
    shelf: Shelf, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    resolve_model("whole", cache_dir=tmp_path / "cache")
    read: list[Path] = []
    monkeypatch.setattr(models, "digest_of", lambda path: read.append(path) or "")
    resolve_model("whole", cache_dir=tmp_path / "cache")
    assert read == []


@pytest.mark.parametrize("memory", ["", "{", "[]", '{"x": 1}'])
def test_a_damaged_memory_only_costs_time(shelf: Shelf, tmp_path: Path, memory: str) -> None:
    resolve_model("whole", cache_dir=tmp_path / "cache")
    (tmp_path / "cache" / "models" / "sums.json").write_text(memory)
    assert resolve_model("whole", cache_dir=tmp_path / "cache").name == "whole"


def test_code_of_the_packages_never_runs(shelf: Shelf, tmp_path: Path) -> None:
    resolve_model("parts", cache_dir=tmp_path / "cache")
    resolve_model("whole", cache_dir=tmp_path / "cache")
    assert not [name for name in sys.modules if name.startswith("wg_")]


def test_only_complete_models_count_as_installed(shelf: Shelf) -> None:
    assert [model.name for model in installed_models()] == ["whole", "parts"]
    shelf.part2.unlink()
    assert [model.name for model in installed_models()] == ["whole"]


@pytest.mark.parametrize(
    ("model", "code"),
    [
        ("absent", "M02"),
        ("no-such-model", "M01"),
        ("owner/name", "M01"),
        ("/no/such/folder", "M01"),
        ("", "M01"),
    ],
)
def test_refused(shelf: Shelf, tmp_path: Path, model: str, code: str) -> None:
    with pytest.raises(ModelError) as caught:
        resolve_model(model, cache_dir=tmp_path)
    assert caught.value.code == code
    assert caught.value.way_out


def test_a_missing_part_names_the_package(shelf: Shelf, tmp_path: Path) -> None:
    shelf.part2.unlink()
    with pytest.raises(ModelError) as caught:
        resolve_model("parts", cache_dir=tmp_path)
    assert caught.value.code == "M02"
    assert "wg_part2" in caught.value.message


def test_a_folder_is_taken_as_it_is(tmp_path: Path) -> None:
    folder = tmp_path / "small.en"
    folder.mkdir()
    with pytest.raises(ModelError) as caught:
        resolve_model(str(folder), cache_dir=tmp_path / "cache")
    assert caught.value.code == "M04"
    for name in ("model.bin", "config.json", "tokenizer.json"):
        (folder / name).write_text(name)
    found = resolve_model(str(folder), cache_dir=tmp_path / "cache")
    assert (found.name, found.folder) == ("small.en", folder)
    assert found.sha256 == hashlib.sha256(b"model.bin").hexdigest()
    assert identify_model(str(folder), cache_dir=tmp_path / "cache") == (
        "small.en",
        found.sha256,
    )


def test_the_hub_is_asked_only_when_allowed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []

    def fetch(name: str) -> str:
        asked.append(name)
        raise OSError("no connection")

    monkeypatch.setattr("faster_whisper.utils.download_model", fetch)
    with pytest.raises(ModelError) as caught:
        resolve_model("small.en", cache_dir=tmp_path)
    assert (caught.value.code, asked) == ("M01", [])
    with pytest.raises(ModelError) as caught:
        resolve_model("small.en", cache_dir=tmp_path, allow_hub=True)
    assert (caught.value.code, asked) == ("M05", ["small.en"])
    with pytest.raises(ModelError) as caught:
        resolve_model("./small.en", cache_dir=tmp_path, allow_hub=True)
    assert (caught.value.code, asked) == ("M01", ["small.en"])


def test_identity_of_named_models_needs_no_weights() -> None:
    assert identify_model("base") == ("base", PUBLISHED["base"])
    assert identify_model("nothing") is None


def test_the_shipped_manifest_holds_the_published_sums() -> None:
    found = {name: model.sha256 for name, model in named_models().items() if not model.additions}
    assert found == PUBLISHED
    for model in named_models().values():
        assert {file.name for file in model.files} == {
            "model.bin",
            "config.json",
            "tokenizer.json",
            "vocabulary.txt",
        }
        assert model.licence == "MIT"
        assert all(file.size > 0 for file in model.files)


@pytest.mark.parametrize("name", PUBLISHED)
def test_shipped_weights_are_genuine(name: str, tmp_path: Path) -> None:
    if name not in {model.name for model in installed_models()}:
        pytest.skip(f"the packages of {name} are not installed")
    found = resolve_model(name, cache_dir=tmp_path)
    for file in named_models()[name].files:
        assert (found.folder / file.name).stat().st_size == file.size
        assert models.digest_of(found.folder / file.name) == file.sha256


@pytest.mark.parametrize(
    "text",
    [
        None,
        "not toml [",
        "x = 1",
        '[[model]]\nname = "a"',
        entry("a", {"model.bin": (b"x", [("p", "f")])}).replace("sha256 = ", "sha256 = 'zz' #"),
        entry("a", {"../model.bin": (b"x", [("p", "f")])}),
    ],
    ids=["absent", "no toml", "no models", "few keys", "bad sum", "path in a name"],
)
def test_a_bad_manifest_is_refused(tmp_path: Path, text: str | None) -> None:
    path = tmp_path / "manifest.toml"
    if text is not None:
        path.write_text(text)
    with pytest.raises(ModelError) as caught:
        load_manifest(path)
    assert caught.value.code == "M06"


def test_finding_models_loads_no_engine() -> None:
    code = (
        "import sys; from walkgrade.speech.models import identify_model;"
        "identify_model('base'); import walkgrade.speech.listen;"
        "heavy = {'faster_whisper', 'ctranslate2', 'av', 'pydantic', 'onnxruntime'};"
        "print(sorted(heavy & set(sys.modules)))"
    )
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert out.stdout.strip() == "[]"
