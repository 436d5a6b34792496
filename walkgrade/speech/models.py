"""Find a recogniser model, check that it is whole, and say what it is.

Decides: what the words after ``--model`` mean: a name of the manifest, a folder that holds a
CTranslate2 Whisper model, or (only when the caller allows it) a name on a model hub.
Conventions: weights are data. Packages that carry them are located, never imported. Every file of
a named model is checked against its sha256 before it is loaded. A sum may be remembered by path,
size, modification time and change time; any write to the file changes one of them, so a changed
file is read again.
Public: `DEFAULT_MODEL`, `ModelFolder`, `identify_model`, `resolve_model`, `installed_models`.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import BinaryIO

from walkgrade.errors import ModelError, OutputError
from walkgrade.speech.additions import made_whole, make_folder
from walkgrade.speech.manifest import Additions, ModelFile, NamedModel, Part, named_models
from walkgrade.speech.places import cache_folder, digest_of, write_whole

DEFAULT_MODEL = "trade"
NEEDED_FILES = ("model.bin", "config.json", "tokenizer.json")


@dataclass(frozen=True, slots=True, kw_only=True)
class ModelFolder:
    """A verified folder to load from; `sha256` stands for its weights (`NamedModel.sha256`).

    `english`: the weights are for English only, though they may still know the signs of other
    languages: what they guess of a language is worth nothing.
    """

    name: str
    folder: Path
    sha256: str
    english: bool = False


def installed_models() -> tuple[NamedModel, ...]:
    """The manifest's models whose every part is on this machine (not yet verified)."""
    return tuple(
        model
        for model in named_models().values()
        if all(part.locate() for file in model.files for part in file.parts)
    )


def identify_model(model: str, *, cache_dir: str | Path | None = None) -> tuple[str, str] | None:
    """Name and sha256 of a model without reading weights when they are named in the manifest.

    None when `model` is neither a manifest name nor a folder (a hub name not yet fetched).
    """
    named = named_models().get(model)
    if named is not None:
        return named.name, named.sha256
    folder = Path(model)
    if model and folder.is_dir():
        return _folder_model(folder, cache_folder(cache_dir)).name, _sum_of_folder(
            folder, cache_folder(cache_dir)
        )
    return None


def resolve_model(
    model: str = DEFAULT_MODEL,
    *,
    cache_dir: str | Path | None = None,
    allow_hub: bool = False,
) -> ModelFolder:
    """Turn the words after ``--model`` into a verified folder.

    Raises
    ------
    ModelError M01 : no such name or folder. M02 : the package of a named model is not installed.
    M03 : a file differs from its sha256. M04 : a folder is no CTranslate2 Whisper model.
    M05 : the hub did not give the model.
    """
    cache = cache_folder(cache_dir)
    named = named_models().get(model)
    if named is not None:
        return _named_model(named, cache)
    if model and Path(model).is_dir():
        return _folder_model(Path(model), cache)
    if model and allow_hub and not _looks_like_path(model):
        return _folder_model(_fetch(model), cache, name=model)
    names = ", ".join(named_models())
    raise ModelError(
        "M01",
        f"no model {model!r}: it is neither one of {names} nor a folder.",
        "Give one of these names or the folder of a CTranslate2 Whisper model"
        + ("." if allow_hub else ", or allow a download from the model hub."),
    )


def _looks_like_path(model: str) -> bool:
    return model.startswith((".", "~", os.sep)) or model.count("/") > 1 or "\\" in model


def _named_model(named: NamedModel, cache: Path) -> ModelFolder:
    """Use the package's own folder when it holds every file whole, else join into the cache."""
    if named.additions is not None:
        return _model_with(named.additions, named, cache)
    located = {file.name: [_find(part, named) for part in file.parts] for file in named.files}
    single = {places[0].parent for places in located.values() if len(places) == 1}
    whole = all(
        len(located[file.name]) == 1 and located[file.name][0].name == file.name
        for file in named.files
    )
    if whole and len(single) == 1:
        folder = single.pop()
        for file in named.files:
            _verify(folder / file.name, file, named, cache)
    else:

        def join(place: Path) -> None:
            for file in named.files:
                _join(place / file.name, file, located[file.name], named, cache)

        folder = _made(named, cache, join)
    return _ready(named, folder)


def _model_with(additions: Additions, named: NamedModel, cache: Path) -> ModelFolder:
    """The model it stands upon with the additions, made once into the cache."""
    upon = _named_model(named_models()[additions.upon], cache).folder
    found = _remembered_sum(additions.place, cache) if additions.place.is_file() else "none"
    if found != additions.sha256:
        raise ModelError(
            "M03",
            f"{additions.place.name} of model {named.name!r} is damaged or missing: "
            f"sha256 {found[:16]}, expected {additions.sha256[:16]}… ({additions.place}).",
            "Install walkgrade again.",
        )

    def make(place: Path) -> None:
        if not made_whole(place, lambda file: _remembered_sum(file, cache)):
            make_folder(upon, additions.place, place)
            _remembered_sum(place / "model.bin", cache)

    return _ready(named, _made(named, cache, make))


