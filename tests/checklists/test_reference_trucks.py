"""The truck checklists against published values, and every mark against its source.

The numbers below were written from the sources named beside them, not from the YAML files.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from truck_sources import (
    ALL_AIR,
    BOTH_TESTS,
    CLASSIC_ALONE,
    COLOURS,
    COMBINATION,
    HYDRAULIC,
    LIMITS,
    LISTS,
    MUST_SAY,
    PROFILES,
)

from walkgrade.checklists.applicable import applicable
from walkgrade.checklists.library import find_checklist, find_profile
from walkgrade.checklists.lint import lint
from walkgrade.checklists.records import Checklist, Item, Kind, Requirement, Standing


@pytest.fixture(scope="module")
def lists() -> dict[str, Checklist]:
    return {name: find_checklist(name) for name in LISTS}


def requirements(checklist: Checklist) -> list[Requirement]:
    return [r for found in checklist.items for r in found.requirements]


def items(lists: dict[str, Checklist], item_id: str) -> list[Item]:
    return [i for checklist in lists.values() for i in checklist.items if i.id == item_id]


def exact(value: str | None) -> Fraction | None:
    return None if value is None else Fraction(value)


@pytest.mark.parametrize("row", LIMITS, ids=lambda row: f"{row[1]}-{row[0][0]}-{row[7]}")
def test_each_limit_equals_its_source(row: tuple, lists: dict[str, Checklist]) -> None:
    names, requirement_id, comparator, low, high, unit, accept, title, section = row
    for name in names:
        (requirement,) = [r for r in requirements(lists[name]) if r.id == requirement_id]
        limit = requirement.limit
        assert limit is not None
        assert (limit.comparator, limit.unit) == (comparator, unit)
        assert (limit.low, limit.high) == (exact(low), exact(high))
        assert (limit.accept_low, limit.accept_high) == (exact(accept[0]), exact(accept[1]))
        named = [(b.title, b.section) for b in requirement.basis]
        assert any(t == title and s.startswith(section) for t, s in named), named


def test_no_limit_is_left_unchecked(lists: dict[str, Checklist]) -> None:
    checked = {(name, row[1]) for row in LIMITS for name in row[0]}
    asked = {(n, r.id) for n, c in lists.items() for r in requirements(c) if r.limit}
    assert asked == checked


def test_lamp_colours(lists: dict[str, Checklist]) -> None:
    seen = set()
    for checklist in lists.values():
        for found in checklist.items:
            for requirement in found.requirements:
                if requirement.id.endswith(".colour") and requirement.concepts:
                    seen.add(found.id)
                    assert set(requirement.concepts) == COLOURS[found.id], found.id
    assert seen == set(COLOURS)


@pytest.mark.parametrize("item_id", MUST_SAY)
def test_what_must_be_said(item_id: str, lists: dict[str, Checklist]) -> None:
    found = items(lists, item_id)
    assert found
    for one in found:
        short = {r.id.removeprefix(f"{item_id}.") for r in one.requirements if r.required}
        assert short == MUST_SAY[item_id]


def test_the_pintle_hook_is_asked_more_of_in_the_classic_test(lists: dict[str, Checklist]) -> None:
    """T6 stands in both tests, T12 in the classic one alone."""
    classic, modern = items(lists, "coupling.pintle-hook")
    assert {r.id.rsplit(".")[-1] for r in classic.requirements} == {
        "locked",
        "undamaged",
        "complete",
    }
    assert {r.id.rsplit(".")[-1] for r in modern.requirements} == {"locked"}


@pytest.mark.parametrize("name", LISTS)
def test_every_requirement_has_a_basis_and_a_row(name: str, lists: dict[str, Checklist]) -> None:
    for requirement in requirements(lists[name]):
        assert requirement.basis, requirement.id
        assert requirement.row, requirement.id
        assert requirement.says, requirement.id


@pytest.mark.parametrize("name", LISTS)
def test_only_the_test_of_the_list_is_cited_for_the_test(
    name: str, lists: dict[str, Checklist]
) -> None:
    """No mark of a truck may rest on the school-bus or coach sections alone."""
    for requirement in requirements(lists[name]):
        titles = {(b.title, b.section.split()[0]) for b in requirement.basis}
        others = {(t, s) for t, s in titles if s not in ("11.3", "11.5", "11M.2", "11M.3")}
        assert others, requirement.id
        assert not {t for t, _ in titles} & {
            "Maryland COMAR 11.19.03.24",
            "Georgia rule 375-6-1-.10",
        }


@pytest.mark.parametrize("name", LISTS)
def test_the_words_of_a_truck_list_fit_a_truck(name: str, lists: dict[str, Checklist]) -> None:
    for found in lists[name].items:
        text = f" {found.title} {found.why} {found.caution} ".casefold()
        assert " bus" not in text, found.id
        assert "child" not in text, found.id
        assert "student" not in text, found.id
        assert found.why.endswith("."), found.id
        assert found.why.count(".") == 1, found.id
        assert len(found.names) >= 6, found.id
        assert len(set(found.names)) == len(found.names), found.id


@pytest.mark.parametrize("name", LISTS)
def test_lint_notes_only_what_is_meant(name: str, lists: dict[str, Checklist]) -> None:
    """Tires and lines are named together; keys and places serve both tests."""
    meant = (".tyre-", "coupling.electric-line")
    for note in lint(lists[name]):
        if "also means" in note.message:
            assert any(part in note.where for part in meant), note
        else:
            unused = note.where in ("places.rear-axle", "places.trailer-axle")
            assert note.where.startswith("profile_keys.") or (unused and "modern" in name), note


@pytest.mark.parametrize(("name", "profile"), [(n, p) for n in LISTS for p in PROFILES[n]])
def test_what_a_vehicle_is_asked(name: str, profile: str, lists: dict[str, Checklist]) -> None:
    checklist = lists[name]
    fitted = applicable(checklist, find_profile(profile))
    assert checklist.budget_s == sum(s.budget_s for s in checklist.sections)
    low, high = {True: (90, 155), False: (60, 95)}[name.endswith("classic")]
    assert low <= len(fitted.items) <= high
    assert max(sum(r.required for r in i.requirements) for i in fitted.items) <= 4
    assert {i.place for i in fitted.items} <= {p.id for p in checklist.places}


def steps(checklist: Checklist, section: str) -> list[str]:
    return [i.id.split(".")[1] for i in checklist.items if i.step and i.section == section]


@pytest.mark.parametrize("name", ALL_AIR)
def test_the_air_brake_check_in_its_order(name: str, lists: dict[str, Checklist]) -> None:
    """Manual 11.1.2 and 11M.1.2: every part explained and done, else the test is failed."""
    checklist = lists[name]
    order = ["charge", "engine-off", "release", "leak", "warning", "pop-out"]
    assert steps(checklist, "air-brake") == order
    assert all(i.critical for i in checklist.items if i.section == "air-brake")


@pytest.mark.parametrize("name", HYDRAULIC)
def test_the_hydraulic_check_in_its_order(name: str, lists: dict[str, Checklist]) -> None:
    """Manual 11.1.2: pump three times, hold five seconds, reserve motor if fitted."""
    checklist = lists[name]
    assert steps(checklist, "hydraulic-brake") == ["pump", "hold", "reserve"]
    assert all(i.critical for i in checklist.items if i.section == "hydraulic-brake")
    assert not {i.section for i in checklist.items} & {"air-brake"}
    assert not {i.id for i in checklist.items} & {"engine.air-compressor", "cab.air-gauge"}


@pytest.mark.parametrize("name", COMBINATION)
def test_a_combination_adds_the_trailer_valve(name: str, lists: dict[str, Checklist]) -> None:
    """Manual 11.1.2: both valves are released for the test, and both pop out."""
    by_id = {r.id: r for r in requirements(lists[name])}
    for short in ("air-brake.release.supply", "air-brake.pop-out.trailer"):
        assert by_id[short].required
        assert by_id[short].kind is Kind.ACTION
    assert ("air-brake.pop-out.order" in by_id) is name.endswith("modern")


def test_the_modern_check_listens_where_a_valve_stays_in(lists: dict[str, Checklist]) -> None:
    """Manual 11M.1.2, for single vehicles and combinations; optional here."""
    for name in ALL_AIR:
        found = [r for r in requirements(lists[name]) if r.id == "air-brake.pop-out.discharge"]
        assert [r.required for r in found] == ([False] if name.endswith("modern") else [])


def test_both_parking_brakes_of_a_combination(lists: dict[str, Checklist]) -> None:
    """Manual 11.1.2: a miss of either fails the classic test; 11M marks the air check alone."""
    for name in LISTS:
        tests = {i.id: i.critical for i in lists[name].items if i.id.endswith("parking-brake")}
        if name in COMBINATION:
            critical = name.endswith("classic")
            assert tests == {
                "cab.tractor-parking-brake": critical,
                "cab.trailer-parking-brake": critical,
            }
        else:
            assert tests == {"cab.parking-brake": False}


def test_the_two_editions_differ_as_printed(lists: dict[str, Checklist]) -> None:
    classic, modern = ({i.id.split(".")[1] for i in lists[name].items} for name in COMBINATION)
    assert classic >= BOTH_TESTS | CLASSIC_ALONE
    assert modern >= BOTH_TESTS
    assert not modern & CLASSIC_ALONE
    assert "trailer-abs-lamp" in modern - classic
    for name in LISTS:
        if name.endswith("modern"):
            places = {i.place for i in lists[name].items}
            assert not places & {"rear-axle", "trailer-axle"}, "one steering axle only"


def test_each_function_of_a_lamp_is_shown_by_itself(lists: dict[str, Checklist]) -> None:
    """Manual 11.1.2: brake, turn and four-way functions are shown separately."""
    for name in LISTS:
        rear = "trailer-rear" if name in COMBINATION else "rear"
        found = {i.id for i in lists[name].items if i.section == "lights"}
        assert {
            f"{rear}.{lamp}"
            for lamp in ("brake-lamps", "turn-signals", "four-way-flashers", "tail-lamps")
        } <= found
        assert "trailer-rear.backing-lamps" not in found, "49 CFR 393.11: not on trailers"


def test_what_was_not_read_says_so(lists: dict[str, Checklist]) -> None:
    """Platform: from memory; apron and the pins of the skid plate: from memory besides."""
    for item_id in ("coupling.platform", "coupling.apron"):
        for found in items(lists, item_id):
            assert all(
                Standing.FROM_MEMORY in {b.standing for b in r.basis} for r in found.requirements
            )


CAUTIONS = {
    "engine.coolant": "hot", "coupling.locking-jaws": "hand", "coupling.gap": "hand",
    "trailer-side.trailer-frame": "crawl", "under.frame": "crawl", "coupling.catwalk": "jump",
    "air-brake.release": "chocked", "engine.brake-fluid": "eyes", "rear.cargo-lift": "clear",
}  # fmt: skip


@pytest.mark.parametrize("item_id", CAUTIONS)
def test_what_can_hurt_carries_its_caution(item_id: str, lists: dict[str, Checklist]) -> None:
    found = items(lists, item_id)
    assert found
    assert all(CAUTIONS[item_id] in one.caution for one in found)


@pytest.mark.parametrize(
    "words",
    [
        "hot cooling",
        "chock the wheels",
        "not supported",
        "report it",
        "state's manual",
        "Placarded",
    ],
)
def test_the_usual_cautions_stand_on_every_list(words: str, lists: dict[str, Checklist]) -> None:
    for checklist in lists.values():
        assert any(words in caution for caution in checklist.cautions)
