"""The pieces of a PDF sheet, top to bottom.

Decides: columns, rules and greys. The look follows the HTML sheet.
Conventions: every text passes `safe`, which escapes it and finds another font for letters that
Helvetica lacks; widths are shares of the frame.
Public: `flowables`, `frame_width`, `Type`.
"""

from __future__ import annotations

from dataclasses import dataclass
from html import escape
from itertools import groupby
from typing import Any

from walkgrade.paper.page import by_title, capital, name_lines
from walkgrade.paper.records import Block, Figure, Kind, Line, Mark, Sheet

_BOX = "\u2610"
_GAP = "_" * 11
_DARK, _GREY, _PALE = 0.2, 0.9, 0.96
_TICK = "Tick the box before a part when it is named and pointed at, and a box for each thing said."
_STUDY = "Say the part, then each line beside it. Lines that begin with “also” are not needed."
_COLUMNS = {
    Kind.CLIPBOARD: ((0.05, 0.28, 0.45, 0.22), ("", "part", "must be said", "remarks")),
    Kind.STUDY: ((0.05, 0.22, 0.33, 0.14, 0.26), ("", "part", "say", "number", "why it matters")),
    Kind.NUMBERS: (
        (0.17, 0.17, 0.32, 0.25, 0.09),
        ("number", "of what", "in the checklist's words", "part or step", "source"),
    ),
}


@dataclass(frozen=True, slots=True)
class Type:
    """Sizes of type, from the size of plain text in points."""

    points: float

    def style(self, share: float = 1.0, *, indent: float = 0.0, before: float = 0.0) -> Any:
        """A paragraph style; `indent` hangs all lines but the first."""
        from reportlab.lib.styles import ParagraphStyle

        size = self.points * share
        return ParagraphStyle(
            "plain",
            fontName="Helvetica",
            fontSize=size,
            leading=size * 1.22,
            leftIndent=indent,
            firstLineIndent=-indent,
            spaceBefore=before,
        )

    def text(self, marked: str, share: float = 1.0, **given: float) -> Any:
        """A paragraph of text that is already `safe`."""
        from reportlab.platypus import Paragraph

        return Paragraph(marked, self.style(share, **given))


def frame_width(width: float, margin: float) -> float:
    """What is left between the margins."""
    return width - 2 * margin


def safe(text: str) -> str:
    """`text` as markup: escaped, with letters outside Windows-1252 set in another font."""
    runs = groupby(text, key=_plain)
    return "".join(
        escape("".join(run), quote=False)
        if plain
        else f'<font name="Letters">{escape("".join(run), quote=False)}</font>'
        for plain, run in runs
    )


def _plain(letter: str) -> bool:
    return letter.encode("cp1252", "ignore") != b""


def flowables(sheet: Sheet, width: float, type_: Type, *, lines: bool) -> list[Any]:
    """Everything between head and foot of the pages; `lines` to write on at the end, or none."""
    pieces = [*_head(sheet, width, type_), *_care(sheet, width, type_)]
    if sheet.kind is Kind.NUMBERS:
        return [*pieces, *_card(sheet, width, type_)]
    pieces.append(type_.text(safe(_TICK if sheet.kind is Kind.CLIPBOARD else _STUDY), 0.9))
    for block in sheet.blocks:
        pieces += [_space(type_.points), _block(sheet.kind, block, width, type_)]
    return pieces + (_next(width, type_) if lines else [])


def _space(points: float) -> Any:
    from reportlab.platypus import Spacer

    return Spacer(1, points)


def _table(rows: list[list[Any]], widths: list[float], style: list[Any], heads: int = 0) -> Any:
    from reportlab.platypus import Table

    usual = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 3),
        ("RIGHTPADDING", (0, 0), (-1, -1), 3),
        ("TOPPADDING", (0, 0), (-1, -1), 1.4),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1.8),
        ("FONTSIZE", (0, 0), (-1, -1), 1),  # an empty cell adds no height of its own
        ("LEADING", (0, 0), (-1, -1), 1),
    ]
    return Table(rows, colWidths=widths, repeatRows=heads, style=[*usual, *style])


def _grey(share: float) -> Any:
    from reportlab.lib.colors import Color

    return Color(share, share, share)


