"""Cohen's kappa as the benchmark computes it, against scikit-learn and published tables."""

from __future__ import annotations

import math
from collections import Counter

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from sklearn.metrics import cohen_kappa_score, f1_score

from benchmarks.agreement import Tally, scripts, tally
from benchmarks.agreement import fitted as fitted_of
from seeds.script import to_transcript
from walkgrade.language.read import read
from walkgrade.matching.match import match

# yes-yes, yes-no, no-yes, no-no; kappa as printed
PRINTED = [
    # Feinstein and Cicchetti (1990), High agreement but low kappa: I, J Clin Epidemiol 43:543-549,
    # as reprinted in Gerstman, Epidemiology Kept Simple, tables 10.6A and 10.6B
    ((40, 9, 6, 45), 0.70),
    ((80, 10, 5, 5), 0.32),
    # Gerstman, Epidemiology Kept Simple, illustrative example 10.1 (margins 2249 and 2776 of 19790)
    ((1467, 782, 1309, 16232), 0.524),
]
counts = st.integers(0, 60)


def tallied(both: int, false: int, missed: int, neither: int) -> Tally:
    return Tally(both=both, false_credit=false, missed_credit=missed, neither=neither)


@pytest.mark.parametrize(("table", "kappa"), PRINTED)
def test_kappa_of_published_tables(table: tuple[int, int, int, int], kappa: float) -> None:
    digits = len(str(kappa).partition(".")[2])
    assert round(tallied(*table).kappa, max(2, digits)) == kappa


@settings(deadline=None)
@given(counts, counts, counts, counts)
def test_kappa_is_scikit_learns(both: int, false: int, missed: int, neither: int) -> None:
    given_credit = [1] * both + [1] * false + [0] * missed + [0] * neither
    due = [1] * both + [0] * false + [1] * missed + [0] * neither
    assume(len(set(given_credit)) > 1 or len(set(due)) > 1)  # else kappa is 0 / 0
    mine = tallied(both, false, missed, neither).kappa
    assert mine == pytest.approx(cohen_kappa_score(given_credit, due), abs=1e-12)


@pytest.mark.parametrize("table", [(7, 0, 0, 0), (0, 0, 0, 7)])
def test_kappa_without_any_variety_is_full_agreement(table: tuple[int, int, int, int]) -> None:
    assert tallied(*table).kappa == 1.0


@pytest.mark.parametrize(
    ("table", "kappa"), [((5, 0, 0, 5), 1.0), ((0, 5, 5, 0), -1.0), ((5, 5, 5, 5), 0.0)]
)
def test_kappa_at_its_ends(table: tuple[int, int, int, int], kappa: float) -> None:
    assert math.isclose(tallied(*table).kappa, kappa, abs_tol=1e-12)


@settings(deadline=None)
@given(st.integers(0, 20), st.integers(0, 20), st.integers(0, 20))
def test_f1_is_scikit_learns(hit: int, extra: int, lost: int) -> None:
    assume(hit + extra + lost)
    found = [1] * hit + [1] * extra + [0] * lost
    due = [1] * hit + [0] * extra + [1] * lost
    mine = Tally(numbers=Counter(hit=hit, extra=extra, lost=lost)).f1
    assert mine == pytest.approx(f1_score(due, found, zero_division=0.0))


def test_tallies_add_up() -> None:
    total = tallied(1, 2, 3, 4)
    total.add(tallied(10, 20, 30, 40))
    assert (total.both, total.false_credit, total.missed_credit, total.neither) == (11, 22, 33, 44)
    assert total.items == 110


def test_silence_earns_nothing_and_misses_all_that_was_due() -> None:
    """A talk without words against labels: no credit given, every complete item missed."""
    script = next(one for one in scripts("demo") if one.id == "demo-short")
    checklist = fitted_of(script)
    findings = match(read(to_transcript(script), checklist), checklist, script.profile)
    heard, _ = tally(script, findings)
    silent = to_transcript(script)
    nothing = match(
        read(type(silent)(id="t", segments=(), duration=0), checklist), checklist, script.profile
    )
    mute, notes = tally(script, nothing)
    assert mute.both == mute.false_credit == 0
    assert mute.missed_credit == heard.both + heard.missed_credit > 10
    assert mute.items == len(checklist.items)
    assert len([note for note in notes if note.startswith("MISSED")]) == mute.missed_credit
