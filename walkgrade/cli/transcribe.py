"""`walkgrade transcribe`: words with times from a recording, as JSON, SubRip or WebVTT.

Public: `add`.
"""

from __future__ import annotations

import argparse
from pathlib import Path

from walkgrade.cli import exits
from walkgrade.cli.hearing import listener
from walkgrade.cli.words import DEFAULT_CHECKLIST, Commands, add_hearing, command
from walkgrade.files import ready_folder

FORMATS = ("json", "srt", "vtt")

_EXAMPLES = """
walkgrade transcribe myrun.m4a
walkgrade transcribe myrun.m4a --format srt --format json
walkgrade transcribe monday/*.wav --out words
"""


def add(commands: Commands) -> None:
    """Add the command."""
    parser = command(
        commands, "transcribe", _act, "write down what is said in a recording", _EXAMPLES
    )
    parser.add_argument(
        "files",
        nargs="+",
        type=Path,
        metavar="FILE",
        help="a recording, or a transcript to convert",
    )
    parser.add_argument(
        "--format",
        action="append",
        choices=FORMATS,
        help="kind of file to write; may be given several times (default: json)",
    )
    parser.add_argument(
        "-o",
        "--out",
        type=Path,
        default=Path(),
        metavar="FOLDER",
        help="folder for the files written (default: the current folder)",
    )
    parser.add_argument(
        "--checklist",
        default=DEFAULT_CHECKLIST,
        metavar="NAME",
        help="whose part names the recogniser should expect (default: %(default)s)",
    )
    add_hearing(parser)


def _act(asked: argparse.Namespace) -> int:
    from walkgrade.checklists.library import find_checklist
    from walkgrade.errors import WalkgradeError
    from walkgrade.language.expected import expected_words
    from walkgrade.speech.transcripts import write_transcript
    from walkgrade.workflow import hear

    ready_folder(asked.out)
    listen = listener(asked, expected_words(find_checklist(asked.checklist)))
    statuses = []
    for path in asked.files:
        try:
            transcript, notices = hear(path, listen)
            for notice in notices:
                exits.say(f"[{notice.code}] {path.name}: {notice.text}")
            for ending in dict.fromkeys(asked.format or ("json",)):
                place = asked.out / f"{path.stem}.{ending}"
                write_transcript(place, transcript)
                print(place)
        except WalkgradeError as error:
            statuses.append(exits.report(error, path.name))
    return exits.joint(statuses, len(asked.files))
