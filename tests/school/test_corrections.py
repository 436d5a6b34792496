"""Files of corrections: what they may hold, which run is meant, and all faults at once."""

from __future__ import annotations

from pathlib import Path

import pytest

from walkgrade.errors import InputError
from walkgrade.grading.records import Review
from walkgrade.matching.records import ItemOutcome as Outcome
from walkgrade.school.corrections import Correction, Run, plan, read_corrections

NOW = "2030-06-01T12:00:00+00:00"
HEAD = "attempt,item,outcome,who,when,why\n"
GOOD = Correction(
    line=2,
    attempt="run7",
    item="engine.oil-level",
    outcome=Outcome.NAMED_ONLY,
    who="J. Ortiz",
    when="2030-05-02",
    why="said, at 3:12",
)


def write(folder: Path, text: str, name: str = "c.csv", encoding: str = "utf-8") -> Path:
    place = folder / name
    place.write_bytes(text.encode(encoding))
    return place


SAID = '"said, at 3:12"'
FORMS = {
    "commas": ("c.csv", f"{HEAD}run7,engine.oil-level,named-only,J. Ortiz,2030-05-02,{SAID}\n"),
    "byte order mark, blanks, capitals": (
        "c.csv",
        f"\ufeff{HEAD}run7, engine.oil-level ,Named only,J.  Ortiz,2030-05-02,{SAID}\r\n",
    ),
    "semicolons, another order": (
        "c.CSV",
        "why;When;who;new outcome;ITEM;Attempt\n"
        f"{SAID};2030-05-02;J. Ortiz;named only;engine.oil-level;run7\n;;;;;\n",
    ),
    "tabs": (
        "c.csv",
        HEAD.replace(",", "\t")
        + f"run7\tengine.oil-level\tnamed only\tJ. Ortiz\t2030-05-02\t{SAID}\n",
    ),
    "yaml": (
        "c.yaml",
        "# one\n- {attempt: run7, item: engine.oil-level, outcome: named only, "
        f"who: J. Ortiz, when: 2030-05-02, why: {SAID}}}\n",
    ),
}


@pytest.mark.parametrize(("name", "text"), FORMS.values(), ids=FORMS)
def test_every_form_gives_the_same_row(tmp_path: Path, name: str, text: str) -> None:
    assert read_corrections(write(tmp_path, text, name)) == (GOOD,)


def test_when_may_be_left_out(tmp_path: Path) -> None:
    (row,) = read_corrections(write(tmp_path, "attempt,item,outcome,who,why\na,b,missed,Q,x\n"))
    assert row.when == ""


@pytest.mark.parametrize(
    ("name", "text", "part"),
    [
        ("gone.csv", None, "cannot be read"),
        ("c.txt", HEAD, "neither CSV nor YAML"),
        ("c.csv", "", "lacks attempt"),
        ("c.csv", HEAD, "no correction"),
        ("c.csv", "attempt,item,outcome,who,when\n", "lacks why"),
        ("c.csv", "attempt,item,outcome,who,when,why,wo\n", "has 'wo'"),
        ("c.csv", "attempt,item,outcome,who,when,why,why\n", "twice"),
        ("c.csv", f'{HEAD}a,b,missed,Q,,"open\n', "line 2"),
        ("c.yaml", "a: 1\n", "no list"),
        ("c.yaml", "- [1\n", "no YAML"),
        ("c.yaml", "", "no list"),
        ("c.yaml", "- {attempt: a, item: b, outcome: missed, who: Q}\n", "lacks why"),
    ],
)
def test_files_that_cannot_be_used(tmp_path: Path, name: str, text: str | None, part: str) -> None:
    place = tmp_path / name if text is None else write(tmp_path, text, name)
    with pytest.raises(InputError) as caught:
        read_corrections(place)
    assert caught.value.code == "I41"
    assert part in caught.value.message


def test_text_of_another_encoding(tmp_path: Path) -> None:
    place = write(tmp_path, f"{HEAD}a,b,missed,José,,x\n", encoding="cp1252")
    with pytest.raises(InputError, match="UTF-8"):
        read_corrections(place)


def test_all_faults_are_told_with_their_lines(tmp_path: Path) -> None:
    text = (
        f"{HEAD}a,b,perfect,Q,,x\n\n"
        "a,,missed,,,x\n"
        "a,b,missed,Q,yesterday,x\n"
        "a,b,missed,Q,,x,y\n"
        "a,b,missed\n"
    )
    with pytest.raises(InputError) as caught:
        read_corrections(write(tmp_path, text))
    assert caught.value.code == "I42"
    told = [line.strip() for line in caught.value.message.splitlines()[1:]]
    assert [line.split(": ")[0:2] for line in told] == [
        ["c.csv:2", "outcome"],
        ["c.csv:4", "item"],
        ["c.csv:4", "who"],
        ["c.csv:5", "when"],
        ["c.csv:6", "$"],
        ["c.csv:7", "who"],
        ["c.csv:7", "why"],
    ]
    assert "7 faults; nothing was changed" in caught.value.message


