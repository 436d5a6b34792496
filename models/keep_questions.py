"""Work out beforehand what the questions of the shipped checklists look for.

    python models/keep_questions.py

Decides: nothing; spares a second on the first run graded. Texts of other checklists are worked out
when they are met. Written: models/run_reader/questions.npz (texts and half-precision vectors), and
its sum in reader.json. Run after models/train_reader.py, and when a checklist's wording changes;
tests/language/test_run_reader.py says when it is stale.
"""

from __future__ import annotations

import hashlib
import json
import sys
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from walkgrade.checklists.library import find_checklist, list_checklists  # noqa: E402
from walkgrade.language.questions import questions_of  # noqa: E402
from walkgrade.language.run_reader import load_run_reader  # noqa: E402

FOLDER = ROOT / "models" / "run_reader"


def shipped_texts() -> list[str]:
    """Every text that a shipped checklist asks, sorted."""
    found = {
        text
        for name in list_checklists()
        for question in questions_of(find_checklist(name))
        for text in question.texts
    }
    return sorted(found)


def main() -> int:
    """Write the file and its sum."""
    (FOLDER / "questions.npz").unlink(missing_ok=True)
    body = json.loads((FOLDER / "reader.json").read_text("utf-8"))
    body["sha256"].pop("questions.npz", None)
    (FOLDER / "reader.json").write_text(json.dumps(body, indent=1) + "\n", "utf-8")
    reader = load_run_reader()
    texts = shipped_texts()
    asks = np.stack([reader.ask(text) for text in texts]).astype(np.float16)
    np.savez_compressed(FOLDER / "questions.npz", texts=np.array(texts), asks=asks)
    body["sha256"]["questions.npz"] = hashlib.sha256(
        (FOLDER / "questions.npz").read_bytes()
    ).hexdigest()
    (FOLDER / "reader.json").write_text(json.dumps(body, indent=1) + "\n", "utf-8")
    print(f"{len(texts)} texts, {(FOLDER / 'questions.npz').stat().st_size / 1e6:.2f} MB")
    return 0


if __name__ == "__main__":
    sys.exit(main())
