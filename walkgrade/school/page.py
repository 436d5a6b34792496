"""The page of a group: one HTML file that opens anywhere, offline, without script.

Decides: which template and styles make the page. The look is that of a run's report
(`walkgrade.reports`), whose styles and outcome boxes it uses.
Conventions: every value is escaped by the template; pictures are embedded. A content policy in the
head forbids everything else.
Public: `render_page`, `write_page`.
"""

from __future__ import annotations

import base64
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from walkgrade.files import write_text
from walkgrade.pages import environment, text_of
from walkgrade.reports import wording
from walkgrade.reports.document import STATEMENT
from walkgrade.school.pictures import Picture
from walkgrade.school.view import View

if TYPE_CHECKING:
    from jinja2 import Environment

_SHARED = ("page.css", "marks.html.j2")


def render_page(view: View) -> str:
    """The page as HTML text, the same for the same view."""
    from markupsafe import Markup

    # Both style sheets are our own files, not input.
    style = Markup(_asset("page.css") + _asset("cohort.css"))
    return (
        _environment()
        .get_template("cohort.html.j2")
        .render(view=view, words=wording, statement=STATEMENT, style=style, source=_source)
    )


def write_page(path: Path, view: View) -> None:
    """Write the page to `path`, whole or not at all.

    Raises
    ------
    OutputError ``O01`` when it cannot be written, ``O02`` when the disk is full.
    """
    write_text(path, render_page(view))


def _source(picture: Picture) -> str:
    """The address of an embedded picture."""
    return f"data:image/svg+xml;base64,{base64.b64encode(picture.svg).decode('ascii')}"


@cache
def _asset(name: str) -> str:
    return text_of("walkgrade.reports" if name in _SHARED else "walkgrade.school", name)


@cache
def _environment() -> Environment:
    return environment(_asset)
