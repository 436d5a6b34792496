"""`walkgrade vehicle`: answers come from standard input; a file is whole or not there."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path

import pytest

from walkgrade.checklists.applicable import check_profile
from walkgrade.checklists.library import find_checklist
from walkgrade.checklists.loader import load_profile

KEYS = len(find_checklist("school-bus-air-classic").profile_keys)
Type = Callable[..., None]


@pytest.fixture
def types(monkeypatch: pytest.MonkeyPatch) -> Type:
    """Feed lines to standard input."""

    def feed(*lines: str) -> None:
        monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in lines)))

    return feed


def test_enter_all_the_way_writes_a_profile_that_fits(walkgrade, types: Type) -> None:
    types("Bus 14", *[""] * (KEYS + 1))
    done = walkgrade("vehicle", "bus-14")
    assert done.status == 0, done.err
    profile = load_profile(Path("bus-14.yaml"))
    assert (profile.id, profile.title) == ("bus-14", "Bus 14")
    check_profile(profile, find_checklist("school-bus-air-classic"))
    assert "--profile bus-14.yaml" in done.out
    assert "chock the wheels" in done.out
    checked = walkgrade("checklist", "check", "school-bus-air-classic", "-p", "bus-14.yaml")
    assert checked.status == 0, checked.err
    assert len(list(Path().iterdir())) == 1


def test_like_another_bus_for_another_list(walkgrade, types: Type) -> None:
    types(*[""] * (KEYS + 2))
    done = walkgrade("vehicle", "new.yml", "-c", "school-bus-air-modern", "--like", "yard-bus-lift")
    assert done.status == 0, done.err
    assert dict(load_profile(Path("new.yml")).fitted)["lift"] == "fitted"
    assert "--checklist school-bus-air-modern --profile new.yml" in done.out


def test_what_is_there_is_kept_unless_asked_and_then_offered(walkgrade, types: Type) -> None:
    types("Bus 14", "2", *[""] * KEYS)
    assert walkgrade("vehicle", "bus.yaml").status == 0
    before = Path("bus.yaml").read_bytes()
    refused = walkgrade("vehicle", "bus.yaml")
    assert refused.status == 2
    assert "[I09]" in refused.err
    types(*[""] * (KEYS + 2))
    assert walkgrade("vehicle", "bus.yaml", "--replace").status == 0
    assert Path("bus.yaml").read_bytes() == before


@pytest.mark.parametrize("lines", [0, 1, 5, KEYS, KEYS + 1])
def test_answers_that_end_early_write_nothing(walkgrade, types: Type, lines: int) -> None:
    types(*[""] * lines)
    done = walkgrade("vehicle", "bus.yaml")
    assert done.status == 2
    assert "[I10]" in done.err
    assert list(Path().iterdir()) == []


@pytest.mark.parametrize("at", [0, 1, 7, KEYS + 1])
def test_ctrl_c_writes_nothing(walkgrade, monkeypatch: pytest.MonkeyPatch, at: int) -> None:
    asked = []

    def typed(prompt: str) -> str:
        asked.append(prompt)
        if len(asked) > at:
            raise KeyboardInterrupt
        return ""

    monkeypatch.setattr("builtins.input", typed)
    done = walkgrade("vehicle", "bus.yaml")
    assert done.status == 130
    assert "Nothing was written" in done.err
    assert list(Path().iterdir()) == []


def test_ctrl_c_leaves_an_older_profile_as_it_was(walkgrade, types: Type, monkeypatch) -> None:
    types(*[""] * (KEYS + 2))
    assert walkgrade("vehicle", "bus.yaml").status == 0
    before = Path("bus.yaml").read_bytes()

    def typed(prompt: str) -> str:
        raise KeyboardInterrupt

    monkeypatch.setattr("builtins.input", typed)
    assert walkgrade("vehicle", "bus.yaml", "--replace").status == 130
    assert Path("bus.yaml").read_bytes() == before


def test_odd_letters_in_the_name(walkgrade, types: Type) -> None:
    types('  Bus "14": \x07#1 \t é ', *[""] * (KEYS + 1))
    assert walkgrade("vehicle", "bus.yaml").status == 0
    assert load_profile(Path("bus.yaml")).title == 'Bus "14": #1 é'


def test_a_folder_that_cannot_be_written(walkgrade, types: Type) -> None:
    Path("taken").write_text("a file", "utf-8")
    types(*[""] * (KEYS + 2))
    done = walkgrade("vehicle", "taken/bus.yaml")
    assert done.status == 3
    assert "[O01]" in done.err
