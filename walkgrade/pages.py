"""How every HTML page of the program is made from its template.

Decides: that whatever comes in is escaped, and that a value a template asks for and does not get is
a fault, never an empty place. Pages stand alone; a content policy in their heads forbids the rest.
Public: `text_of`, `environment`.
"""

from __future__ import annotations

from collections.abc import Callable
from importlib.resources import files
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from jinja2 import Environment


def text_of(room: str, name: str) -> str:
    """The file `name` in the folder ``templates`` of a room such as ``walkgrade.reports``."""
    return files(room).joinpath("templates", name).read_text(encoding="utf-8")


def environment(load: Callable[[str], str]) -> Environment:
    """The maker of pages; `load` gives the text of a template by its name."""
    from jinja2 import Environment, FunctionLoader, StrictUndefined

    return Environment(
        loader=FunctionLoader(load),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
