"""Files of the trained readers: where they lie, and that they are the ones that were shipped.

Decides: nothing; every file named in a reader's `reader.json` must have the sum recorded there.
Public: `encoder_session`, `reader_folder`, `verified_recipe`.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from importlib import resources
from pathlib import Path
from typing import Any

from walkgrade.errors import ModelError


def reader_folder(name: str) -> Path:
    """models/`name` of the source tree, or its copy in an installed package."""
    packaged = resources.files("walkgrade").joinpath("model_data", name)
    if packaged.is_dir():
        return Path(str(packaged))
    return Path(__file__).resolve().parents[2] / "models" / name


def verified_recipe(folder: Path, names: Sequence[str], reader: str) -> dict[str, int]:
    """The numbers `names` of a reader's description, once its files are found to be whole.

    Raises
    ------
    ModelError : ``M20`` when a file is missing, its sum is not the recorded one, or the
        description is damaged.
    """
    try:
        body = json.loads((folder / "reader.json").read_text("utf-8"))
        sums = {n: hashlib.sha256((folder / n).read_bytes()).hexdigest() for n in body["sha256"]}
        recipe = {name: int(body[name]) for name in names}
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise ModelError(
            "M20", f"The {reader} is not complete: {error}.", "Install walkgrade anew."
        ) from error
    wrong = [name for name, digest in sums.items() if digest != body["sha256"][name]]
    if wrong:
        raise ModelError(
            "M20",
            f"Damaged file of the {reader}: {', '.join(wrong)} in {folder}.",
            "Install walkgrade anew.",
        )
    return recipe


def encoder_session(folder: Path) -> Any:
    """A reader's `encoder.onnx`, run by onnxruntime in the thread that calls it."""
    import onnxruntime

    options = onnxruntime.SessionOptions()
    options.log_severity_level = 3
    options.intra_op_num_threads = 1
    return onnxruntime.InferenceSession(
        str(folder / "encoder.onnx"), options, providers=["CPUExecutionProvider"]
    )
