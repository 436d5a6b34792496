# ruff: noqa: E501 - one row a line, so that the tables can be read down
"""A state's or school's changes of a checklist."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from checklist_writer import write_small

from walkgrade.checklists.applicable import check_profile
from walkgrade.checklists.faults import FaultyFileError
from walkgrade.checklists.library import (
    find_checklist,
    find_profile,
    list_checklists,
    list_overlays,
    reference_folder,
)
from walkgrade.checklists.listing import describe
from walkgrade.checklists.records import Checklist, Item, Marking, Requirement, Standing

HEAD = """\
format: 1
id: ours
version: "1"
title: Our yard
base: small.yaml
date: "2026-03-01"
basis: [sheet]
sources:
  sheet: {title: Yard sheet, section: page 1, standing: "common practice, no source"}
"""


def write(folder: Path, text: str, name: str = "ours.yaml") -> Path:
    write_small(folder)
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def load(folder: Path, text: str) -> Checklist:
    return find_checklist(str(write(folder, HEAD + text)))


def item(checklist: Checklist, item_id: str) -> Item:
    return next(found for found in checklist.items if found.id == item_id)


def requirement(checklist: Checklist, name: str) -> Requirement:
    return next(r for found in checklist.items for r in found.requirements if r.id == name)


def ids(checklist: Checklist) -> list[str]:
    return [found.id for found in checklist.items]


@pytest.fixture
def small(tmp_path: Path) -> Checklist:
    return find_checklist(str(write_small(tmp_path)))


def test_an_overlay_that_changes_nothing_is_its_base_under_another_name(
    tmp_path: Path, small: Checklist
) -> None:
    ours = load(tmp_path, "")
    assert (ours.id, ours.version, ours.title) == ("ours", "1", "Our yard")
    assert (ours.changes, ours.dated) == ("small", "2026-03-01")
    assert "2026-03-01" in ours.edition
    same = {name: getattr(small, name) for name in ("id", "version", "title", "edition", "sha256")}
    assert replace(ours, **same, changes="", dated="") == small
    assert ours.sha256 != small.sha256


def test_a_number_changes_with_its_basis(tmp_path: Path, small: Checklist) -> None:
    ours = load(
        tmp_path,
        "requirements:\n  front-axle.tread.depth:\n    says: at least 5/32 inch\n"
        '    limit: {quantity: tread depth, comparator: at least, low: "5/32", unit: in, accept: ["5/32", "5/32"]}\n',
    )
    changed = requirement(ours, "front-axle.tread.depth")
    assert changed.limit is not None
    assert changed.limit.low == Fraction(5, 32)
    assert [(b.title, b.section) for b in changed.basis] == [("Yard sheet", "page 1")]
    twin = "rear-axle.tread.depth"
    assert requirement(ours, twin) == requirement(small, twin), "only the one that is named"


def test_other_wording_keeps_the_basis_and_own_sources_go_first(tmp_path: Path) -> None:
    ours = load(tmp_path, "requirements:\n  front-axle.tread.depth: {says: four thirty-seconds}\n")
    assert requirement(ours, "front-axle.tread.depth").basis[0].title == "Manual"
    ours = load(
        tmp_path, "requirements:\n  front-axle.tread.even: {required: true, basis: [manual]}\n"
    )
    even = requirement(ours, "front-axle.tread.even")
    assert even.required
    assert even.basis[0].title == "Manual"


def test_items_are_added_dropped_and_renamed(tmp_path: Path) -> None:
    ours = load(
        tmp_path,
        """\
drop: [rear-axle.tread, front-axle.tread.even]
items:
  check.stop: {title: Shut down, names_add: [shut down], critical: true, place: front-axle, why: So., caution: Chock.}
add:
  - section: check
    after: check.stop
    id: check.chock
    row: X
    title: Chocks
    names: [chocks]
    requires: [{id: placed, says: chocks placed, concepts: [present]}]
    basis: [manual]
  - {section: engine, part: tread, id: engine.spare, place: engine}
  - {section: check, part: wheel}
