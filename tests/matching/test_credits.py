"""The ledger: what stands earned, and how the recogniser's doubt weakens evidence."""

from __future__ import annotations

from dataclasses import replace

import pytest
from spoken_lines import reading

from walkgrade.matching.credits import Entry, Ledger, evidence_of
from walkgrade.matching.records import Evidence


def entry(confidence: float, *, against: bool = False) -> Entry:
    evidence = Evidence(utterance="u1", quote="q", start=0, end=1, confidence=confidence)
    return Entry(requirement="a.b.c", evidence=evidence, against=against)


@pytest.mark.parametrize(
    ("entries", "earned"),
    [
        ((), False),
        ((entry(0.9),), True),
        ((entry(0.5),), True),
        ((entry(0.4),), False),
        ((entry(0.9, against=True),), False),
        ((entry(0.9), entry(0.9, against=True)), False),
        ((entry(0.9, against=True), entry(0.9)), True),
    ],
)
def test_earned_so_far(entries: tuple[Entry, ...], earned: bool) -> None:
    ledger = Ledger()
    for one in entries:
        ledger.credit(one, "a.b")
    assert ledger.earned("a.b.c") is earned


def test_a_doubtful_word_makes_doubtful_evidence() -> None:
    (utterance,) = reading("Steering box secure.").utterances
    sure = evidence_of(utterance, 2, 3, 0.9)
    doubtful = replace(
        utterance, tokens=tuple(replace(token, prob=0.2) for token in utterance.tokens)
    )
    assert evidence_of(doubtful, 2, 3, 0.9).confidence < sure.confidence == 0.9
    assert evidence_of(doubtful, 0, 3, 0.0).confidence == 0.0


def test_evidence_spans_its_words() -> None:
    (utterance,) = reading("Steering box secure.").utterances
    found = evidence_of(utterance, 0, 2, 1.0)
    assert (found.quote, found.start, found.end) == ("Steering box", 700, 1500)


def test_touched_lists_items_once_in_order() -> None:
    ledger = Ledger()
    for item in ("b", "a", "b"):
        ledger.credit(entry(0.9), item)
    assert list(ledger.touched["u1"]) == ["b", "a"]


@pytest.mark.parametrize(("utterance", "left"), [("", ["u2 rule"]), ("u1", ["u2 rule", "u2"])])
def test_opinions_can_be_dropped(utterance: str, left: list[str]) -> None:
    ledger = Ledger()
    for spoken, opinion in (("u1", True), ("u2", False), ("u2", True)):
        evidence = replace(entry(0.9).evidence, utterance=spoken)
        ledger.credit(replace(entry(0.9), evidence=evidence, opinion=opinion), "a.b")
    ledger.drop_opinions("a.b.c", utterance)
    ledger.drop_opinions("a.b.d")
    kept = [e.evidence.utterance + ("" if e.opinion else " rule") for e in ledger.entries["a.b.c"]]
    assert kept == left
    assert "a.b.d" not in ledger.entries
