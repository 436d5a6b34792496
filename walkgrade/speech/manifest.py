"""The list of recogniser weights that come as packages.

Decides: which models have names, which files make them up and what each file's sha256 is.
Conventions: the list is TOML; it lies in `models/` of the source tree and in
`walkgrade/model_data/` of an installed copy. File parts join in the order listed.
Public: `NamedModel`, `ModelFile`, `Part`, `load_manifest`, `named_models`.
"""

from __future__ import annotations

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
class NamedModel:
    """A model of the manifest with its source, licence and the command that installs it."""

    name: str
    title: str
    source: str
    licence: str
    multilingual: bool
    install: str
    files: tuple[ModelFile, ...]

    @property
    def sha256(self) -> str:
        """The sum that stands for the model: that of ``model.bin``."""
        return next(file.sha256 for file in self.files if file.name == "model.bin")


def load_manifest(path: Path) -> tuple[NamedModel, ...]:
    """Read a manifest.

    Raises
    ------
    ModelError M06 : the manifest is missing, is not TOML or lacks a key.
    """
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
        return tuple(_model(entry) for entry in data["model"])
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


def _model(entry: dict[str, Any]) -> NamedModel:
    return NamedModel(
        name=str(entry["name"]),
        title=str(entry["title"]),
        source=str(entry["source"]),
        licence=str(entry["licence"]),
        multilingual=bool(entry["multilingual"]),
        install=str(entry["install"]),
        files=tuple(_file(file) for file in entry["file"]),
    )


def _file(entry: dict[str, Any]) -> ModelFile:
    name, sha256 = str(entry["name"]), str(entry["sha256"])
    if Path(name).name != name:
        raise ValueError(f"file name {name!r} must not contain a folder")
    if not re.fullmatch(r"[0-9a-f]{64}", sha256):
        raise ValueError(f"sha256 of {name} is not 64 hex digits")
    return ModelFile(
        name=name,
        size=int(entry["size"]),
        sha256=sha256,
        parts=tuple(Part(package=p["package"], path=p["path"]) for p in entry["parts"]),
    )
