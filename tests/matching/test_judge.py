"""The judge: probabilities from rows, marks, doubt, and wrong numbers that stand."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from spoken_lines import earned, heard, outcomes, reading, wrong, yard_bus

from walkgrade import trained
from walkgrade.errors import ModelError
from walkgrade.matching.judge import Bench, Judge, Marks, judge_from
from walkgrade.matching.match import match, weighed
from walkgrade.matching.records import ItemOutcome, RemarkKind
from walkgrade.matching.weighing import FEATURES, Weighing
from walkgrade.trained import load_judge, load_readers


def bench(bias: float, said: float, listen: float, sure: float = 0.0, **weights: float) -> Bench:
    """A bench with a few weights; the others are 0."""
    assert set(weights) <= set(FEATURES)
    return Bench(
        bias=bias, weights=tuple(weights.get(name, 0.0) for name in FEATURES),
        marks=Marks(said=said, listen=listen, sure=sure),
    )  # fmt: skip


def test_a_chance_is_the_logistic_of_the_weighted_row() -> None:
    rows = np.zeros((2, len(FEATURES)))
    rows[1, FEATURES.index("reader")] = 2.0
    found = bench(-1.0, 0.5, 0.5, reader=1.5).chances(Weighing(("a", "b"), rows, (-1, 0)))
    assert found["a"] == pytest.approx(1 / (1 + np.exp(1.0)))
    assert found["b"] == pytest.approx(1 / (1 + np.exp(-2.0)))


@pytest.mark.parametrize(
    ("said", "listen", "sure", "outcome", "close"),
    [
        (0.0, 0.0, 0.0, ItemOutcome.COMPLETE, False),
        (0.4, 0.0, 0.5, ItemOutcome.COMPLETE, False),
        (0.4, 0.0, 0.6, ItemOutcome.COMPLETE, True),
        (1.1, 0.0, 1.2, ItemOutcome.NEEDS_LISTENING, False),
        (1.1, 1.1, 1.2, ItemOutcome.NAMED_ONLY, False),
    ],
)
def test_marks_decide_between_credit_and_a_human_ear(
    said: float, listen: float, sure: float, outcome: ItemOutcome, *, close: bool
) -> None:
    only = bench(0.0, said, listen, sure)
    line = "Front axle. The valve stem is fine, no damage."
    read = reading(line, reader=load_readers())
    found = match(read, yard_bus(), "bus", judge=Judge(typed=only, recognised=only))
    assert outcomes(found)["front-axle.valve-stem"] == outcome
    stem = next(row for row in found.items if row.item == "front-axle.valve-stem")
    assert stem.close_call is close


def test_recognised_words_go_before_their_own_bench() -> None:
    never, always = bench(-20.0, 0.5, 0.4), bench(20.0, 0.5, 0.4)
    judge = Judge(typed=never, recognised=always)
    read = reading("Front axle. The valve stem is fine, no damage.", reader=load_readers())
    assert earned(match(read, yard_bus(), "bus", judge=judge)) == set()
    as_heard = replace(read, recognised=True)
    assert "front-axle.valve-stem.sound" in earned(match(as_heard, yard_bus(), "bus", judge=judge))


SMALL_TALK = ["Hello there. Nice weather.", "Good morning. Nice weather."]


@pytest.mark.parametrize("talk", SMALL_TALK)
def test_what_is_usual_is_no_evidence(talk: str) -> None:
    """However likely a judge thinks it, what nothing was heard for is not said."""
    always = bench(20.0, 0.5, 0.4)
    read = reading(talk, reader=load_readers())
    found = match(read, yard_bus(), "bus", judge=Judge(typed=always, recognised=always))
    assert earned(found) == set()


@pytest.mark.parametrize("talk", SMALL_TALK)
def test_the_shipped_judge_credits_no_small_talk(talk: str) -> None:
    read = reading(talk, reader=load_readers())
    assert earned(match(read, yard_bus(), "bus", judge=load_judge())) == set()


def test_a_wrong_number_stands_against_any_judge() -> None:
    line = "Front axle. The front tyre tread depth is at least two thirty-seconds."
    always = bench(20.0, 0.5, 0.4)
    read = reading(line, reader=load_readers())
    found = match(read, yard_bus(), "bus", judge=Judge(typed=always, recognised=always))
    assert "front-axle.tyre-tread.depth" in wrong(found)


@pytest.mark.parametrize(
    "line",
    [
        "On my old bus the steering box was secure and the hoses were not leaking.",
        "Is the steering box secure?",
        "I guess maybe the steering box is mounted tight.",
        "The bus next to us has no leaks at the brake chamber.",
    ],
)
def test_other_vehicles_questions_and_guesses_earn_nothing(line: str) -> None:
    assert earned(heard(line, judged=True)) == set()


def test_rows_hold_one_for_each_requirement() -> None:
    found = weighed(reading("Horn works.", reader=load_readers()), yard_bus()).weighing
    assert found.requirements == tuple(r.id for i in yard_bus().items for r in i.requirements)
    assert found.rows.shape == (len(found.requirements), len(FEATURES))
    assert np.isfinite(found.rows).all()


@pytest.mark.parametrize(
    "spoil", ["missing", "no json", "other features", "other tree", "neither", "no mark"]
)
def test_a_spoiled_judge_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, spoil: str
) -> None:
    place = tmp_path / "judge.json"
    body = json.loads(trained._file().read_text("utf-8"))
    if spoil == "other features":
        body["recognised"]["weights"] = dict.fromkeys(FEATURES[1:], 0.5)
    if spoil == "other tree":
        body["typed"]["trees"][0]["feature"][0] = "weather"
    if spoil == "neither":
        del body["typed"]["trees"]
    if spoil == "no mark":
        del body["recognised"]["said"]
    if spoil != "missing":
        place.write_text("{" if spoil == "no json" else json.dumps(body), "utf-8")
    monkeypatch.setattr(trained, "_file", lambda: place)
    load_judge.cache_clear()
    with pytest.raises(ModelError) as caught:
        load_judge()
    assert caught.value.code == "M20"
    load_judge.cache_clear()


def test_the_written_form_is_read_whole() -> None:
    body = json.loads(trained._file().read_text("utf-8"))
    judge = judge_from(body)
    for bench, written in ((judge.typed, body["typed"]), (judge.recognised, body["recognised"])):
        lengths = [len(one["feature"]) for one in written["trees"]]
        assert [len(tree.feature) for tree in bench.trees] == lengths
        assert not any(bench.weights)
        assert bench.bias == written["bias"]
        assert bench.marks.listen <= bench.marks.said


def test_a_bench_may_have_weights_instead_of_trees() -> None:
    body = json.loads(trained._file().read_text("utf-8"))
    named = {name: at / 10 for at, name in enumerate(FEATURES)}
    body["typed"] = {"bias": 0.5, "said": 0.7, "listen": 0.2, "weights": named}
    assert judge_from(body).typed.weights == tuple(named.values())


@pytest.mark.parametrize(
    ("line", "remarked"),
    [
        ("Front axle. The brake chamber is leaking.", True),
        (
            "Passenger entry. The entry door opens good, closes good, "
            "not bent, won't push open once it's shut.",
            False,
        ),
    ],
)
def test_a_fault_is_remarked_unless_the_reader_hears_it_told_rightly(
    line: str, remarked: bool
) -> None:
    kinds = [
        {remark.kind for remark in heard(line, judged=judged).remarks} for judged in (False, True)
    ]
    assert RemarkKind.DEFECT in kinds[0]
    assert (RemarkKind.DEFECT in kinds[1]) is remarked
