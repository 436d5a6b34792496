"""The cache folder, and writing whole files."""

from __future__ import annotations

from pathlib import Path
from typing import BinaryIO

import pytest

from walkgrade.errors import OutputError
from walkgrade.speech.places import cache_folder, digest_of, write_whole


def test_the_explicit_folder_wins_then_the_variable(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("WALKGRADE_CACHE", str(tmp_path / "variable"))
    assert cache_folder(tmp_path / "given") == tmp_path / "given"
    assert cache_folder() == tmp_path / "variable"


@pytest.mark.parametrize(
    ("platform", "variable", "end"),
    [
        ("linux", "XDG_CACHE_HOME", ("walkgrade",)),
        ("darwin", None, ("Library", "Caches", "walkgrade")),
        ("linux", None, (".cache", "walkgrade")),
    ],
)
def test_otherwise_the_platform_decides(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    platform: str,
    variable: str | None,
    end: tuple[str, ...],
) -> None:
    monkeypatch.delenv("WALKGRADE_CACHE")
    monkeypatch.delenv("XDG_CACHE_HOME", raising=False)
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setattr("sys.platform", platform)
    if variable:
        monkeypatch.setenv(variable, str(tmp_path))
    assert cache_folder() == tmp_path.joinpath(*end)


def test_a_failed_write_leaves_the_old_file_and_no_rubbish(tmp_path: Path) -> None:
    path = tmp_path / "sub" / "file"
    write_whole(path, lambda out: out.write(b"old"))

    def fail(out: BinaryIO) -> None:
        out.write(b"half")
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        write_whole(path, fail)
    assert path.read_bytes() == b"old"
    assert [found.name for found in path.parent.iterdir()] == ["file"]


def test_a_place_that_cannot_be_written_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(OutputError) as caught:
        write_whole(tmp_path / "file" / "below", lambda out: out.write(b""))
    assert caught.value.code == "O20"
    assert str(tmp_path) in caught.value.message


def test_digest_is_the_published_one_of_the_empty_and_the_abc_file(tmp_path: Path) -> None:
    # FIPS 180-4 example and the well-known sum of nothing.
    (tmp_path / "empty").write_bytes(b"")
    (tmp_path / "abc").write_bytes(b"abc")
    assert digest_of(tmp_path / "empty").startswith("e3b0c44298fc1c149afbf4c8996fb924")
    assert digest_of(tmp_path / "abc").startswith("ba7816bf8f01cfea414140de5dae2223")
