"""Baselines call what they are meant to call, and their findings fit the tally."""

from __future__ import annotations

import pytest

from benchmarks.agreement import scripts, tally
from benchmarks.baselines import (
    Fuzzy,
    Keywords,
    Similarity,
    Tuned,
    plain,
    tfidf,
    utterances,
)
from walkgrade.checklists.records import Checklist, Item, Kind, Requirement
from walkgrade.speech.records import Segment, Transcript, Word


def _requirement(name: str, says: str) -> Requirement:
    return Requirement(id=name, row="E1", kind=Kind.CONDITION, says=says, required=True)


def _item(name: str, names: tuple[str, ...], *says: str) -> Item:
    return Item(
        id=name, title=names[0], row="E1", section="s", place="p", names=names,
        requirements=tuple(_requirement(f"{name}.{at}", one) for at, one in enumerate(says)),
    )  # fmt: skip


LIST = Checklist(
    id="c", version="1", title="t", vehicle="v", edition="e", budget_s=60, cautions=(), places=(),
    sections=(),
    items=(
        _item("hoses", ("hoses", "radiator hose"), "not leaking", "in good condition, not cracked"),
        _item("belt", ("alternator belt",), "not frayed"),
        _item("horn", ("horn",)),
    ),
)  # fmt: skip


def talk(*lines: str, who: str = "") -> Transcript:
    segments, now = [], 0
    for number, line in enumerate(lines):
        words = tuple(
            Word(text=text, start=now + 100 * at, end=now + 100 * at + 90)
            for at, text in enumerate(line.split())
        )
        end = words[-1].end
        segments.append(Segment(id=f"l{number}", start=now, end=end, words=words, speaker=who))
        now = end + 500
    return Transcript(id="t", segments=tuple(segments), duration=now)


@pytest.mark.parametrize(
    ("setting", "line", "expected"),
    [
        (("names", 0), "the radiator hose and the horn", [True, False, True]),
        (("any", 10), "the radiator hose is cracked", [True, False, False]),
        (("all", 10), "the radiator hose is cracked", [False, False, False]),
        (("all", 10), "no leaking at the hoses, nothing cracked", [True, False, False]),
        (("all", 3), "no leaking at all anywhere near these hoses, none cracked", [False] * 3),
        (("names", 0), "alternator and a belt", [False, False, False]),
    ],
)
def test_keywords(setting: tuple[str, int], line: str, expected: list[bool]) -> None:
    search = Keywords()
    assert search.complete(search.read(talk(line), LIST, [setting]), setting) == expected


@pytest.mark.parametrize(
    ("setting", "lines", "expected"),
    [
        ((80, 0), ("the radiater hose is here",), [True, False, False]),
        ((100, 0), ("the radiater hoze is here",), [False, False, False]),
        ((80, 80), ("the alternator belt", "not frayed at all"), [False, True, False]),
        ((80, 80), ("the alternator belt", "and now", "not frayed at all"), [False] * 3),
    ],
)
def test_fuzzy(setting: tuple[int, int], lines: tuple[str, ...], expected: list[bool]) -> None:
    match = Fuzzy()
    assert match.complete(match.read(talk(*lines), LIST, [setting]), setting) == expected


def test_similarity_falls_with_the_threshold() -> None:
    near = Similarity("TF-IDF similarity", tfidf)
    said = talk("alternator belt not frayed", "and the horn")
    readings = near.read(said, LIST, [(1, 0.3)])
    assert near.complete(readings, (1, 0.3)) == [False, True, True]
    assert near.complete(readings, (1, 1.01)) == [False, False, False]


def test_other_voices_are_left_out() -> None:
    assert utterances(talk("the horn", who="examiner")) == []
    assert utterances(talk("the horn", who="trainee")) == [["the", "horn"]]


def test_plain_keeps_fractions() -> None:
    assert plain("4/32 of an Inch, it's 1.5!") == ["4/32", "of", "an", "inch", "it's", "1.5"]


def test_findings_of_a_baseline_are_tallied() -> None:
    script = scripts("demo")[0]
    from benchmarks.agreement import fitted
    from seeds.script import to_transcript

    made, _ = tally(
        script,
        Tuned(Keywords(), ("names", 0), 0.0)(to_transcript(script), fitted(script), script.profile),
    )
    assert made.items == len(fitted(script).items)
    assert made.both > 0
    assert made.false_credit > 0
