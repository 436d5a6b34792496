"""What the school tests share: frames by hand, and folders of small grade documents."""

from __future__ import annotations

import copy
import sys
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

import pytest

from walkgrade.matching.records import ItemOutcome
from walkgrade.reports.document import Document, write_document
from walkgrade.reports.restore import regrade
from walkgrade.school.frames import REVIEWS, Frames, frames

# The tests import `group_factories`; the invented runs of the report tests serve here too.
sys.path.insert(0, str(Path(__file__).parent))

Group = Callable[..., Frames]


@pytest.fixture
def group() -> Group:
    """Frames from lines such as ``("Ann", "CMC-")``: one run, a letter for each of the items
    p1, p2, q1, q2; ``-`` where the vehicle lacks the item."""
    from group_factories import attempt, finding

    def make(
        *runs: tuple[str, str] | tuple[str, str, dict[str, Any]],
        numbers: Iterable[tuple[Any, ...]] = (),
        reviews: Iterable[tuple[Any, ...]] = (),
    ) -> Frames:
        attempts, findings = [], []
        for run, (who, letters, *rest) in enumerate(runs):
            done, asked = letters.count("C"), len(letters.replace("-", ""))
            high = done + letters.count("?")
            values = {
                "items": asked,
                "complete": done,
                "to_hear": letters.count("?"),
                "points": done,
                "points_high": high,
                "points_possible": asked,
                "percent": round(100 * done / asked, 1) if asked else float("nan"),
                "percent_high": round(100 * high / asked, 1) if asked else float("nan"),
            }
            attempts.append(attempt(run, who, **(values | (rest[0] if rest else {}))))
            findings += [
                finding(run, item, letter)
                for item, letter in zip(("p1", "p2", "q1", "q2"), letters, strict=True)
                if letter != "-"
            ]
        assert all(len(row) == len(REVIEWS) for row in reviews)
        return frames(attempts, findings, numbers, reviews)

    return make


@pytest.fixture
def document() -> Callable[..., Document]:
    """A small grade document of the invented run; `calls` are outcomes by item, `attempt` and
    `checklist` replace fields."""
    from example_run import example

    def make(
        trainee: str = "T-01",
        *,
        calls: dict[str, str] | None = None,
        checklist: dict[str, str] | None = None,
        graded_at: str = "",
        **attempt: str,
    ) -> Document:
        made = copy.deepcopy(example().document())
        for item in made["items"]:
            item["heard"] = (calls or {}).get(item["id"], item["heard"])
            ItemOutcome(item["heard"])
        made["attempt"] |= {"trainee": trainee, "group": "", **attempt}
        made["provenance"]["checklist"] |= checklist or {}
        return regrade(made, (), graded_at=graded_at)

    return make


@pytest.fixture
def save(tmp_path: Path) -> Callable[[str, Document], Path]:
    """Write a document into the folder ``class`` of the test."""

    def write(name: str, document: Document) -> Path:
        place = tmp_path / "class" / name
        place.parent.mkdir(parents=True, exist_ok=True)
        write_document(place, document)
        return place

    return write
