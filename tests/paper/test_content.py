"""What stands on each sheet, against the checklist itself."""

from __future__ import annotations

from itertools import chain

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from paper_pairs import CLASSIC, PAIRS, checklist, fitted, profile

from walkgrade.checklists.applicable import applicable
from walkgrade.checklists.faults import FaultyFileError
from walkgrade.checklists.listing import limit_text
from walkgrade.checklists.records import VehicleProfile
from walkgrade.paper.content import NOTICE, sheet_of
from walkgrade.paper.records import Kind, Line, Sheet


def made(kind: Kind, name: str, vehicle: str) -> Sheet:
    return sheet_of(kind, checklist(name), profile(vehicle))


def lines(sheet: Sheet) -> list[Line]:
    return [line for block in sheet.blocks for stop in block.stops for line in stop.lines]


def test_there_are_pairs_to_look_at() -> None:
    names = {name for name, _ in PAIRS}
    assert {"school-bus-air-classic", "school-bus-air-modern"} <= names
    assert len(PAIRS) >= 4


@pytest.mark.parametrize("kind", Kind)
@pytest.mark.parametrize("pair", PAIRS, ids="+".join)
def test_every_sheet_carries_the_cautions_and_the_notice(kind: Kind, pair: tuple[str, str]) -> None:
    sheet = made(kind, *pair)
    assert sheet.cautions == checklist(pair[0]).cautions
    assert len(sheet.cautions) >= 3
    assert sheet.notice == NOTICE
    for word in ("practice", "no official pass mark", "proves no proficiency", "state's manual"):
        assert word in sheet.notice


@pytest.mark.parametrize("kind", [Kind.CLIPBOARD, Kind.STUDY])
@pytest.mark.parametrize("pair", PAIRS, ids="+".join)
def test_each_item_stands_once_in_the_order_of_the_walk(kind: Kind, pair: tuple[str, str]) -> None:
    there = lines(made(kind, *pair))
    wanted = fitted(*pair)
    by_section = [i for s in wanted.sections for i in wanted.items if i.section == s.id]
    assert [line.item for line in there] == [item.id for item in by_section]
    assert len(by_section) == len(wanted.items)
    assert [line.number for line in there] == list(range(1, len(there) + 1))
    for line, item in zip(there, by_section, strict=True):
        asked = [r for r in item.requirements if r.required or kind is Kind.STUDY]
        assert [mark.id for mark in line.marks] == [r.id for r in asked]
        assert [mark.says for mark in line.marks] == [r.says for r in asked]
        assert [bool(mark.number) for mark in line.marks] == [bool(r.limit) for r in asked]
        assert (line.why, line.caution) == (item.why, item.caution)
        assert (line.critical, line.step) == (item.critical, item.step)


@pytest.mark.parametrize("pair", PAIRS, ids="+".join)
def test_a_new_place_begins_a_new_stop(pair: tuple[str, str]) -> None:
    places = {place.id: place.title for place in fitted(*pair).places}
    items = {item.id: item for item in fitted(*pair).items}
    for block in made(Kind.CLIPBOARD, *pair).blocks:
        titles = [stop.place for stop in block.stops]
        assert all(one != two for one, two in zip(titles, titles[1:], strict=False))
        for stop in block.stops:
            assert {places[items[line.item].place] for line in stop.lines} == {stop.place}


@pytest.mark.parametrize("pair", PAIRS, ids="+".join)
def test_the_sections_bring_their_minutes(pair: tuple[str, str]) -> None:
    sheet = made(Kind.CLIPBOARD, *pair)
    minutes = [float(block.minutes.removesuffix(" min")) for block in sheet.blocks]
    wanted = [section.budget_s / 60 for section in fitted(*pair).sections]
    assert minutes == pytest.approx(wanted)
    assert [b.ordered for b in sheet.blocks] == [s.procedure for s in fitted(*pair).sections]


