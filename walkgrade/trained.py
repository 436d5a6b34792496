"""What was fitted to data, loaded once: the readers and the judge.

Decides: nothing; joins them, and says what is wrong with a file that cannot be used.
Public: `load_judge`, `load_readers`.
"""

from __future__ import annotations

import json
from dataclasses import replace
from functools import lru_cache
from importlib import resources
from pathlib import Path

from walkgrade.errors import ModelError
from walkgrade.language.close_reader import ReadTwice, load_close_reader
from walkgrade.language.item_reader import load_item_reader
from walkgrade.language.run_reader import RunReader, load_run_reader
from walkgrade.matching.judge import Judge, judge_from


def _file() -> Path:
    """models/judge.json of the source tree, or its copy in an installed package."""
    packaged = resources.files("walkgrade").joinpath("model_data", "judge.json")
    if packaged.is_file():
        return Path(str(packaged))
    return Path(__file__).resolve().parents[1] / "models" / "judge.json"


@lru_cache(maxsize=1)
def load_judge() -> Judge:
    """The shipped judge, with the item reader that it asks in doubt.

    Raises
    ------
    ModelError : ``M20`` when a file of theirs is missing, damaged or made for other features.
    """
    try:
        judge = judge_from(json.loads(_file().read_text("utf-8")))
    except (OSError, ValueError, KeyError, TypeError, AttributeError) as error:
        raise ModelError(
            "M20", f"The judge's weights cannot be used: {error}.", "Install walkgrade anew."
        ) from error
    return replace(judge, items=load_item_reader())


@lru_cache(maxsize=1)
def load_readers() -> RunReader:
    """The shipped run reader with the close reader behind it.

    Raises
    ------
    ModelError : ``M20`` when a file of theirs is missing or damaged.
    """
    return ReadTwice(load_run_reader(), load_close_reader())
