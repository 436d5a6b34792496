"""What the language tests share: the shipped checklist and lexicon, loaded once."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from language_lines import talk

from walkgrade.checklists.library import find_checklist
from walkgrade.checklists.records import Checklist
from walkgrade.language.lexicon import Lexicon, load_lexicon
from walkgrade.language.read import read
from walkgrade.language.records import Utterance


@pytest.fixture(scope="session")
def classic() -> Checklist:
    return find_checklist("school-bus-air-classic")


@pytest.fixture(scope="session")
def modern() -> Checklist:
    return find_checklist("school-bus-air-modern")


@pytest.fixture(scope="session")
def lexicon() -> Lexicon:
    return load_lexicon()


@pytest.fixture(scope="session")
def said(classic: Checklist) -> Callable[[str], Utterance]:
    """Read one sentence against the classic list."""

    def read_one(text: str) -> Utterance:
        (utterance,) = read(talk(text), classic).utterances
        return utterance

    return read_one
