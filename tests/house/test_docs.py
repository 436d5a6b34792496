"""The documentation says what the program does: commands, options, codes, targets."""

from __future__ import annotations

import argparse
import importlib.util
import re
import shlex
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest

from walkgrade.cli import exits
from walkgrade.cli.main import build_parser

CODE = re.compile(r"""[\"\[]([A-Z]\d\d)[\"\]]""")
DOCUMENTED = re.compile(r"^\| `([A-Z]\d\d)` \|", re.MULTILINE)
LINK = re.compile(r"\]\((?!https?:|#|mailto:)([^)#\s]+)(?:#[^)]*)?\)")


@pytest.fixture(scope="module")
def maker(root: Path) -> ModuleType:
    spec = importlib.util.spec_from_file_location("make_cli_page", root / "docs/make_cli_page.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def parsers(parser: argparse.ArgumentParser) -> Iterator[argparse.ArgumentParser]:
    yield parser
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            for below in action.choices.values():
                yield from parsers(below)


def codes_in(root: Path) -> dict[str, Path]:
    return {
        code: path
        for path in (root / "walkgrade").rglob("*.py")
        for code in CODE.findall(path.read_text(encoding="utf-8"))
    }


def test_the_command_page_is_fresh(root: Path, maker: ModuleType) -> None:
    written = (root / "docs" / "cli.md").read_text(encoding="utf-8")
    assert written == maker.cli_page(), "run: make docs"


def test_every_command_and_option_is_on_the_command_page(root: Path) -> None:
    page = (root / "docs" / "cli.md").read_text(encoding="utf-8")
    seen = 0
    for parser in parsers(build_parser()):
        if parser.prog == "walkgrade":
            continue
        section = page.split(f"## {parser.prog}\n")[1].split("\n## ")[0]
        for action in parser._actions:
            for name in action.option_strings:
                if name not in ("-h", "--help"):
                    assert f"`{name}`" in section, f"{parser.prog} {name}"
                    seen += 1
    assert seen > 20


def test_every_option_has_help_and_every_command_an_example() -> None:
    for parser in parsers(build_parser()):
        assert parser.description
        assert parser.prog in (parser.epilog or ""), parser.prog
        for action in parser._actions:
            if not isinstance(action, argparse._SubParsersAction):
                assert action.help, f"{parser.prog} {action.dest}"


def test_examples_can_be_typed() -> None:
    """Every example line of the help is accepted by the parser."""
    seen = 0
    whole = build_parser()
    for parser in parsers(whole):
        for line in (parser.epilog or "").splitlines():
            words = shlex.split(line.split("|")[0], comments=True)
            if words[:1] == ["walkgrade"] and parser.prog != "walkgrade":
                assert whole.parse_args(words[1:]) is not None, line
                seen += 1
    assert seen > 10


def test_every_exit_code_is_documented(root: Path) -> None:
    page = (root / "docs" / "errors.md").read_text(encoding="utf-8")
    for code, meaning in exits.MEANINGS:
        assert re.search(rf"^\| {code} \| .*{re.escape(meaning.split(':')[0])}", page, re.M), code


def test_every_code_is_documented_and_every_documented_code_exists(root: Path) -> None:
    page = (root / "docs" / "errors.md").read_text(encoding="utf-8")
    documented = DOCUMENTED.findall(page)
    raised = codes_in(root)
    assert len(documented) == len(set(documented)), "a code is listed twice"
    assert len(raised) > 20
    missing = {code: str(path) for code, path in raised.items() if code not in documented}
    assert not missing
    assert not set(documented) - set(raised)


def test_links_lead_somewhere(root: Path) -> None:
    pages = [*root.glob("*.md"), *(root / "docs").rglob("*.md")]
    broken = [
        f"{page.relative_to(root)} -> {target}"
        for page in pages
        for target in LINK.findall(page.read_text(encoding="utf-8"))
        if not (page.parent / target).exists()
    ]
    assert len(pages) > 5
    assert not broken


def test_commands_named_in_the_docs_exist(root: Path) -> None:
    known = {name for name in build_parser().known() if not name.startswith("-")}
    pages = [*root.glob("*.md"), *(root / "docs").rglob("*.md")]
    named = {
        (page.name, word)
        for page in pages
        for code in re.findall(r"```.*?```|`[^`]+`", page.read_text("utf-8"), re.DOTALL)
        for word in re.findall(r"(?:^|[`/\\\\])walkgrade ([a-z]+)", code, re.MULTILINE)
    }
    assert len(named) > 10
    assert not {(page, word) for page, word in named if word not in known}


def test_command_lines_in_the_docs_can_be_typed(root: Path) -> None:
    """Every line of a code block that calls the program is accepted by the parser."""
    seen = 0
    for page in [*root.glob("*.md"), *(root / "docs").rglob("*.md")]:
        for block in re.findall(r"```.*?```", page.read_text("utf-8"), re.DOTALL):
            for line in re.findall(r"^\s*(?:\S*[/\\])?walkgrade (.*)", block, re.MULTILINE):
                words = shlex.split(line.split("|")[0], comments=True)
                assert build_parser().parse_args(words) is not None, (page.name, line)
                seen += 1
    assert seen > 20


def test_make_targets_named_in_the_docs_exist(root: Path) -> None:
    targets = set(re.findall(r"^([a-z]+):", (root / "Makefile").read_text("utf-8"), re.MULTILINE))
    pages = [*root.glob("*.md"), *(root / "docs").rglob("*.md")]
    named = {
        name
        for page in pages
        for name in re.findall(r"`make ([a-z]+)", page.read_text(encoding="utf-8"))
    }
    assert named
    assert named <= targets


def test_both_places_name_the_same_version(root: Path) -> None:
    import walkgrade

    project = (root / "pyproject.toml").read_text(encoding="utf-8")
    assert f'\nversion = "{walkgrade.__version__}"\n' in project
