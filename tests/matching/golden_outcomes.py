"""The golden outcomes of the demo runs, graded from text by the whole engine.

Run ``python tests/matching/golden_outcomes.py`` to write them anew after a wanted change, then read
the difference (git diff tests/matching/data) item by item before committing it.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
if str(ROOT) not in sys.path:
    sys.path.insert(0, str(ROOT))

from benchmarks.agreement import engine, fitted, scripts  # noqa: E402
from seeds.script import Script, to_transcript  # noqa: E402

DATA = Path(__file__).resolve().parent / "data"


def graded(script: Script) -> dict[str, object]:
    """What is kept of a run: outcomes of items, requirements against them, numbers and steps."""
    findings = engine(to_transcript(script), fitted(script), script.profile)
    return {
        "script": script.id,
        "items": {one.item: str(one.outcome) for one in findings.items},
        "wrong": sorted(
            r.requirement
            for one in findings.items
            for r in one.requirements
            if r.outcome == "contradicted"
        ),
        "numbers": [f"{n.requirement}: {n.said}: {n.verdict}" for n in findings.numbers],
        "steps": {one.item: str(one.state) for one in findings.steps},
    }


def written(body: dict[str, object]) -> str:
    """The text of a golden file."""
    return json.dumps(body, indent=1, ensure_ascii=False) + "\n"


def main() -> int:
    """Write the golden files of all demo runs."""
    DATA.mkdir(exist_ok=True)
    for script in scripts("demo"):
        path = DATA / f"{script.id}.json"
        path.write_text(written(graded(script)), encoding="utf-8")
        print(f"wrote {path.relative_to(ROOT)}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
