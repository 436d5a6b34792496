"""What the item reader learns from: sheets as walkgrade writes them, and their truth."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from benchmarks.agreement import SCRIPTS, fitted
from models.items.gathered import gathered_run, numbered
from models.items.parts import WITHOUT, halves, parted, weight_of
from models.items.sheets import RECIPE, Sheets
from models.train_item_reader import joined
from seeds.script import load_script, to_transcript
from seeds.truth import requirements_of
from walkgrade.language.item_reader import Sheet, SheetWriter
from walkgrade.language.read import read
from walkgrade.matching.excerpts import Excerpts
from walkgrade.matching.match import weighed
from walkgrade.trained import load_readers

ROOT = Path(__file__).resolve().parents[2]
VOCAB = ROOT / "models" / "run_reader" / "vocab.txt"
SCRIPT = load_script(SCRIPTS / "tune-45.yaml")
SLIPS = {"tire": ["tyre", "tied"], "leaking": ["leaning"], "the": ["a"]}


@pytest.fixture(scope="module")
def data() -> dict[str, Any]:
    run = gathered_run(SCRIPT, to_transcript(SCRIPT), SCRIPT.id, load_readers())
    return json.loads(json.dumps(numbered([run])))  # type: ignore[no-any-return]


def as_graded() -> list[Sheet]:
    """The sheets that the shipped item reader would read, were every item in doubt."""
    checklist = fitted(SCRIPT)
    heard = weighed(read(to_transcript(SCRIPT), checklist, load_readers()), checklist)
    excerpts = Excerpts(heard.reading, heard.scene, heard.path, heard.opinions)
    recipe = json.loads((ROOT / "models" / "item_reader" / "reader.json").read_text("utf-8"))
    writer = SheetWriter(VOCAB, {name: recipe[name] for name in RECIPE})
    talk = heard.reading.utterances
    pieces = writer.pieces_of(talk)
    asked = [excerpts.question(item) for item in checklist.items]
    return [writer.sheet(one, pieces, excerpts.places, talk) for one in asked if one]


def test_plain_sheets_are_those_that_the_grader_reads(data: dict[str, Any]) -> None:
    made = Sheets(data["texts"], VOCAB, SLIPS, 1).plain(data["runs"][0])
    assert len(made) > 10
    assert [one.sheet for one in made] == as_graded()


def test_a_varied_sheet_keeps_every_statement_with_its_truth(data: dict[str, Any]) -> None:
    run, sheets = data["runs"][0], Sheets(data["texts"], VOCAB, SLIPS, 1)
    plain, changed = sheets.plain(run), 0
    bar, end = (sheets.word.pieces.token_to_id(mark) for mark in ("|", "[SEP]"))
    for _ in range(12):
        for one, usual in zip(sheets.varied(run, run["items"]), plain, strict=True):
            assert statements(one, bar, end) == statements(usual, bar, end)
            assert one.complete == usual.complete
            assert len(one.sheet.ids) == len(one.sheet.types)
            changed += one.sheet != usual.sheet
    assert changed > len(plain)


def statements(one: Any, bar: int, end: int) -> dict[int, tuple[tuple[int, ...], int]]:
    """A requirement's place -> the pieces of its statement, and whether it was earned."""
    ids, heads = one.sheet.ids, one.sheet.heads
    assert all(ids[head] == bar for head in heads)
    ends = (*heads[1:], ids.index(end))
    texts = [ids[head:stop] for head, stop in zip(heads, ends, strict=True)]
    return dict(zip(one.at, zip(texts, one.earned, strict=True), strict=True))


def test_the_truth_is_the_labels(data: dict[str, Any]) -> None:
    run, standing = data["runs"][0], requirements_of(SCRIPT)
    needs = [one for item in fitted(SCRIPT).items for one in item.requirements]
    assert run["count"] == len(needs)
    places = [at for item in run["items"] for at in item["at"]]
    assert [data["texts"][n] for item in run["items"] for n in item["says"]] == [
        needs[at].says for at in places
    ]
    earned = [truth for item in run["items"] for truth in item["earned"]]
    assert earned == [int(standing.get(needs[at].id) == "earned") for at in places]
    assert {*earned} == {0, 1}


def test_report_scripts_are_refused() -> None:
    kept_apart = replace(SCRIPT, id="report-01", part="report")
    with pytest.raises(ValueError, match=r"report-01 is of the part report.*tune and check"):
        gathered_run(kept_apart, to_transcript(SCRIPT), "report-01", load_readers())


def test_fresh_scripts_and_what_is_left_out_are_never_learnt_from() -> None:
    fresh, both = halves()
    assert not set(both["first"]) & set(both["second"])
    assert not set(fresh) & {*both["first"], *both["second"]}
    ids = [*fresh, both["first"][0], both["second"][0], "tune-01", f"{fresh[0]}--a--clean--b--c"]
    data = {"fresh": fresh, "halves": both, "runs": [{"id": name} for name in ids]}
    for without, out in WITHOUT.items():
        found = parted(data, without)
        assert {run["id"] for run in found.left_out} == {both[half][0] for half in out}
        assert len(found.fresh) == len(fresh) + 1
        assert len(found.learnt) == 3 - len(out)


@pytest.mark.parametrize(
    ("run", "often"),
    [("tune-01", 1.0), ("tune-1046", 2.0), ("tune-1045", 1.0), ("check-01", 2.0),
     ("check-02", 1.0), ("tune-01--voice--clean--trade--0", 0.7)],
)  # fmt: skip
def test_how_often_a_run_comes(run: str, often: float) -> None:
    assert weight_of(run, {"check-01"}) == pytest.approx(often)


def test_answers_are_joined_and_none_is_given_twice(tmp_path: Path) -> None:
    one, other = tmp_path / "a.npz", tmp_path / "b.npz"
    np.savez_compressed(one, **{"check-01--v--clean--trade--0": np.array([1.5, np.nan])})
    np.savez_compressed(other, **{"check-02": np.array([-2.0], np.float16)})
    found = joined([one, other])
    assert list(found) == ["check-01--v--clean--trade--0", "check-02"]
    assert found["check-01--v--clean--trade--0"].dtype == np.float16
    with pytest.raises(SystemExit, match="check-02 once more"):
        joined([other, other])
