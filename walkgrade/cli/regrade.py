"""`walkgrade regrade`: graded runs against another checklist, from the words that were kept.

Public: `add`.
"""

from __future__ import annotations

import argparse
import json
import re
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from walkgrade.cli import exits
from walkgrade.cli.words import Commands, command
from walkgrade.errors import InputError, WalkgradeError

if TYPE_CHECKING:
    from walkgrade.checklists.records import Checklist
    from walkgrade.school.gather import LeftOut
    from walkgrade.school.regrading import Again
    from walkgrade.workflow import Terms

Document = dict[str, Any]

_EXAMPLES = """
walkgrade regrade friday-reports --checklist our-bus.yaml
walkgrade regrade friday-reports --checklist our-bus.yaml --old our-bus-2025.yaml
walkgrade regrade friday-reports -c school-bus-air-california -p yard-bus-air --json
"""


def add(commands: Commands) -> None:
    """Add the command."""
    parser = command(
        commands,
        "regrade",
        _act,
        "grade earlier runs again, against another checklist or a new version of it",
        _EXAMPLES,
    )
    parser.add_argument(
        "folder",
        type=Path,
        metavar="FOLDER",
        help="where grading wrote its documents (.json); the words beside them (.words.json .vtt "
        ".srt) are used, else the lines in the documents",
    )
    parser.add_argument(
        "-c", "--checklist", required=True, metavar="NEW", help="a shipped name or a YAML file"
    )
    parser.add_argument(
        "--old",
        metavar="OLD",
        help="the checklist of then: the runs are graded against it now too, so that only the "
        "checklist makes the difference, and not a new version of walkgrade",
    )
    parser.add_argument(
        "-p",
        "--profile",
        metavar="NAME",
        help="the vehicle (default: that of each run, if shipped)",
    )
    parser.add_argument(
        "-o",
        "--out",
        type=Path,
        metavar="FOLDER",
        help="folder for the new results (default: beside the old one, named after the checklist)",
    )
    parser.add_argument(
        "--json", action="store_true", help="print what changed as JSON, and nothing else"
    )


def _act(asked: argparse.Namespace) -> int:
    from walkgrade.checklists.library import find_checklist
    from walkgrade.files import ready_folder, write_text
    from walkgrade.reports.wording import plural
    from walkgrade.school.gather import documents

    new = find_checklist(asked.checklist)
    old = find_checklist(asked.old) if asked.old else None
    left_out: list[LeftOut] = []
    found = list(documents(asked.folder, left_out))
    out = asked.out or asked.folder.resolve().parent / _folder_name(asked.folder, new)
    _check_folders(asked.folder, out, found=bool(found))
    ready_folder(out)
    done: list[Again] = []
    failures = [exits.SOME_FAILED for one in left_out if one.broken]
    for left in left_out:
        exits.say(f"[{left.code}] not looked at: {left.file}: {left.why}")
    for path, name, document in found:
        try:
            done.append(_one(asked, path, name, document, new, old))
            _write(done[-1], path, out)
        except WalkgradeError as error:
            failures.append(exits.report(error, name))
    if asked.json:
        print(json.dumps(_as_data(done, new), ensure_ascii=False, indent=1))
    else:
        text = _text(done, new)
        print(text, end="")
        print(f"written: {write_text(out / 'what-changed.txt', text)}")
        print(f"written: {plural(len(done), 'run')} to {out}")
    return exits.joint(failures, len(found) + sum(one.broken for one in left_out))


def _one(
    asked: argparse.Namespace,
    path: Path,
    name: str,
    document: Document,
    new: Checklist,
    old: Checklist | None,
) -> Again:
    from walkgrade.school.regrading import grade_again

    made = document["provenance"]
    if old is None and made["tool_version"] != _version():
        exits.say(f"{name}: graded by walkgrade {made['tool_version']}; --old tells changes apart")
    return grade_again(
        path,
        name,
        document,
        _terms(asked, new),
        graded_at=datetime.now().astimezone().isoformat(timespec="seconds"),
        old_terms_of=_terms(asked, old) if old is not None else None,
    )


def _terms(asked: argparse.Namespace, checklist: Checklist) -> Callable[[Document], Terms]:
    """The terms of a document: its own vehicle unless one is named."""
    from walkgrade.checklists.library import find_profile
    from walkgrade.workflow import Terms

    def terms(document: Document) -> Terms:
        vehicle = asked.profile or document["provenance"]["profile"]["id"]
        return Terms(checklist=checklist, profile=find_profile(vehicle))

    return terms


def _write(again: Again, path: Path, out: Path) -> None:
    from walkgrade.cli.results import Delivery

    audio = path.parent / again.graded.attempt.audio
    sound = "auto" if again.graded.attempt.audio and audio.is_file() else "none"
    name = again.name.removesuffix(".json")
    delivery = Delivery(folder=out, kinds=("html", "json"), sound=sound)
    _, faults = delivery.write(again.graded, audio, name)
    for fault in faults:
        raise fault


def _text(done: list[Again], new: Checklist) -> str:
    from walkgrade.school.regrading import FROM_LINES, text_of

    lines = [f"Graded again against {new.title} ({new.id} {new.version})", ""]
    lines += [text_of(one) for one in done]
    bare = [one.name for one in done if one.words == Path(one.name).name]
    if bare:
        lines += ["", f"{len(bare)} of {len(done)}: {FROM_LINES}"]
    lines += ["", "This is practice evidence; no official score and no proof of proficiency."]
    return "\n".join(lines) + "\n"


def _as_data(done: list[Again], new: Checklist) -> dict[str, Any]:
    from dataclasses import asdict

    return {
        "format": "walkgrade-regrading",
        "format_version": 1,
        "checklist": {"id": new.id, "version": new.version, "title": new.title},
        "runs": [
            {
                "run": one.name,
                "trainee": one.after["attempt"]["trainee"],
                "words": one.words,
                "before": {key: one.before["totals"][key] for key in ("points", "points_possible")},
                "after": {key: one.after["totals"][key] for key in ("points", "points_possible")},
                "changes": [asdict(change) for change in one.changes],
                "corrections_lost": [review.item for review in one.lost],
            }
            for one in done
        ],
    }


def _folder_name(folder: Path, new: Checklist) -> str:
    version = re.sub(r"[^\w.-]+", "-", new.version)
    return f"{folder.resolve().name}-{new.id}-{version}"


def _check_folders(folder: Path, out: Path, *, found: bool) -> None:
    """Old results stay.

    Raises
    ------
    InputError I09 : the new ones would be written over them. I40 : there are no old ones.
    """
    if not found:
        raise InputError(
            "I40",
            f"No grade document was found in {folder}.",
            "Grade the runs first: walkgrade grade FOLDER --write html,json,words",
        )
    if out.resolve() == folder.resolve():
        raise InputError(
            "I09",
            f"The new results would be written over the old ones in {folder}.",
            "Choose another folder with --out.",
        )


def _version() -> str:
    from walkgrade import __version__

    return __version__