parts:
  wheel:
    row: W
    title: "Wheel, {place}"
    names: [wheel]
    basis: [sheet]
    requires: [{id: secure, says: secure, concepts: [secure]}]
""",
    )
    assert ids(ours) == [
        "engine.oil-level", "front-axle.tread", "engine.spare", "check.stop", "check.chock",
        "check.hold", "engine.wheel",
    ]  # fmt: skip
    assert [found.step for found in ours.items] == [0, 0, 0, 1, 2, 3, 4]
    assert item(ours, "front-axle.tread").carry_over == (), "its twin has gone"
    assert [r.id for r in item(ours, "front-axle.tread").requirements] == ["front-axle.tread.depth"]
    stop = item(ours, "check.stop")
    assert (stop.title, stop.names, stop.critical) == (
        "Shut down",
        ("engine off", "shut down"),
        True,
    )
    assert (stop.place, stop.why, stop.caution) == ("front-axle", "So.", "Chock.")
    assert item(ours, "engine.wheel").title == "Wheel, engine"


def test_an_item_may_be_asked_for_more(tmp_path: Path) -> None:
    ours = load(
        tmp_path,
        "items:\n  front-axle.tread:\n    requires_add: [{id: wet, says: not wet, concepts: [clean]}]\n"
        "    optional_add: [{id: new, says: new, patterns: [new], basis: [manual]}]\n",
    )
    tread = item(ours, "front-axle.tread")
    assert [(r.id.rsplit(".", 1)[1], r.required, r.basis[0].title) for r in tread.requirements] == [
        ("depth", True, "Manual"), ("wet", True, "Yard sheet"),
        ("even", False, "Manual"), ("new", False, "Manual"),
    ]  # fmt: skip


def test_a_new_item_without_source_rests_on_that_of_the_overlay(tmp_path: Path) -> None:
    ours = load(
        tmp_path,
        "add: [{section: check, id: check.x, row: X, title: X, names: [x],"
        " requires: [{id: a, says: a, concepts: [works]}]}]\n",
    )
    assert requirement(ours, "check.x.a").basis[0].title == "Yard sheet"


def test_carry_over_can_be_switched_off(tmp_path: Path, small: Checklist) -> None:
    assert any(found.carry_over for found in small.items)
    assert not any(found.carry_over for found in load(tmp_path, "carry_over: false\n").items)


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("budget_minutes: 6\n", {"engine": 240, "check": 120}),
        ("budget_minutes: 1\n", {"engine": 40, "check": 20}),
        ("section_minutes: {check: 3}\n", {"engine": 120, "check": 180}),
        ("section_minutes: {check: 3}\nbudget_minutes: 5\n", {"engine": 120, "check": 180}),
    ],
)
def test_the_time_budget(tmp_path: Path, text: str, seconds: dict[str, int]) -> None:
    ours = load(tmp_path, text)
    assert {section.id: section.budget_s for section in ours.sections} == seconds
    assert ours.budget_s == sum(seconds.values())


def test_points_and_target(tmp_path: Path) -> None:
    ours = load(
        tmp_path,
        "target_percent: 85\npoints: {each: 2, items: {check.hold: 5}, late_counts: false}\n",
    )
    assert ours.marking == Marking(
        each=2, items=(("check.hold", 5),), late_counts=False, target_percent=85
    )
    shown = describe(ours)
    assert "2 an item, 5 for check.hold, late additions do not count" in shown
    assert "85 %" in shown
    assert "Changes small, as of 2026-03-01" in shown


def test_a_school_stands_on_a_state(tmp_path: Path) -> None:
    write(
        tmp_path, HEAD + "target_percent: 70\npoints: {each: 3}\ndrop: [check.hold]\n", "state.yaml"
    )
    school = (
        HEAD.replace("small.yaml", "state.yaml")
        .replace("id: ours", "id: school")
        .replace("sheet", "paper")
    )
    path = write(tmp_path, school + "target_percent: 90\n")
    ours = find_checklist(str(path))
    assert ours.changes == "ours"
    assert ours.marking == Marking(each=3, target_percent=90)
    assert "check.hold" not in ids(ours)


ADD = "add:\n  - {section: check, id: check.x, row: X, title: X, names: [x], basis: [sheet], requires: [{id: a, says: a, concepts: [works]}]"
BAD = {
    "unknown key": ("colour: red\n", "colour", "unknown key"),
    "empty": ("drop:\n", "drop", "empty"),
    "no day": ("", "date", "is no day", ('date: "2026-03-01"', 'date: "March"')),
    "bare day": ("", "date", 'put it in quotes: "2026-03-01"', ('date: "2026-03-01"', "date: 2026-03-01")),
    "no basis": ("", "basis", "required", ("basis: [sheet]\n", "")),
    "unknown basis": ("", "basis[0]", "did you mean sheet?", ("basis: [sheet]", "basis: [shet]")),
    "unknown base": ("", "base", "cannot be opened", ("base: small.yaml", "base: smal.yaml")),
    "unknown shipped base": ("", "base", "school-bus-air-classic", ("base: small.yaml", "base: school-bus-air-clasic")),
    "base elsewhere": ("", "base", "beside", ("base: small.yaml", "base: ../small.yaml")),
    "base is itself": ("", "base", "change each other", ("base: small.yaml", "base: ours.yaml")),
    "unknown requirement": ("requirements:\n  front-axle.tread.dept: {says: x}\n", "requirements.front-axle.tread.dept", "did you mean front-axle.tread.depth?"),
    "unknown item": ("items:\n  check.stopp: {title: x}\n", "items.check.stopp", "did you mean check.stop?"),
    "changes nothing": ("items:\n  check.stop: {}\n", "items.check.stop", "changes nothing"),
    "unknown concept": ("requirements:\n  front-axle.tread.even: {concepts: [evn_wear]}\n", "requirements.front-axle.tread.even.concepts[0]", "did you mean even_wear?"),
    "bad pattern": ("requirements:\n  front-axle.tread.even: {patterns: ['!a']}\n", "requirements.front-axle.tread.even.patterns[0]", "must be said"),
    "bad limit": ("requirements:\n  front-axle.tread.depth:\n    limit: {quantity: d, comparator: at most, low: 1, unit: in, accept: [1, 1]}\n", "requirements.front-axle.tread.depth.limit", "takes high"),
    "unknown place": ("items:\n  check.stop: {place: engin}\n", "items.check.stop.place", "did you mean engine?"),
    "unknown rule": ("items:\n  check.stop: {if_fitted: {brakes: steam}}\n", "items.check.stop.if_fitted.brakes", "is not one of: air, hydraulic"),
    "added requirement there already": ("items:\n  front-axle.tread:\n    requires_add: [{id: even, says: x, concepts: [clean]}]\n", "items.front-axle.tread.requires_add[0].id", "is there already"),
    "added requirement that nothing earns": ("items:\n  front-axle.tread:\n    optional_add: [{id: odd, says: x}]\n", "items.front-axle.tread.optional_add[0]", "nothing earns it"),
    "unknown drop": ("drop: [check.hol]\n", "drop[0]", "did you mean check.hold?"),
    "dropped twice": ("drop: [check.hold, check.hold]\n", "drop[1]", "stands twice"),
    "dropped and changed": ("drop: [check.hold]\nitems:\n  check.hold: {title: x}\n", "drop[0]", "both changed and dropped"),
    "nothing left of an item": ("drop: [check.hold.minute]\n", "drop[0]", "nothing is left to ask of check.hold"),
    "nothing required of an item": ("requirements:\n  check.hold.minute: {required: false}\n", "requirements.check.hold.minute", "nothing is left to ask"),
    "nothing left": ("drop: [engine.oil-level, front-axle.tread, rear-axle.tread, check.stop, check.hold]\n", "drop", "no item is left"),
    "unknown section": (ADD.replace("section: check", "section: chek") + "}\n", "add[0].section", "did you mean check?"),
    "id there already": (ADD.replace("check.x", "check.stop") + "}\n", "add[0].id", "is there already"),
    "after an unknown item": (ADD + ", after: check.stopp}\n", "add[0].after", "did you mean check.stop?"),
    "after an item elsewhere": (ADD + ", after: engine.oil-level}\n", "add[0].after", "has no item"),
    "added without place word": (ADD + ", place: nowhere}\n", "add[0].place", "no place 'nowhere'"),
    "added of unknown part": ("add:\n  - {section: check, part: tred}\n", "add[0].part", "did you mean tread?"),
    "carry-over to nothing": (ADD + ", carry_over: [check.y]}\n", "add[0].carry_over", "no item 'check.y'"),
    "carry-over to itself": ("items:\n  check.stop: {carry_over: [check.stop]}\n", "items.check.stop.carry_over", "itself"),
    "carry-over in a circle": ("items:\n  check.stop: {carry_over: [check.hold]}\n  check.hold: {carry_over: [engine.oil-level]}\n  engine.oil-level: {carry_over: [check.stop]}\n", "items.check.stop.carry_over", "circle"),
    "source there already": ("", "sources.manual", "is there already", ("  sheet: {", "  manual: {title: M, section: s, standing: published}\n  sheet: {")),
    "points for nothing": ("points: {items: {check.hol: 3}}\n", "points.items.check.hol", "did you mean check.hold?"),
    "too many points": ("points: {each: 101}\n", "points.each", "less than or equal to 100"),
    "target over 100": ("target_percent: 101\n", "target_percent", "less than or equal to 100"),
    "minutes of nothing": ("section_minutes: {chek: 2}\n", "section_minutes.chek", "did you mean check?"),
    "minutes that do not add up": ("section_minutes: {check: 2}\nbudget_minutes: 9\n", "budget_minutes", "add up to 4 minutes, not 9"),
}  # fmt: skip


@pytest.mark.parametrize("name", BAD)
def test_each_fault_is_named_with_its_place(name: str, tmp_path: Path) -> None:
    text, at, says, *changes = BAD[name]
    head = HEAD
    for old, new in changes:
        assert old in head
        head = head.replace(old, new, 1)
    path = write(tmp_path, head + text)
    with pytest.raises(FaultyFileError) as caught:
        find_checklist(str(path))
    assert caught.value.code == "C06"
    found = [f for f in caught.value.faults if f.path == at and says in f.message]
    assert found, caught.value
    assert found[0].file == "ours.yaml"
    lines = path.read_text("utf-8").splitlines()
    assert 1 <= found[0].line <= len(lines)


def test_all_faults_come_at_once(tmp_path: Path) -> None:
    with pytest.raises(FaultyFileError) as caught:
        load(
            tmp_path,
            "drop: [check.hol]\nitems:\n  check.stopp: {title: x}\npoints: {items: {check.q: 3}}\n",
        )
    assert len(caught.value.faults) == 3


def test_faults_of_the_base_are_told_too(tmp_path: Path) -> None:
    path = write(tmp_path, HEAD)
    write_small(tmp_path, ("concepts: [level]", "concepts: [levle]"))
    with pytest.raises(FaultyFileError, match=r"small\.yaml:.*did you mean level\?"):
        find_checklist(str(path))


# ---- the shipped overlay: requirement -> (comparator, low, high, accepted, section, standing),
# written from the California commercial driver handbook as cited, not from the YAML
CALIFORNIA = {
    # section 5: cut-out before 130 psi (no lowest figure printed; 85 is where it must cut in)
    "air-brake.charge.cut-out": ("below", None, "130", ("85", "130"), "5 Air brakes", Standing.PUBLISHED),
    # section 5: cut-in not lower than 85 psi
    "air-brake.charge.cut-in": ("at least", "85", None, ("85", "130"), "5 Air brakes", Standing.PUBLISHED),
    # section 5: the low-air device comes on between 55 and 75 psi
    "air-brake.warning.pressure": ("between", "55", "75", ("55", "75"), "5 Air brakes", Standing.PUBLISHED),
    # section 5: applied leak, single vehicle, at most 3 psi a minute
    "air-brake.leak.loss": ("at most", None, "3", ("0", "3"), "5 Air brakes", Standing.PUBLISHED),
    # static leak, single vehicle, at most 2 psi a minute: seen quoted only
    "air-brake.leak.static": ("at most", None, "2", ("0", "2"), "5 Air brakes, static leak", Standing.SECOND_HAND),
    # spring brakes, 20 to 45 psi: from memory
    "air-brake.pop-out.pressure": ("between", "20", "45", ("20", "45"), "5 Air brakes, spring brakes come on", Standing.FROM_MEMORY),
    # section 11: push rod at most 2 in with the brakes applied; 1 in by hand is manual 11.2.3
    **{
        f"{axle}-axle.slack-adjuster.{short}": ("at most", None, "2", ("1", "2"), "11 Vehicle inspection, slack adjusters", Standing.PUBLISHED)
        for axle in ("front", "rear") for short in ("travel", "hand-travel")
    },
}  # fmt: skip


@pytest.mark.parametrize("name", CALIFORNIA)
def test_californias_values_equal_their_source(name: str) -> None:
    comparator, low, high, accept, section, standing = CALIFORNIA[name]
    changed = requirement(find_checklist("school-bus-air-california"), name)
    limit = changed.limit
    assert limit is not None
    assert limit.comparator == comparator
    assert (limit.low, limit.high) == tuple(None if v is None else Fraction(v) for v in (low, high))
    assert (limit.accept_low, limit.accept_high) == (Fraction(accept[0]), Fraction(accept[1]))
    first = changed.basis[0]
    assert (first.title, first.section, first.standing) == (
        "California commercial driver handbook",
        section,
        standing,
    )


def test_california_changes_nothing_else(classic: Checklist) -> None:
    ours = find_checklist("school-bus-air-california")
    assert ids(ours) == ids(classic)
    old = {r.id: r for found in classic.items for r in found.requirements}
    changed = {r.id for found in ours.items for r in found.requirements if r != old[r.id]}
    assert changed == set(CALIFORNIA)
    assert ours.budget_s == classic.budget_s


def test_every_source_of_a_shipped_overlay_is_used(root: Path) -> None:
    import yaml

    assert list_overlays()
    page = (root / "docs/sources.md").read_text("utf-8")
    for name in list_overlays():
        text = (reference_folder() / "overlays" / f"{name}.yaml").read_text("utf-8")
        used = {b for r in yaml.safe_load(text)["requirements"].values() for b in r["basis"]}
        for source, row in yaml.safe_load(text)["sources"].items():
            assert source in used
            assert f"| `{source}` | {row['title']} | {row['section']} | {row['standing']} |" in page


def test_shipped_overlays_are_found_by_name_and_fit_the_vehicles_of_their_base() -> None:
    assert not set(list_overlays()) & set(list_checklists())
    for name in list_overlays():
        ours = find_checklist(name)
        assert ours.id == name
        check_profile(find_profile("yard-bus-air"), ours)


@pytest.mark.parametrize("page", ["docs/checklist-format.md", "docs/own-sheet.md"])
def test_the_documented_example_loads(page: str, root: Path, tmp_path: Path) -> None:
    blocks = (root / page).read_text("utf-8").split("```yaml\n")[1:]
    (text,) = [block.split("```")[0] for block in blocks if "\nbase: " in block]
    path = tmp_path / "our-yard.yaml"
    path.write_text(text, encoding="utf-8")
    ours = find_checklist(str(path))
    assert ours.budget_s < find_checklist("school-bus-air-classic").budget_s
    assert ours.marking is not None
    assert ours.marking.target_percent == 85