def _head(sheet: Sheet, width: float, type_: Type) -> list[Any]:
    size = f" {sheet.items} items, {sheet.minutes}." if sheet.blocks else ""
    under = f"{sheet.vehicle}. {capital(sheet.edition)}.{size}"
    pieces = [
        type_.text(f"<b>{safe(f'{sheet.title}: {sheet.checklist}')}</b>", 1.6),
        _space(2),
        type_.text(f"{safe(under)} <font size={type_.points * 0.85}>[{safe(sheet.mark)}]</font>"),
        _space(3),
    ]
    lines = name_lines(sheet)
    if lines:
        pieces += [_names(lines, width, type_), _space(3)]
    if sheet.kind is Kind.CLIPBOARD:
        total = f"Items complete {_GAP} of {sheet.items}. Time {_GAP} of {sheet.minutes}."
        pieces += [type_.text(safe(total)), _space(3)]
    return [*pieces, type_.text(safe(sheet.notice), 0.9), _space(4)]


def _names(lines: tuple[tuple[str, str], ...], width: float, type_: Type) -> Any:
    """Three lines to fill in side by side, each with a rule under it."""
    rows: list[list[Any]] = []
    style: list[Any] = [("VALIGN", (0, 0), (-1, -1), "BOTTOM"), ("TOPPADDING", (0, 0), (-1, -1), 6)]
    for start in range(0, len(lines), 3):
        row: list[Any] = []
        for at, (label, given) in enumerate(lines[start : start + 3]):
            row += [type_.text(safe(label), 0.9), type_.text(f"<b>{safe(given)}</b>")]
            style.append(
                ("LINEBELOW", (2 * at + 1, len(rows)), (2 * at + 1, len(rows)), 0.7, _grey(0))
            )
        rows.append([*row, *[""] * (6 - len(row))])
    return _table(rows, [width * 0.09, width * 0.243] * 3, style)


def _care(sheet: Sheet, width: float, type_: Type) -> list[Any]:
    texts = [f"• {safe(text)}" for text in sheet.cautions]
    half = (len(texts) + 1) // 2
    share, hang = 0.92, type_.points * 0.62
    columns = [
        [type_.text(text, share, indent=hang) for text in part]
        for part in (texts[:half], texts[half:])
    ]
    table = _table(
        [[type_.text("<b>Caution</b>"), ""], columns],
        [width / 2] * 2,
        [("BOX", (0, 0), (-1, -1), 1.4, _grey(0)), ("SPAN", (0, 0), (-1, 0))],
    )
    return [table, _space(4)]


def _block(kind: Kind, block: Block, width: float, type_: Type) -> Any:
    shares, names = _COLUMNS[kind]
    clock = f"{block.minutes} planned; from {_GAP} to {_GAP}" if kind is Kind.CLIPBOARD else ""
    order = " (in this order)" if block.ordered else ""
    rows: list[list[Any]] = [
        [_section(f"{block.title}", order, clock or block.minutes, width, type_)],
        [type_.text(name, 0.85) for name in names],
    ]
    rows[0] += [""] * (len(shares) - 1)
    style: list[Any] = [
        ("GRID", (0, 2), (-1, -1), 0.5, _grey(0.55)),
        ("BOX", (0, 0), (-1, 1), 0.7, _grey(0)),
        ("BACKGROUND", (0, 0), (-1, 1), _grey(_GREY)),
        ("SPAN", (0, 0), (-1, 0)),
    ]
    for stop in block.stops:
        at = len(rows)
        style += [
            ("SPAN", (0, at), (-1, at)),
            ("BACKGROUND", (0, at), (-1, at), _grey(_PALE)),
            ("NOSPLIT", (0, at), (-1, at + 1)),
        ]
        place = type_.text(f"<b><i>{safe(stop.place)}</i></b>", 0.88)
        rows.append([place, *[""] * (len(shares) - 1)])
        rows += [_row(kind, line, type_) for line in stop.lines]
    return _table(rows, [width * share for share in shares], style, heads=2)


def _section(title: str, order: str, clock: str, width: float, type_: Type) -> Any:
    """Title at the left, time at the right, in one cell."""
    right = type_.text(safe(clock), 0.9)
    right.style.alignment = 2
    left = type_.text(f"<b>{safe(title)}</b>{safe(order)}", 1.05)
    bare = [("LEFTPADDING", (0, 0), (-1, -1), 0), ("RIGHTPADDING", (0, 0), (-1, -1), 0)]
    return _table([[left, right]], [width * 0.52 - 3, width * 0.48 - 3], bare)


