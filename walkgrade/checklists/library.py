"""The checklists and vehicle profiles that come with the program.

Decides: where they lie (in the source tree, or inside the installed package) and how a name or a
path is understood: a word without a slash and without ``.yaml`` is a name, anything else a path.
Conventions: a file is a checklist when it has `sections`; shared files beside it are not listed.
Public: `list_checklists`, `list_overlays`, `list_profiles`, `find_checklist`,
`find_profile`, `reference_folder`, `shipped_parts`.
"""

from __future__ import annotations

from pathlib import Path

from rapidfuzz import process

import walkgrade
from walkgrade.checklists.faults import FaultyFileError
from walkgrade.checklists.gather import gather
from walkgrade.checklists.loader import load_profile
from walkgrade.checklists.overlay import load_any
from walkgrade.checklists.records import Checklist, VehicleProfile
from walkgrade.checklists.resolve import whole_parts
from walkgrade.checklists.schema import PartEntry


def reference_folder() -> Path:
    """Folder of the shipped checklists: beside the package in a source tree, else inside it."""
    package = Path(walkgrade.__file__).resolve().parent
    inside = package / "reference_checklists"
    return inside if inside.is_dir() else package.parent / "reference_checklists"


def list_checklists() -> tuple[str, ...]:
    """Names of the shipped checklists, sorted."""
    return tuple(
        path.stem
        for path in sorted(reference_folder().glob("*.yaml"))
        if any(line.startswith("sections:") for line in path.read_text("utf-8").splitlines())
    )


def list_overlays() -> tuple[str, ...]:
    """Names of the shipped overlays (changes of a checklist for a state), sorted."""
    return tuple(path.stem for path in sorted(_overlay_folder().glob("*.yaml")))


def list_profiles() -> tuple[str, ...]:
    """Names of the shipped vehicle profiles, sorted."""
    return tuple(path.stem for path in sorted((reference_folder() / "profiles").glob("*.yaml")))


def find_checklist(name_or_path: str) -> Checklist:
    """Load a checklist, or an overlay of one, by shipped name or by path.

    Raises
    ------
    FaultyFileError : C03 unknown name (the nearest are offered); C01, C02 and C06 from the file.
    """
    return load_any(_checklist_path(name_or_path), _base_path)


def shipped_parts() -> dict[str, PartEntry]:
    """Every part of the shipped checklists by id, with what it takes from the part it is like."""
    parts: dict[str, PartEntry] = {}
    for name in list_checklists():
        for part, entry in whole_parts(gather(reference_folder() / f"{name}.yaml")).items():
            parts.setdefault(part, entry)
    return parts


def find_profile(name_or_path: str) -> VehicleProfile:
    """Load a vehicle profile by shipped name or by path.

    Raises
    ------
    FaultyFileError : C03 unknown name (the nearest are offered); C01 and C04 from the file.
    """
    folder = reference_folder() / "profiles"
    return load_profile(_path(name_or_path, folder, list_profiles(), "vehicle profile"))


def _overlay_folder() -> Path:
    return reference_folder() / "overlays"


def _checklist_path(given: str) -> Path:
    if given in list_overlays():
        return _overlay_folder() / f"{given}.yaml"
    names = (*list_checklists(), *list_overlays())
    return _path(given, reference_folder(), names, "checklist")


def _base_path(given: str, owner: Path) -> Path:
    """A base named in an overlay: a file beside it, else a shipped name."""
    if Path(given).name != given:
        raise FaultyFileError(
            "C03",
            f"{given!r} is no shipped checklist and no file beside {owner.name}.",
            "Name a shipped checklist, or a file that lies beside the overlay.",
        )
    beside = owner.parent / given
    return beside if beside.suffix in (".yaml", ".yml") else _checklist_path(given)


def _path(given: str, folder: Path, names: tuple[str, ...], what: str) -> Path:
    if given in names:
        return folder / f"{given}.yaml"
    path = Path(given)
    if path.suffix in (".yaml", ".yml") or path.name != given:
        return path
    near = [name for name, _, _ in process.extract(given, names, limit=3, score_cutoff=40)]
    raise FaultyFileError(
        "C03",
        f"There is no {what} named {given!r}.",
        f"Nearest names: {', '.join(near or names)}. A path to a .yaml file works too.",
    )
