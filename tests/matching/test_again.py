"""Reading doubtful items again: which are, what is asked, and what comes of the answers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from mini_lists import listed, need, part
from spoken_lines import reading

from walkgrade.language.item_reader import ItemQuestion
from walkgrade.language.records import Opinion, Utterance
from walkgrade.matching.again import Heard, again, doubtful, item_answers
from walkgrade.matching.credits import Entry, Ledger, evidence_of
from walkgrade.matching.judge import AGAIN, Bench, Judge, Marks, Second
from walkgrade.matching.opinions import Opinions
from walkgrade.matching.scene import Scene
from walkgrade.matching.trees import tree_from
from walkgrade.matching.weighing import FEATURES, Weighing
from walkgrade.matching.zones import walk

LEAK, TIGHT, LIT, LOUD, SPARE = (
    "front.hose.leak", "front.hose.tight", "rear.lamp.lit", "cab.horn.loud", "cab.mirror.spare",
)  # fmt: skip
SURE = {LEAK: 0.99, TIGHT: 0.99, LIT: 0.99, LOUD: 0.99, SPARE: 0.5}
LINES = ("The hose has no leak.", "The lamp is lit.", "The horn is loud.", "It has a mirror.")
SEEN = (LEAK, LIT, LOUD, SPARE)
"""What each line tells."""
COLUMNS = ("first", "item", *AGAIN)
MINI = listed(
    part("front.hose", need(LEAK, "no_leak"), need(TIGHT, "tight"),
         need("front.hose.clean", "clean", required=False)),
    part("rear.lamp", need(LIT, "works")),
    part("cab.horn", need(LOUD, "works")),
    part("cab.mirror", need(SPARE, "works", required=False)),
)  # fmt: skip


class Asked:
    """In place of the item reader: `odds` by statement, and what it was asked."""

    def __init__(self, **odds: float) -> None:
        self.odds = {name.replace("_", "."): value for name, value in odds.items()}
        self.talk: list[str] = []
        self.asked: list[ItemQuestion] = []

    def answers(
        self, talk: Sequence[Utterance], places: Sequence[str], asked: Sequence[ItemQuestion]
    ) -> list[tuple[float, ...]]:
        assert len(places) == len(talk)
        self.talk += [one.text for one in talk]
        self.asked += asked
        return [tuple(self.odds.get(says, 0.0) for says in one.says) for one in asked]

    @property
    def titles(self) -> list[str]:
        return [one.title for one in self.asked]


def odds(chance: float) -> float:
    return float(np.log(chance / (1 - chance)))


def heard(
    seen: Sequence[str] = SEEN, best: dict[str, int] | None = None, **chances: float
) -> Heard:
    """The four lines, heard to tell `seen`, with every part named; a requirement's chance is `SURE`
    unless given."""
    given = SURE | {name.replace("_", "."): value for name, value in chances.items()}
    told = [Opinion(row=row, kind="told", targets=(name,), told=0.9)
            for row, name in enumerate(seen)]  # fmt: skip
    read = replace(reading(*LINES, checklist=MINI), opinions=tuple(told))
    scene, opinions = Scene(MINI), Opinions(read)
    names = tuple(scene.requirement)
    rows = np.zeros((len(names), len(FEATURES)))
    rows[:, FEATURES.index("reader")] = [odds(given.get(name, 0.99)) for name in names]
    lines = {name: row for row, name in enumerate(SEEN)} | (best or {})
    weighing = Weighing(names, rows, tuple(lines.get(name, -1) for name in names))
    ledger = Ledger()
    for one in MINI.items:
        ledger.name(one.id, evidence_of(read.utterances[0], 0, 1, 0.9))
    return Heard(read, scene, walk(read, scene, opinions), opinions, ledger, weighing)


def second(least: float = 0.05, most: float = 0.95, bias: float = 0.0, *trees: Any) -> Second:
    return Second(least=least, most=most, bias=bias, trees=trees)


def bench(second: Second | None = None, listen: float = 0.4) -> Bench:
    """A bench whose chances are the reader's."""
    weights = tuple(float(name == "reader") for name in FEATURES)
    marks = Marks(said=0.6, listen=listen)
    return Bench(bias=0.0, weights=weights, marks=marks, second=second)


def judge(bench: Bench, items: Any = None) -> Judge:
    return Judge(typed=bench, recognised=bench, items=items)


