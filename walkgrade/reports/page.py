"""The report as one HTML file that opens anywhere, offline.

Decides: which template, style and script make the page. The file asks for nothing else: no font,
picture, style or script from outside; a content policy in its head says so to the browser.
Conventions: every value is escaped by the template; the only markup passed in is made here (style,
script) or in `timeline`, which escapes its own texts.
Public: render_page, write_page.
"""

from __future__ import annotations

import base64
import hashlib
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from walkgrade.files import write_text
from walkgrade.pages import environment, text_of
from walkgrade.reports import wording
from walkgrade.reports.timeline import points_bar, timeline
from walkgrade.reports.view import view_of

if TYPE_CHECKING:
    from jinja2 import Environment

Json = dict[str, Any]

_WIDE, _NARROW = 820, 344


def render_page(document: Json, *, audio: str = "", embedded: bool = False) -> str:
    """The page of a grade document.

    Parameters
    ----------
    document : as made by `to_document` or read by `read_document`.
    audio : address of the recording from `sound.beside` or `sound.embedded`; empty for none.
    embedded : True when `audio` holds the recording itself.

    Returns
    -------
    HTML text, the same for the same document.
    """
    # Markup must come from the library that escapes; it is loaded only when a page is made.
    from markupsafe import Markup

    script = _asset("page.js")
    return (
        _environment()
        .get_template("page.html.j2")
        .render(
            doc=document,
            view=view_of(document),
            words=wording,
            audio=audio,
            embedded=embedded,
            # Both are our own files, not input.
            style=Markup(_asset("page.css")),
            script=Markup(script),
            script_hash=_hash(script),
            wide=Markup(timeline(document, width=_WIDE, prefix="tw")),
            narrow=Markup(timeline(document, width=_NARROW, prefix="tn")),
            bar=Markup(points_bar(document, prefix="pb")),
        )
    )


def write_page(path: Path, document: Json, *, audio: str = "", embedded: bool = False) -> None:
    """Write the page of `document` to `path`, whole or not at all.

    Raises
    ------
    OutputError ``O01`` when it cannot be written, ``O02`` when the disk is full.
    """
    write_text(path, render_page(document, audio=audio, embedded=embedded))


def _hash(script: str) -> str:
    digest = hashlib.sha256(script.encode()).digest()
    return f"sha256-{base64.b64encode(digest).decode('ascii')}"


@cache
def _asset(name: str) -> str:
    return text_of("walkgrade.reports", name)


@cache
def _environment() -> Environment:
    return environment(_asset)
