"""A sheet as one HTML file that opens anywhere, offline, without script, and prints.

Decides: templates and style. Rows are not cut, the head of a section is repeated on every page.
Conventions: every value is escaped by the template; a content policy in the head forbids all else.
Public: `render_html`; `name_lines`, `by_title`, `capital` for whoever draws a sheet.
"""

from __future__ import annotations

from functools import cache
from itertools import groupby
from typing import TYPE_CHECKING

from walkgrade.pages import environment, text_of
from walkgrade.paper.records import Kind, Sheet, Source

if TYPE_CHECKING:
    from jinja2 import Environment


def render_html(sheet: Sheet) -> str:
    """The page as HTML text, the same for the same sheet."""
    from markupsafe import Markup

    # The style sheet is our own file, not input.
    style = Markup(_asset("paper.css"))
    template = _environment().get_template("sheet.html.j2")
    return template.render(
        sheet=sheet, style=style, names=name_lines(sheet), by_title=by_title(sheet)
    )


def name_lines(sheet: Sheet) -> tuple[tuple[str, str], ...]:
    """The lines at the head with what is known; none on the number card."""
    names = sheet.names
    trainee = (("Trainee", names.trainee),)
    rest = (("Vehicle no.", names.vehicle), ("Date", names.date))
    if sheet.kind is Kind.CLIPBOARD:
        return (*trainee, ("Instructor", names.instructor), *rest, ("Began", ""), ("Ended", ""))
    return (*trainee, *rest) if sheet.kind is Kind.STUDY else ()


def by_title(sheet: Sheet) -> list[tuple[str, list[Source]]]:
    """The sources of the number card, those of one title together."""
    grouped = groupby(sheet.sources, key=lambda source: source.title)
    return [(title, list(sources)) for title, sources in grouped]


def capital(text: str) -> str:
    """`text` with a capital first letter and the rest as it is."""
    return text[:1].upper() + text[1:]


@cache
def _asset(name: str) -> str:
    return text_of("walkgrade.paper", name)


@cache
def _environment() -> Environment:
    made = environment(_asset)
    made.filters["capital"] = capital
    return made