BY_ITEM = tree_from(
    {"feature": ["item", None, None], "limit": [0.0, 0, 0], "low": [1, 0, 0], "high": [2, 0, 0],
     "adds": [0, -2.0, 2.0]},
    COLUMNS,
)  # fmt: skip
"""Believed where the item reader's log odds are over 0."""
NEVER = 99.0  # no log odds are evidence


def chances_of(one: Heard, bench: Bench, items: Any = None) -> dict[str, float]:
    return again(one, judge(bench, items), bench, NEVER)[0]


@pytest.mark.parametrize(
    ("chances", "bounds", "found"),
    [
        ({}, (0.05, 0.95), []),
        ({LEAK: 0.5}, (0.05, 0.95), ["front.hose"]),
        ({TIGHT: 0.5, LIT: 0.2}, (0.05, 0.95), ["front.hose", "rear.lamp"]),
        ({LEAK: 0.5, TIGHT: 0.01}, (0.05, 0.95), []),  # the weakest is surely not told
        ({LIT: 0.25}, (0.25, 0.5), ["rear.lamp"]),
        ({LIT: 0.2499}, (0.25, 0.5), []),
        ({LIT: 0.4999}, (0.25, 0.5), ["rear.lamp"]),
        ({LIT: 0.5}, (0.25, 0.5), []),
        ({"front.hose.clean": 0.5}, (0.05, 0.95), []),  # optional
        ({SPARE: 0.3}, (0.05, 0.95), []),  # nothing of it is required
        ({}, (0.0, 1.0), ["front.hose", "rear.lamp", "cab.horn"]),
        ({LIT: 1.0}, (0.0, 1.0), ["front.hose", "cab.horn"]),
    ],
)
def test_doubt_lies_between_the_bounds(
    chances: dict[str, float], bounds: tuple[float, float], found: list[str]
) -> None:
    all_chances = dict.fromkeys(Scene(MINI).requirement, 0.99) | SURE | chances
    assert [one.id for one in doubtful(all_chances, Scene(MINI), second(*bounds))] == found


@pytest.mark.parametrize(
    ("opinion", "reads"), [(None, True), (second(0.0, 1.0, -9.0), False)], ids=["none", "no reader"]
)
def test_without_a_second_opinion_the_first_stands(opinion: Second | None, *, reads: bool) -> None:
    items, one, only = Asked(), heard(rear_lamp_lit=0.5), bench(opinion)
    chances, evident = again(one, judge(only, items if reads else None), only, odds(0.7))
    assert chances == only.chances(one.weighing)
    assert evident == one.weighing.evident(odds(0.7)) == set(one.weighing.requirements) - {
        LIT, SPARE
    }  # fmt: skip
    assert (items.asked, one.ledger.entries) == ([], {})


def test_without_an_item_reader_there_are_no_answers() -> None:
    assert item_answers(heard(), list(MINI.items), judge(bench())) == {}


def test_only_doubtful_items_are_asked() -> None:
    items, one = Asked(), heard(front_hose_tight=0.5, cab_horn_loud=0.94)
    chances = chances_of(one, bench(second()), items)
    assert items.titles == ["front.hose", "cab.horn"]
    assert tuple(items.talk) == tuple(line for line in LINES)
    assert [found.rows[0] for found in items.asked] == [0, 2]
    assert chances[LIT] == pytest.approx(0.99)
    assert {chances[name] for name in (LEAK, TIGHT, LOUD)} == {0.5}


@pytest.mark.parametrize(("seen", "titles"), [((LEAK, LIT), ["rear.lamp"]), ((LEAK,), [])])
def test_what_no_line_tells_of_is_not_asked(seen: tuple[str, ...], titles: list[str]) -> None:
    items, one, only = Asked(), heard(seen, rear_lamp_lit=0.3, cab_horn_loud=0.3), bench(second())
    chances = chances_of(one, only, items)
    assert items.titles == titles
    changed = {name for name, first in only.chances(one.weighing).items() if chances[name] != first}
    assert changed == ({LIT} if titles else set())


def test_each_answer_goes_to_its_requirement() -> None:
    items = Asked(front_hose_leak=3.0, front_hose_tight=-3.0, rear_lamp_lit=0.1)
    one = heard(front_hose_leak=0.5, rear_lamp_lit=0.5)
    chances = chances_of(one, bench(second(0.05, 0.95, 1.0, BY_ITEM)), items)
    believed, not_believed = 1 / (1 + np.exp(-3.0)), 1 / (1 + np.exp(1.0))
    wanted = {LEAK: believed, TIGHT: not_believed, LIT: believed, LOUD: 0.99, SPARE: 0.5}
    assert {name: chances[name] for name in wanted} == pytest.approx(wanted)


