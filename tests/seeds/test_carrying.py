"""Which lines of a labelled script say that something is as told before, for the close reader."""

from __future__ import annotations

from benchmarks.agreement import SCRIPTS, fitted
from models.reader.carrying import as_before, carried_lines
from seeds.script import load_script, to_transcript
from walkgrade.language.tokens import cut

SCRIPT = load_script(SCRIPTS / "check-04.yaml")
CHECKLIST = fitted(SCRIPT)
LINES = carried_lines(SCRIPT, CHECKLIST)


def at(text: str) -> int:
    return next(n for n, line in enumerate(SCRIPT.lines) if text in line.text)


def test_a_line_that_says_so_carries_over_what_it_earns_of_a_twin() -> None:
    found = LINES[at("Brakes, all is same like on front axle")]
    assert found.says == 1
    assert "rear-axle.brake-drum" in found.items
    assert not {item for item in found.items if not item.startswith("rear-axle.")}


def test_the_first_line_carries_nothing_over() -> None:
    assert all(not one.items for one in LINES[:3])
    assert LINES[0].says in (0, None)


def test_the_utterance_that_says_so_is_found() -> None:
    number = at("Brakes, all is same like on front axle")
    pieces = cut(to_transcript(SCRIPT))
    mine = [n for n, piece in enumerate(pieces) if piece.segment == f"l{number + 1}"]
    assert len(mine) == 2
    where = {("named", item.id): n for n, item in enumerate(CHECKLIST.items)}
    found = as_before(LINES[number], mine, pieces, SCRIPT.lines[number], where)
    assert found["same"]["u"] == mine[1]
    assert where["named", "rear-axle.brake-drum"] in found["same"]["yes"]


def test_a_plain_line_is_fresh() -> None:
    plain = next(n for n, one in enumerate(LINES) if one.says == 0)
    assert as_before(LINES[plain], [0], (), SCRIPT.lines[plain], {}) == {"fresh": 1}
