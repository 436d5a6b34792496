# ruff: noqa: E501 - one row a line, so that the table can be read down
"""Oddities that load but are probably not meant."""

from __future__ import annotations

from pathlib import Path

import pytest
from checklist_writer import write_small

from walkgrade.checklists.lint import lint
from walkgrade.checklists.loader import load_checklist
from walkgrade.checklists.records import Checklist

CASES = {
    "no why": (("        why: Low oil can seize the engine.\n", ""), "engine.oil-level", "does not say why"),
    "name twice": (("[oil level]", "[oil level, Oil level]"), "engine.oil-level", "names stand twice"),
    "shared name": (("names: [engine off]", "names: [oil level]"), "check.stop", "also means engine.oil-level"),
    "unreachable item": (
        ('patterns: ["one|1 minute"]}', 'patterns: ["one|1 minute"], if_fitted: {brakes: hydraulic}}'),
        "check.hold",
        "no vehicle can ever be asked",
    ),
    "unreachable requirement": (
        ('patterns: ["one|1 minute"]}', 'patterns: [one]}\n          - {id: x, says: x, patterns: [x], if_fitted: {brakes: hydraulic}}'),
        "check.hold",
        "ever meet requirement 'x'",
    ),
    "unused key": (("        if_fitted: {brakes: air}\n", ""), "profile_keys.brakes", "switches nothing"),
    "unused place": (("        place: front-axle\n", "        place: engine\n        id: front-axle.tread\n"), "places.front-axle", "no item stands here"),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_each_oddity_is_noted(name: str, tmp_path: Path) -> None:
    change, where, says = CASES[name]
    before = {(n.where, n.message) for n in lint(load_checklist(write_small(tmp_path)))}
    after = lint(load_checklist(write_small(tmp_path, change)))
    new = [n for n in after if (n.where, n.message) not in before]
    assert any(n.where == where and says in n.message for n in new), new


def test_a_place_without_cues_is_noted(tmp_path: Path) -> None:
    path = write_small(tmp_path, shared=((", cues: [rear axle]", ""),))
    assert "places.rear-axle" in {n.where for n in lint(load_checklist(path))}


def test_names_of_items_that_never_meet_may_be_shared(classic: Checklist) -> None:
    """Fuel tank left and right, pads and linings: no vehicle has both, so no note."""
    noted = {n.where for n in lint(classic)}
    assert not {w for w in noted if "fuel-tank" in w or "brake" in w}


def test_the_shipped_lists_share_names_only_where_meant(
    classic: Checklist, modern: Checklist
) -> None:
    # "tires", "student lights", "inside mirror": said of all of them at once
    meant = (".tyre-", "-warning-lamps", "cab.inside-")
    for checklist in (classic, modern):
        for note in lint(checklist):
            if "also means" in note.message:
                assert any(part in note.where for part in meant), note
            else:
                assert note.where.startswith(("profile_keys.", "places.rear-axle")), note