def _row(kind: Kind, line: Line, type_: Type) -> list[Any]:
    number = type_.text(str(line.number), 0.88)
    number.style.alignment = 2
    box = _box(type_) if kind is Kind.CLIPBOARD else ""
    step = f"Step {line.step}: " if line.step else ""
    indent = type_.points * 1.4 if box else 0.0
    part = [type_.text(f"{box}<b>{safe(step + line.title)}</b>", indent=indent)]
    if line.critical:
        part.append(type_.text("<i>a miss commonly fails the test</i>", 0.82))
    care = f"<b>Caution:</b> {safe(line.caution)}"
    if kind is Kind.CLIPBOARD:
        said = [_ticked(mark, type_) for mark in line.marks]
        return [number, part, [*said, *([type_.text(care)] if line.caution else [])], ""]
    why = [type_.text(safe(line.why))] if line.why else []
    numbers = [_number(mark, type_) for mark in line.marks if mark.number]
    why += [type_.text(care)] if line.caution else []
    return [number, part, [_said(mark, type_) for mark in line.marks], numbers, why]


def _box(type_: Type) -> str:
    return f'<font name="Letters" size={type_.points * 1.2:.2f}>{_BOX}</font> '


def _ticked(mark: Mark, type_: Type) -> Any:
    gap = f" (said:&nbsp;{_GAP})" if mark.number else ""
    return type_.text(f"{_box(type_)}{safe(mark.says)}{gap}", indent=type_.points * 1.4)


def _said(mark: Mark, type_: Type) -> Any:
    if mark.needed:
        return type_.text(f"– {safe(mark.says)}", indent=type_.points * 0.8)
    return type_.text(f"– also: {safe(mark.says)}", 0.88, indent=type_.points * 0.8)


def _number(mark: Mark, type_: Type) -> Any:
    text = safe(mark.number)
    return type_.text(f"<b>{text}</b>" if mark.needed else text, 1.0 if mark.needed else 0.88)


def _next(width: float, type_: Type) -> list[Any]:
    from reportlab.platypus import KeepTogether

    rules = _table(
        [[""]] * 3,
        [width],
        [("LINEBELOW", (0, 0), (-1, -1), 0.5, _grey(0.5)), ("TOPPADDING", (0, 0), (-1, -1), 14)],
    )
    return [_space(8), KeepTogether([type_.text("To practise next:"), rules])]


def _card(sheet: Sheet, width: float, type_: Type) -> list[Any]:
    shares, names = _COLUMNS[Kind.NUMBERS]
    rows = [[type_.text(safe(name), 0.85) for name in names]]
    rows += [_figure(figure, type_) for figure in sheet.figures]
    style = [
        ("GRID", (0, 0), (-1, -1), 0.5, _grey(0.55)),
        ("BACKGROUND", (0, 0), (-1, 0), _grey(_GREY)),
    ]
    pieces = [_table(rows, [width * share for share in shares], style, heads=1), _space(3)]
    if any(figure.critical for figure in sheet.figures):
        pieces.append(type_.text("<b>!</b> a miss here commonly fails the test.", 0.9))
    pieces += [_space(3), type_.text("<b>Sources, and how well each was seen</b>")]
    for title, sources in by_title(sheet):
        listed = "; ".join(
            f"<b>{one.number}</b> {safe(one.section)} ({safe(one.standing)})" for one in sources
        )
        pieces.append(type_.text(f"{safe(title)}: {listed}", 0.88))
    return pieces


def _figure(figure: Figure, type_: Type) -> list[Any]:
    asked = "" if figure.needed else f" <font size={type_.points * 0.88}>(not asked)</font>"
    return [
        type_.text(f"<b>{safe(figure.limit)}{' !' if figure.critical else ''}</b>"),
        type_.text(f"{safe(figure.quantity)}{asked}"),
        type_.text(safe("; ".join(figure.wordings))),
        type_.text(safe("; ".join(figure.parts))),
        type_.text(", ".join(map(str, figure.sources))),
    ]
