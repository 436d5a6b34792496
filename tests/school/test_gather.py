"""A folder of documents: what counts, what is left out and why."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest

from walkgrade.errors import InputError
from walkgrade.school.gather import gather


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "class"


def test_what_a_document_gives(document, save, folder: Path) -> None:
    save("a.json", document("  T-01  x", group=" Monday  class ", taken_at="2030-05-01T09:00:00"))
    data = gather(folder).frames
    row = data.attempts.iloc[0]
    assert (row["who"], row["trainee"], row["group"]) == ("T-01 x", "t-01 x", "Monday class")
    assert (row["file"], row["attempt"], row["day"]) == ("a.json", "run-1", "2030-05-01")
    assert row["checklist"] == "test-list"
    found = data.findings.set_index("item")["outcome"].astype(str).to_dict()
    assert found == {
        "engine.oil": "complete",
        "engine.belt": "incomplete",
        "axle.tyre": "wrong",
        "brakes.charge": "complete",
        "brakes.leak": "missed",
        "cab.horn": "complete",
        "cab.mirrors": "needs listening",
        "rear.lamps": "named only",
    }
    assert (row["items"], row["complete"], row["to_hear"], row["points"]) == (8, 3, 2, 3)
    assert row["percent"] == 37.5
    verdicts = data.numbers.groupby("requirement", observed=True)["verdict"].apply(list).to_dict()
    assert verdicts["axle.tyre.depth"] == ["out of range"]
    assert verdicts["brakes.leak.drop"] == ["wrong direction"]


def test_reviews_are_applied(document, save, folder: Path) -> None:
    from walkgrade.grading.records import Review
    from walkgrade.matching.records import ItemOutcome
    from walkgrade.reports.restore import regrade

    call = Review(
        item="brakes.leak",
        old=ItemOutcome.MISSED,
        new=ItemOutcome.COMPLETE,
        who="Ada Quill",
        when="2030-05-02",
        why="heard",
    )
    save("a.json", regrade(document(), (call,)))
    data = gather(folder).frames
    row = data.findings.set_index("item").loc["brakes.leak"]
    assert (row["outcome"], row["heard"], bool(row["reviewed"])) == ("complete", "missed", True)
    assert data.attempts["points"].tolist() == [4]
    assert data.reviews.to_numpy().tolist() == [[0, "brakes.leak", 0, "Ada Quill", "complete"]]


def test_names_that_differ_in_case_and_blanks_are_one_person(document, save, folder: Path) -> None:
    for number, who in enumerate(("T-07", " t-07 ", "T-07\u2003")):
        save(f"{number}.json", document(who, id=str(number)))
    assert set(gather(folder).frames.attempts["trainee"]) == {"t-07"}


def test_runs_without_a_name_are_people_of_their_own(document, save, folder: Path) -> None:
    save("a.json", document("", id="1"))
    save("week-2/a.json", document("", id="2"))
    assert gather(folder).frames.attempts["who"].tolist() == ["(no code) a", "(no code) week-2/a"]


BROKEN = {
    "cut.json": ('{"format": "walkgrade-gra', "I61", True),
    "empty.json": ("", "I61", True),
    "deep.json": ("[" * 100_000, "I61", True),
    "other.json": ('{"a": 1}', "I62", False),
    "list.json": ("[1, 2]", "I62", False),
    "version.json": ('{"format": "walkgrade-grade", "format_version": 99}', "I63", True),
    "lacking.json": ('{"format": "walkgrade-grade", "format_version": 1}', "I64", True),
}


def test_broken_files_never_stop_the_rest(document, save, folder: Path) -> None:
    save("good.json", document())
    for name, (text, _, _) in BROKEN.items():
        (folder / name).write_text(text, encoding="utf-8")
    (folder / "binary.json").write_bytes(b"\xff\xfe\x00\x80")
    gathered = gather(folder)
    assert gathered.frames.attempts["file"].tolist() == ["good.json"]
    told = {left.file: (left.code, left.broken) for left in gathered.left_out}
    expected = {name: (code, broken) for name, (_, code, broken) in BROKEN.items()}
    assert told == expected | {"binary.json": ("I60", True)}


def test_a_document_edited_by_hand_is_left_out(document, save, folder: Path) -> None:
    save("good.json", document())
    bad = document(id="other")
    bad["items"][0]["outcome"] = "perfect"
    (folder / "bad.json").write_text(json.dumps(bad), encoding="utf-8")
    (left,) = gather(folder).left_out
    assert (left.file, left.code) == ("bad.json", "I64")
    assert "items[0].outcome" in left.why


def test_transcripts_hidden_files_and_other_endings_are_passed_over(
    document, save, folder: Path
) -> None:
    save("good.json", document())
    for name in ("good.words.json", ".hidden.json", ".git/x.json", "notes.txt"):
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_text("{", encoding="utf-8")
    assert gather(folder).left_out == ()


def test_the_same_run_counts_once_as_last_graded(document, save, folder: Path) -> None:
    save("a.json", document(id="x", graded_at="2030-05-02"))
    save("b/a.json", document(id="x", graded_at="2030-05-03", calls={"rear.lamps": "complete"}))
    save("c.json", document(id="x", graded_at="2030-05-01"))
    save("d.json", document(id="x", checklist={"id": "another"}))
    save("e.json", document(id="", graded_at="2030-05-01"))
    save("f.json", document(id="", graded_at="2030-05-01"))
    gathered = gather(folder)
    assert gathered.frames.attempts["file"].tolist() == ["b/a.json", "d.json", "e.json", "f.json"]
    assert gathered.frames.findings["run"].nunique() == 4
    assert {(left.file, left.code, left.broken) for left in gathered.left_out} == {
        ("a.json", "N50", False),
        ("c.json", "N50", False),
    }
    assert all("b/a.json" in left.why for left in gathered.left_out)


@pytest.mark.parametrize(
    ("taken", "graded", "known"),
    [
        ("2030-05-01T09:00:00+02:00", "", True),
        ("2030-05-01", "", True),
        ("", "2030-05-02T10:00:00", True),
        ("some day", "", False),
        ("0001-01-01", "", False),
        ("", "", False),
    ],
)
def test_when_a_run_was(document, save, folder: Path, taken: str, graded: str, known: bool) -> None:
    made = document(taken_at=taken)
    made["provenance"]["graded_at"] = graded
    save("a.json", made)
    when = gather(folder).frames.attempts["when"].iloc[0]
    assert math.isnan(when) is not known


def test_zones_are_compared_as_moments(document, save, folder: Path) -> None:
    save("a.json", document(id="1", taken_at="2030-05-01T12:00:00+02:00"))
    save("b.json", document(id="2", taken_at="2030-05-01T11:00:00+00:00"))
    when = gather(folder).frames.attempts.set_index("file")["when"]
    assert when["b.json"] - when["a.json"] == 3_600


def test_progress_is_told(document, save, folder: Path) -> None:
    save("a.json", document(id="1"))
    save("b.json", document(id="2"))
    seen: list[tuple[int, int]] = []
    gather(folder, lambda done, total: seen.append((done, total)))
    assert seen == [(1, 2), (2, 2)]


@pytest.mark.parametrize("make", ["nothing", "a file", "empty", "others"])
def test_nothing_to_compare(tmp_path: Path, make: str) -> None:
    place = tmp_path / "place"
    if make == "a file":
        place.write_text("x", encoding="utf-8")
    elif make != "nothing":
        place.mkdir()
    if make == "others":
        (place / "a.json").write_text("{}", encoding="utf-8")
    with pytest.raises(InputError) as caught:
        gather(place)
    assert caught.value.code == "I40"
