"""Every field, column and outcome of a report is described in docs/report.md."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from walkgrade.matching.records import ItemOutcome
from walkgrade.reports.schema import Document
from walkgrade.reports.tables import COLUMNS

TEXT = (Path(__file__).parents[2] / "docs" / "report.md").read_text(encoding="utf-8")
TOLD = {
    name
    for path in re.findall(r"`([\w.\[\]]+)`", TEXT)
    for name in re.split(r"[.\[\]]+", path)
    if name
}


def _fields(schema: Any) -> set[str]:
    if isinstance(schema, dict):
        own = set(schema.get("properties", {}))
        return own | {name for inner in schema.values() for name in _fields(inner)}
    if isinstance(schema, list):
        return {name for inner in schema for name in _fields(inner)}
    return set()


def test_every_field_is_described() -> None:
    fields = _fields(Document.model_json_schema())
    assert len(fields) > 120
    assert sorted(fields - TOLD) == []


def test_every_column_is_described() -> None:
    assert set(COLUMNS) <= TOLD


def test_every_outcome_is_described() -> None:
    for outcome in ItemOutcome:
        assert f"| {outcome} |" in TEXT