def test_a_key_twice_in_yaml(tmp_path: Path) -> None:
    text = "- {attempt: a, item: b, outcome: missed, who: Q, why: x, why: y}\n"
    with pytest.raises(InputError, match=r"(?s)I42.*twice"):
        read_corrections(write(tmp_path, text.replace("\n", " ") + "\n", "c.yaml"))


def review(item: str = "oil", new: Outcome = Outcome.COMPLETE, **values: str) -> Review:
    plain = {"who": "Quill", "when": "2030-05-02T10:00:00+00:00", "why": "heard"} | values
    return Review(item=item, old=Outcome.MISSED, new=new, **plain)


def run(place: str, id: str = "", reviews: tuple[Review, ...] = ()) -> Run:
    return Run(
        path=Path(f"{place}.json"),
        place=place,
        names=(id or place, place.rsplit("/", 1)[-1]),
        outcomes={"oil": Outcome.MISSED, "horn": Outcome.COMPLETE},
        reviews=reviews,
    )


def row(attempt: str = "a", item: str = "oil", new: Outcome = Outcome.COMPLETE, **values: object):
    plain = {"line": 2, "who": "Ortiz", "when": "", "why": "heard"} | values
    return Correction(attempt=attempt, item=item, outcome=new, **plain)


RUNS = (run("a", "id-a"), run("week-1/b", "id-b"), run("week-2/b", "id-c"), run("b", "id-d"))


@pytest.mark.parametrize(
    ("said", "place"),
    [
        ("a", "a"),
        ("a.json", "a"),
        ("id-a", "a"),
        ("b", "b"),
        ("week-1/b", "week-1/b"),
        ("week-2/b.json", "week-2/b"),
        ("id-c", "week-2/b"),
    ],
)
def test_which_run_a_row_means(said: str, place: str) -> None:
    assert set(plan("c.csv", [row(said)], RUNS, NOW).reviews) == {Path(f"{place}.json")}


def test_rows_are_kept_in_order_and_each_keeps_what_it_replaced() -> None:
    rows = [row(), row(new=Outcome.WRONG, when="2030-06-02"), row(item="horn", new=Outcome.MISSED)]
    (reviews,) = plan("c.csv", rows, RUNS, NOW).reviews.values()
    assert [(one.item, one.old, one.new, one.when) for one in reviews] == [
        ("oil", Outcome.MISSED, Outcome.COMPLETE, NOW),
        ("oil", Outcome.COMPLETE, Outcome.WRONG, "2030-06-02"),
        ("horn", Outcome.COMPLETE, Outcome.MISSED, NOW),
    ]


@pytest.mark.parametrize(
    ("values", "already"),
    [
        ({"who": "Quill"}, 1),
        ({"who": "Quill", "when": "2030-05-02T10:00:00+00:00"}, 1),
        ({"who": "Quill", "when": "2030-05-03"}, 0),
        ({"who": "Quill", "why": "again"}, 0),
        ({"who": "Ortiz"}, 0),
        ({"who": "Quill", "new": Outcome.WRONG}, 0),
    ],
)
def test_what_is_there_is_passed_over(values: dict[str, object], already: int) -> None:
    done = plan("c.csv", [row(**values)], [run("a", reviews=(review(),))], NOW)
    assert done.already == already
    assert len(done.reviews) == 1 - already


@pytest.mark.parametrize(
    ("rows", "parts"),
    [
        ([row("c")], ["attempt: no run is called 'c'"]),
        ([row("id-x")], ["nearest: id-"]),
        ([row(item="oli")], ["item: a has no item 'oli'; nearest: oil"]),
        ([row("c"), row(item="x", line=3)], ["c.csv:2: attempt", "c.csv:3: item"]),
    ],
)
def test_rows_that_mean_nothing(rows: list[Correction], parts: list[str]) -> None:
    with pytest.raises(InputError) as caught:
        plan("c.csv", rows, RUNS, NOW)
    assert caught.value.code == "I42"
    for part in parts:
        assert part in caught.value.message


def test_a_name_that_means_two_runs() -> None:
    with pytest.raises(InputError, match=r"names 2 runs; say which: week-1/b, week-2/b"):
        plan("c.csv", [row("b")], RUNS[:3], NOW)


@pytest.mark.parametrize(
    ("when", "refused"),
    [
        ("2030-05-01", True),
        ("2030-05-02T11:30:00+02:00", True),
        ("2030-05-02T12:30:00+02:00", False),
        ("", False),
    ],
)
def test_an_older_row_does_not_take_over_silently(when: str, refused: bool) -> None:
    runs = [run("a", reviews=(review(),))]
    rows = [row(new=Outcome.WRONG, when=when)]
    if not refused:
        assert plan("c.csv", rows, runs, NOW).reviews
        return
    with pytest.raises(InputError, match="called later"):
        plan("c.csv", rows, runs, NOW)