def _made(named: NamedModel, cache: Path, make: Callable[[Path], None]) -> Path:
    """The model's folder, made in the cache; one that cannot be written costs making it anew each
    time, in a folder that is gone when the program ends."""
    folder = cache / "models" / f"{named.name}-{named.sha256[:12]}"
    try:
        make(folder)
    except OutputError:
        folder = Path(_scratch().name) / folder.name
        make(folder)
    return folder


def _ready(named: NamedModel, folder: Path) -> ModelFolder:
    return ModelFolder(
        name=named.name, folder=folder, sha256=named.sha256, english=not named.multilingual
    )


@lru_cache(maxsize=1)
def _scratch() -> TemporaryDirectory[str]:
    """A folder that is gone when the program ends."""
    return TemporaryDirectory(prefix="walkgrade-")


def _find(part: Part, named: NamedModel) -> Path:
    place = part.locate()
    if place is None:
        raise ModelError(
            "M02",
            f"model {named.name!r} needs {part.path} from the package {part.package}, "
            "which is not installed.",
            f"Install it once: {named.install}.",
        )
    return place


def _verify(place: Path, file: ModelFile, named: NamedModel, cache: Path) -> None:
    found = _remembered_sum(place, cache)
    if found != file.sha256:
        raise _damaged(named, place, file, found)


def _join(place: Path, file: ModelFile, parts: list[Path], named: NamedModel, cache: Path) -> None:
    """Make `place` from its parts unless it is already there and whole."""
    if place.is_file() and _remembered_sum(place, cache) == file.sha256:
        return
    total = hashlib.sha256()

    def copy(out: BinaryIO) -> None:
        for part in parts:
            with open(part, "rb") as source:
                while block := source.read(1 << 20):
                    total.update(block)
                    out.write(block)
        if total.hexdigest() != file.sha256:
            raise _damaged(named, place, file, total.hexdigest())

    write_whole(place, copy)
    _remembered_sum(place, cache)


def _damaged(named: NamedModel, place: Path, file: ModelFile, found: str) -> ModelError:
    return ModelError(
        "M03",
        f"{file.name} of model {named.name!r} is damaged or not the published file: "
        f"sha256 {found[:16]}…, expected {file.sha256[:16]}… ({place}).",
        f"Install it again: {named.install} --force-reinstall.",
    )


def _folder_model(folder: Path, cache: Path, name: str = "") -> ModelFolder:
    missing = [name for name in NEEDED_FILES if not (folder / name).is_file()]
    if missing:
        raise ModelError(
            "M04",
            f"{folder} is not a CTranslate2 Whisper model: {', '.join(missing)} missing.",
            "Give the folder that holds model.bin, config.json and tokenizer.json.",
        )
    return ModelFolder(
        name=name or folder.resolve().name, folder=folder, sha256=_sum_of_folder(folder, cache)
    )


def _sum_of_folder(folder: Path, cache: Path) -> str:
    return _remembered_sum(folder / "model.bin", cache)


def _fetch(model: str) -> Path:
    """Fetch a model from the hub; the one place of the project that may use the network."""
    from faster_whisper.utils import download_model

    try:
        return Path(download_model(model))
    except Exception as error:  # the hub library raises a wide range of types
        raise ModelError(
            "M05",
            f"the hub did not give the model {model!r}: {error}",
            "Check the name and the connection, or use a model that comes as a package.",
        ) from error


def _remembered_sum(place: Path, cache: Path) -> str:
    """The sha256 of a file, from memory if the file has not been touched since it was read."""
    memory = cache / "models" / "sums.json"
    known = _read_memory(memory)
    stat = place.stat()
    stamp = [stat.st_size, stat.st_mtime_ns, stat.st_ctime_ns]
    entry = known.get(str(place.resolve()))
    if isinstance(entry, dict) and entry.get("stamp") == stamp and "sha256" in entry:
        return str(entry["sha256"])
    found = digest_of(place)
    known[str(place.resolve())] = {"stamp": stamp, "sha256": found}
    try:
        write_whole(memory, lambda out: out.write(json.dumps(known, indent=1).encode()))
    except OutputError:
        # A read-only cache only costs reading the weights again next time.
        return found
    return found


def _read_memory(memory: Path) -> dict[str, object]:
    try:
        data = json.loads(memory.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return data if isinstance(data, dict) else {}
