"""A sheet as PDF, for people who print without a browser.

Decides: paper sizes, type sizes and where a page may end: never within a row, never right under the
head of a section, which is repeated on the next page. The number card is set smaller until it fits
on one page.
Conventions: Helvetica, which every reader has; single letters it lacks come from DejaVu Sans, which
matplotlib brings along, and are embedded. The same sheet gives the same bytes.
Public: `render_pdf`, `SIZES`.
"""

from __future__ import annotations

import io
from functools import cache
from pathlib import Path
from typing import Any

from walkgrade.paper.flow import Type, flowables, frame_width
from walkgrade.paper.records import Kind, Sheet

SIZES = {"letter": (612.0, 792.0), "a4": (595.2756, 841.8898)}
MARGIN, FOOT = 31.0, 40.0

_USUAL = 8.4
_CARD = (10.4, 9.8, 9.2, 8.8, 8.4, 8.0, 7.6, 7.2, 6.8, 6.4)


def render_pdf(sheet: Sheet, *, size: str = "letter") -> bytes:
    """The sheet as a PDF file.

    Parameters
    ----------
    size : ``letter`` or ``a4``.
    """
    load_letters()
    if sheet.kind is Kind.NUMBERS:
        return _card(sheet, size)
    if sheet.kind is Kind.STUDY:
        return _built(sheet, size, Type(_USUAL), lines=False)[1]
    pages, data = _built(sheet, size, Type(_USUAL), lines=True)
    shorter, other = _built(sheet, size, Type(_USUAL), lines=False)
    # Lines for what to practise next are not worth a page of their own.
    return data if pages == shorter else other


def _card(sheet: Sheet, size: str) -> bytes:
    """The largest type that fits on one page, else the smallest there is."""
    data = b""
    for points in _CARD:
        pages, data = _built(sheet, size, Type(points), lines=False)
        if pages == 1:
            return data
    return data


def _built(sheet: Sheet, size: str, type_: Type, *, lines: bool) -> tuple[int, bytes]:
    """Lay the sheet out; gives the number of pages and the file."""
    from reportlab.platypus import BaseDocTemplate, Frame, PageTemplate

    width, height = SIZES[size]
    out = io.BytesIO()
    made = BaseDocTemplate(
        out,
        pagesize=(width, height),
        title=f"{sheet.title}: {sheet.checklist}",
        subject=sheet.notice,
        author="walkgrade",
        creator="walkgrade",
        lang="en",
        invariant=1,  # no clock and no chance in the file
    )
    frame = Frame(
        MARGIN, FOOT, width - 2 * MARGIN, height - FOOT - MARGIN,
        leftPadding=0, rightPadding=0, topPadding=0, bottomPadding=0,
    )  # fmt: skip
    made.addPageTemplates(PageTemplate(frames=[frame]))
    pieces = flowables(sheet, frame_width(width, MARGIN), type_, lines=lines)
    made.build(pieces, canvasmaker=_footed(sheet, width))
    return int(made.page), out.getvalue()


def _footed(sheet: Sheet, width: float) -> Any:
    """A canvas that draws the foot of every page once it knows how many there are."""
    from reportlab.pdfgen.canvas import Canvas

    class Footed(Canvas):  # type: ignore[misc]
        def __init__(self, *given: Any, **named: Any) -> None:
            super().__init__(*given, **named)
            self._kept: list[dict[str, Any]] = []

        def showPage(self) -> None:  # noqa: N802
            self._kept.append(dict(self.__dict__))
            self._startPage()

        def save(self) -> None:
            for number, page in enumerate(self._kept, start=1):
                self.__dict__.update(page)
                _foot(self, sheet, width, f"page {number} of {len(self._kept)}")
                super().showPage()
            super().save()

    return Footed


def _foot(canvas: Any, sheet: Sheet, width: float, page: str) -> None:
    low = FOOT - 16
    canvas.setFont("Helvetica", 7.2)
    canvas.setFillGray(0.25)
    canvas.drawString(MARGIN, low, "For practice only. No official form.")
    canvas.drawCentredString(width / 2, low, f"{sheet.title} [{sheet.mark}]")
    canvas.drawRightString(width - MARGIN, low, page)


@cache
def load_letters() -> None:
    """Make DejaVu Sans known under the names `flow` uses."""
    from matplotlib import get_data_path
    from reportlab.pdfbase.pdfmetrics import registerFont
    from reportlab.pdfbase.ttfonts import TTFont

    folder = Path(get_data_path()) / "fonts" / "ttf"
    registerFont(TTFont("Letters", str(folder / "DejaVuSans.ttf")))
