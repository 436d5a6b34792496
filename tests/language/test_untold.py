"""Numbers that tell nothing of this vehicle, good and bad rows together.

A row: the words, what the vehicle is called, and the numbers that count, as they were said.
"""

from __future__ import annotations

import pytest
from language_lines import talk

from walkgrade.checklists.library import find_checklist
from walkgrade.language.read import read

BUS, COMBINATION = "school-bus-air-classic", "tractor-trailer-classic"
ROWS = [
    ("I beg your pardon, I said four pounds earlier on.", BUS, []),
    ("I told you two on the front tire.", BUS, []),
    ("And I said it was a fifty, it is fifty-five psi.", BUS, ["55"]),
    ("Like I said, three psi.", BUS, ["3"]),
    ("As I said, twenty to forty-five psi.", BUS, ["20"]),
    ("He said three psi.", BUS, ["3"]),
    ("Four is for a combination.", BUS, []),
    ("Four's with a trailer behind you.", BUS, []),
    ("Four is for a combination.", COMBINATION, ["4"]),
    ("Three is for a single vehicle.", COMBINATION, []),
    ("Three is for a single vehicle.", BUS, ["3"]),
    ("Three is on the needle.", COMBINATION, ["3"]),
    ("Four belongs to trucks with trailers.", BUS, []),
    ("Four belongs to trucks with trailers.", COMBINATION, ["4"]),
    ("It's automatic, the old kind you'd get an inch.", BUS, []),
    ("It's automatic, you'd get an inch.", BUS, ["1"]),
    ("That's with a trailer, it's three psi for me.", BUS, ["3"]),
    ("That's with a trailer, and for a bus like this it is three psi.", BUS, ["3"]),
    ("With a trailer it is four psi.", BUS, []),
    ("I think thirty-five psi?", BUS, ["35"]),
    ("Is it thirty-five psi?", BUS, []),
    ("A hundred psi, right?", BUS, ["100"]),
]


@pytest.mark.parametrize(("line", "checklist", "told"), ROWS)
def test_what_counts(line: str, checklist: str, told: list[str]) -> None:
    (utterance,) = read(talk(line), find_checklist(checklist)).utterances
    found = [str(n.readings[0].low) for n in utterance.numbers if not n.idle]
    assert found == told