@pytest.mark.parametrize(
    ("told", "least", "known"), [(1.0, 1.0, True), (0.99, 1.0, False), (-0.5, -0.4, False)]
)
def test_sure_answers_are_evidence(told: float, least: float, *, known: bool) -> None:
    one, only = heard(rear_lamp_lit=0.3), bench(second())
    assert LIT not in one.weighing.evident(least)
    evident = again(one, judge(only, Asked(rear_lamp_lit=told)), only, least)[1]
    assert evident == one.weighing.evident(least) | ({LIT} if known else set())


def entry(one: Heard, *, against: bool) -> Entry:
    said = evidence_of(one.reading.utterances[0], 0, 2, 0.8)
    return Entry(requirement=LIT, evidence=said, against=against, reason="before")


def spoiled(how: str) -> Heard:
    """The lamp's light has a chance of 0.3; what speaks against giving it more is in `how`."""
    one = heard(rear_lamp_lit=0.3)
    if how.startswith("doubted"):
        one.opinions.doubt(1, LIT, float(how.split()[1]))
    if how == "another doubted":
        one.opinions.doubt(0, LEAK, 0.01)
    for word in how.split("then") if "told" in how else ():
        one.ledger.credit(entry(one, against="against" in word), "rear.lamp")
    if how.startswith("unnamed"):
        del one.ledger.named["rear.lamp"]
        seen = Opinion(row=1, kind="named", targets=("rear.lamp",), told=float(how.split()[1]))
        opinions = (*one.reading.opinions, seen)
        one = replace(one, opinions=Opinions(replace(one.reading, opinions=opinions)))
    return one


@pytest.mark.parametrize(
    ("how", "held"),
    [
        ("nothing", False),
        ("doubted 0.05", True),  # next to nothing is believed of it
        ("doubted 0.06", False),
        ("another doubted", False),
        ("told against", True),
        ("told, then told against", True),
        ("told against, then told", False),
        ("unnamed 0.29", True),
        ("unnamed 0.3", False),  # the reader hears it named
    ],
)
@pytest.mark.parametrize("bias", [2.0, -2.0])
def test_a_second_reading_may_take_credit_where_it_may_not_give_it(
    how: str, bias: float, *, held: bool
) -> None:
    one, only = spoiled(how), bench(second(0.05, 0.95, bias))
    chances, evident = again(one, judge(only, Asked(rear_lamp_lit=4.0)), only, 1.0)
    new = 1 / (1 + np.exp(-bias))
    assert chances[LIT] == pytest.approx(min(new, 0.3) if held else new)
    assert (LIT in evident) is not held


@pytest.mark.parametrize(
    ("listen", "best", "before", "entered"),
    [
        (0.5, 1, [], True),  # the chance is 0.5
        (0.51, 1, [], False),
        (0.5, 3, [], True),
        (0.5, -1, [], False),
        (0.5, 1, [False], False),  # there is support
        (0.5, 1, [True], False),  # the rules hear the contrary
        (0.5, 1, [True, False], False),
    ],
)
def test_what_is_understood_only_now_is_entered_with_its_likeliest_line(
    listen: float, best: int, before: list[bool], *, entered: bool
) -> None:
    one = heard(best={LIT: best}, rear_lamp_lit=0.3)
    for against in before:
        one.ledger.credit(entry(one, against=against), "rear.lamp")
    chances_of(one, bench(second(), listen), Asked())
    new = [found for found in one.ledger.entries.get(LIT, []) if found.reason != "before"]
    assert len(new) == int(entered)
    assert set(one.ledger.entries) <= {LIT}, "what was not asked is not entered"
    if entered:
        line = one.reading.utterances[best]
        assert (new[0].evidence.utterance, new[0].opinion, new[0].against) == (line.id, True, False)
        assert new[0].evidence.quote == line.quote(0, len(line.tokens))
        assert f"of rear.lamp, '{LIT}' is understood" in new[0].reason
        assert "rear.lamp" in one.ledger.touched[line.id]


def test_what_was_entered_is_not_entered_again() -> None:
    one, only = heard(rear_lamp_lit=0.3), bench(second())
    for _ in range(2):
        chances_of(one, only, Asked())
    assert len(one.ledger.entries[LIT]) == 1
