"""Nothing in the repository ties it to one machine or one package host."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

# Put together from pieces, so that this file does not find itself.
HOSTS = re.compile("|".join(("pypi" + r"\.org", "python" + "hosted", "registry" + r"\.npmjs")))
PLACES = re.compile(
    r"(?<![\w.~/-])/(?:" + "|".join(("work", "tmp", "farm", "root", "opt", "home")) + r")/[\w.-]"
)
LOCKS = ("requirements.lock", "requirements-dev.lock", "build.lock", "models.lock", "voices.lock")


def text_of(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        return ""


def test_the_patterns_can_fail() -> None:
    assert HOSTS.search("https://pypi" + ".org/simple")
    # the folder names come from pieces too: another search must not find them here either
    assert PLACES.search("see /{}/main".format("wo" + "rk"))
    assert not PLACES.search("seeds/{}/x".format("wo" + "rk"))


def test_no_package_host_and_no_machine_path(tracked: list[Path]) -> None:
    found = [
        f"{path}:{number}: {line.strip()[:90]}"
        for path in tracked
        for number, line in enumerate(text_of(path).splitlines(), start=1)
        if HOSTS.search(line) or PLACES.search(line)
    ]
    assert not found, "\n".join(found)


def test_every_locked_package_is_pinned_and_hashed(root: Path) -> None:
    for name in LOCKS:
        entries = re.split(r"\n(?=\S)", text_of(root / name).strip())
        assert entries, name
        for entry in entries:
            assert re.match(r"[a-z0-9.-]+==[\w.]+", entry), (name, entry[:60])
            assert "--hash=sha256:" in entry, (name, entry[:60])
            assert not entry.startswith("torch="), name


def test_the_lock_files_hold_every_declared_dependency(root: Path) -> None:
    project = tomllib.loads(text_of(root / "pyproject.toml"))["project"]
    groups = {
        "requirements.lock": project["dependencies"],
        "requirements-dev.lock": project["optional-dependencies"]["dev"],
    }
    for name, wanted in groups.items():
        locked = {line.split("==")[0] for line in text_of(root / name).splitlines() if "==" in line}
        names = {re.split(r"[><=!~;\[ ]", entry)[0].lower() for entry in wanted}
        assert names <= locked, f"{name}: run make lock; missing {sorted(names - locked)}"
