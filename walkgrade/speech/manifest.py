"""The list of recogniser weights that come as packages.

Decides: which models have names, which files make them up and what each file's sha256 is.
Conventions: the list is TOML; it lies in `models/` of the source tree and in
`walkgrade/model_data/` of an installed copy. File parts join in the order listed. A model may
stand upon another of the list, with additions that ship beside the list.
Public: `NamedModel`, `ModelFile`, `Additions`, `Part`, `load_manifest`, `named_models`.
"""

from __future__ import annotations

import hashlib
import re
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path
from typing import Any

from walkgrade.errors import ModelError

_PACKAGE_ROOT = Path(__file__).resolve().parent.parent
MANIFEST_PLACES = (
    _PACKAGE_ROOT / "model_data" / "manifest.toml",
    _PACKAGE_ROOT.parent / "models" / "manifest.toml",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A stretch of a model file: a path inside an installed package."""

    package: str
    path: str

    def locate(self) -> Path | None:
        """The file on disk, or None if the package or the file is not there (imports nothing)."""
        try:
            place = Path(str(distribution(self.package).locate_file(self.path)))
        except PackageNotFoundError:
            return None
        return place if place.is_file() else None


@dataclass(frozen=True, slots=True, kw_only=True)
class ModelFile:
    """One file of a model: its name, size in bytes, sha256 and where its parts lie."""

    name: str
    size: int
    sha256: str
    parts: tuple[Part, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Additions:
    """What is added to the weights of the model `upon`: a file and its sha256."""

    upon: str
    place: Path
    sha256: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedModel:
    """A model of the manifest with its source, licence and the command that installs it; its files
    are those of the model it stands upon if it has `additions`."""

    name: str
    title: str
    source: str
    licence: str
    multilingual: bool
    install: str
    files: tuple[ModelFile, ...]
    additions: Additions | None = None

    @property
    def sha256(self) -> str:
        """The sum that stands for the model: that of ``model.bin``, or of that sum and the
        additions' together."""
        own = next(file.sha256 for file in self.files if file.name == "model.bin")
        if self.additions is None:
            return own
        return hashlib.sha256(f"{own} {self.additions.sha256}".encode()).hexdigest()


def load_manifest(path: Path) -> tuple[NamedModel, ...]:
    """Read a manifest.

    Raises
    ------
    ModelError M06 : the manifest is missing, is not TOML or lacks a key.
    """
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
        models: dict[str, NamedModel] = {}
        for entry in data["model"]:
            models[str(entry["name"])] = _model(entry, models, path.parent)
        return tuple(models.values())
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise ModelError(
            "M06",
            f"the list of models {path} cannot be used ({type(error).__name__}: {error}).",
            "Install walkgrade again.",
        ) from error


@cache
def named_models() -> dict[str, NamedModel]:
    """The models of the shipped manifest by name, in the manifest's order."""
    place = next((place for place in MANIFEST_PLACES if place.is_file()), MANIFEST_PLACES[0])
    return {model.name: model for model in load_manifest(place)}


def _model(entry: dict[str, Any], known: dict[str, NamedModel], home: Path) -> NamedModel:
    additions = _additions(entry["additions"], home) if "additions" in entry else None
    return NamedModel(
        name=str(entry["name"]),
        title=str(entry["title"]),
        source=str(entry["source"]),
        licence=str(entry["licence"]),
        multilingual=bool(entry["multilingual"]),
        install=str(entry["install"]),
        files=known[additions.upon].files
        if additions
        else tuple(_file(file) for file in entry["file"]),
        additions=additions,
    )


def _additions(entry: dict[str, Any], home: Path) -> Additions:
    return Additions(
        upon=str(entry["upon"]), place=home / _plain_name(entry["file"]), sha256=_sum(entry)
    )


def _file(entry: dict[str, Any]) -> ModelFile:
    return ModelFile(
        name=_plain_name(entry["name"]),
        size=int(entry["size"]),
        sha256=_sum(entry),
        parts=tuple(Part(package=p["package"], path=p["path"]) for p in entry["parts"]),
    )


def _plain_name(name: object) -> str:
    if Path(str(name)).name != str(name):
        raise ValueError(f"file name {name!r} must not contain a folder")
    return str(name)


def _sum(entry: dict[str, Any]) -> str:
    sha256 = str(entry["sha256"])
    if not re.fullmatch(r"[0-9a-f]{64}", sha256):
        raise ValueError(f"sha256 {sha256!r} is not 64 hex digits")
    return sha256
