"""`walkgrade models`: which recogniser models are on this machine, and whether they are whole.

Public: `add`.
"""

from __future__ import annotations

import argparse
from pathlib import Path

from walkgrade.cli import exits
from walkgrade.cli.words import Commands, command
from walkgrade.errors import ModelError

_EXAMPLES = """
walkgrade models
walkgrade models --verify
"""


def add(commands: Commands) -> None:
    """Add the command."""
    parser = command(
        commands, "models", _act, "list the recogniser models on this machine", _EXAMPLES
    )
    parser.add_argument(
        "--verify", action="store_true", help="read every model file and compare its sha256"
    )
    parser.add_argument(
        "--cache", type=Path, metavar="FOLDER", help="cache folder (default: your cache folder)"
    )


def _act(asked: argparse.Namespace) -> int:
    from walkgrade.speech.manifest import named_models
    from walkgrade.speech.models import DEFAULT_MODEL, installed_models, resolve_model

    here = {model.name for model in installed_models()}
    failures = []
    for name, model in named_models().items():
        usual = ", the usual one" if name == DEFAULT_MODEL else ""
        print(f"{name}{usual}: {model.title}; {model.licence}; {model.source}")
        if name not in here:
            print(f"  not installed: {model.install}")
            continue
        if not asked.verify:
            print("  installed")
            continue
        try:
            folder = resolve_model(name, cache_dir=asked.cache)
        except ModelError as error:
            failures.append(exits.report(error, name))
        else:
            print(f"  whole: sha256 {folder.sha256}")
    return exits.joint(failures, len(named_models()))
