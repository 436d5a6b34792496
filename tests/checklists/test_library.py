"""Shipped checklists and profiles are found by name, files by path, and slips get an offer."""

from __future__ import annotations

from pathlib import Path

import pytest

import walkgrade
from walkgrade.checklists import library
from walkgrade.checklists.faults import FaultyFileError
from walkgrade.checklists.library import (
    find_checklist,
    find_profile,
    list_checklists,
    list_profiles,
    reference_folder,
)


def test_the_shipped_names() -> None:
    assert list_checklists() == tuple(sorted(list_checklists()))
    for vehicle in ("school-bus-air", "school-bus-hydraulic", "coach-air"):
        assert {f"{vehicle}-classic", f"{vehicle}-modern"} <= set(list_checklists())
    buses = {"yard-bus-air", "yard-bus-lift", "yard-bus-hydraulic", "yard-coach"}
    assert buses <= set(list_profiles())
    shared = {"school-bus", "coach", "parts", "parts-hydraulic", "parts-coach", "sources"}
    assert not shared & set(list_checklists())


@pytest.mark.parametrize("name", list_checklists())
def test_a_checklist_carries_the_name_it_is_found_by(name: str) -> None:
    assert find_checklist(name).id == name
    assert find_checklist(str(reference_folder() / f"{name}.yaml")) == find_checklist(name)


@pytest.mark.parametrize("name", list_profiles())
def test_a_profile_carries_the_name_it_is_found_by(name: str) -> None:
    assert find_profile(name).id == name


@pytest.mark.parametrize(
    ("given", "offered"),
    [
        ("school-bus-clasic", "school-bus-air-classic"),
        ("modern", "school-bus-air-modern"),
        ("zzzz", "school-bus-air-classic, school-bus-air-modern"),
    ],
)
def test_an_unknown_checklist_gets_the_nearest_names(given: str, offered: str) -> None:
    with pytest.raises(FaultyFileError) as caught:
        find_checklist(given)
    assert caught.value.code == "C03"
    assert offered in caught.value.way_out


def test_an_unknown_profile_gets_the_nearest_names() -> None:
    with pytest.raises(FaultyFileError, match="yard-bus-lift"):
        find_profile("yard-bus-lfit")


@pytest.mark.parametrize("given", ["nowhere/list.yaml", "list.yaml", "./list"])
def test_a_path_that_is_not_there_is_a_file_fault(given: str) -> None:
    with pytest.raises(FaultyFileError) as caught:
        find_checklist(given)
    assert caught.value.code == "C01"


def test_the_installed_package_is_used_first(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    package = tmp_path / "walkgrade"
    package.mkdir()
    (package / "__init__.py").touch()
    monkeypatch.setattr(walkgrade, "__file__", str(package / "__init__.py"))
    assert library.reference_folder() == tmp_path / "reference_checklists"
    (package / "reference_checklists").mkdir()
    assert library.reference_folder() == package / "reference_checklists"