@pytest.mark.parametrize("pair", PAIRS, ids="+".join)
def test_the_card_has_every_limit_with_every_source(pair: tuple[str, str]) -> None:
    card = made(Kind.NUMBERS, *pair)
    sources = {one.number: (one.title, one.section, one.standing) for one in card.sources}
    assert list(sources) == list(range(1, len(sources) + 1))
    on_card = {
        (figure.quantity, figure.limit, words, frozenset(sources[n] for n in figure.sources))
        for figure in card.figures
        for words in figure.wordings
    }
    wanted = {
        (
            r.limit.quantity,
            limit_text(r.limit),
            r.says,
            frozenset((b.title, b.section, str(b.standing)) for b in r.basis),
        )
        for item in fitted(*pair).items
        for r in item.requirements
        if r.limit
    }
    assert wanted
    assert on_card == wanted
    assert all(figure.sources and figure.parts for figure in card.figures)
    used = set(chain.from_iterable(figure.sources for figure in card.figures))
    assert used == set(sources)


@pytest.mark.parametrize("pair", PAIRS, ids="+".join)
def test_the_card_names_every_part_of_a_number(pair: tuple[str, str]) -> None:
    card = made(Kind.NUMBERS, *pair)
    for item in fitted(*pair).items:
        for r in item.requirements:
            if r.limit:
                rows = [f for f in card.figures if f.limit == limit_text(r.limit)]
                assert any(p.startswith(item.title) for f in rows for p in f.parts), item.id


def test_a_number_nobody_asks_for_is_not_called_critical() -> None:
    card = made(Kind.NUMBERS, *CLASSIC)
    by_quantity = {figure.quantity: figure for figure in card.figures}
    assert by_quantity["applied air loss"].critical
    assert by_quantity["applied air loss"].needed
    assert not by_quantity["governor cut-in"].critical
    assert not by_quantity["governor cut-in"].needed
    assert not by_quantity["tread depth"].critical


SWITCHED = {
    "right-side.lift": (False, True),
    "front-axle.brake-drum": (True, False),
    "front-axle.brake-pads": (False, True),
    "cab.def-gauge": (True, False),
    "rear.strobe-lamp": (True, False),
    "front.red-warning-lamps": (True, True),
}


@pytest.mark.parametrize("item", SWITCHED)
def test_the_vehicle_switches_items_off(item: str) -> None:
    there = tuple(
        item in {line.item for line in lines(made(Kind.CLIPBOARD, CLASSIC[0], vehicle))}
        for vehicle in ("yard-bus-air", "yard-bus-lift")
    )
    assert there == SWITCHED[item]


def test_the_vehicle_switches_numbers_off() -> None:
    for vehicle, play, lining in (("yard-bus-air", False, True), ("yard-bus-lift", True, False)):
        card = made(Kind.NUMBERS, CLASSIC[0], vehicle)
        quantities = {figure.quantity for figure in card.figures}
        assert ("steering play" in quantities, "lining thickness" in quantities) == (play, lining)


def test_a_vehicle_that_contradicts_is_refused() -> None:
    odd = VehicleProfile(id="odd", title="Odd", fitted=(("lift", "perhaps"),))
    for kind in Kind:
        with pytest.raises(FaultyFileError) as caught:
            sheet_of(kind, checklist(CLASSIC[0]), odd)
        assert caught.value.code == "C05"


@settings(max_examples=40, deadline=None)
@given(st.data())
def test_any_vehicle_gets_what_it_has_and_nothing_else(data: st.DataObject) -> None:
    classic = checklist(CLASSIC[0])
    stated = tuple(
        (rule.key, data.draw(st.sampled_from(rule.values))) for rule in classic.profile_keys
    )
    bus = VehicleProfile(id="any", title="Any", fitted=stated)
    wanted = applicable(classic, bus)
    sheet = sheet_of(Kind.CLIPBOARD, classic, bus)
    assert sorted(line.item for line in lines(sheet)) == sorted(item.id for item in wanted.items)
    assert sheet.items == len(wanted.items)
    limits = {limit_text(r.limit) for i in wanted.items for r in i.requirements if r.limit}
    assert {f.limit for f in sheet_of(Kind.NUMBERS, classic, bus).figures} == limits
