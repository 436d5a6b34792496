"""Pictures of a group: what is covered by section, and first against last run.

Decides: how they are drawn. Every value is printed, so no picture rests on colour; each stands on
the page beside a table of the same figures.
Conventions: wide groups are cut into several pictures (`MOST_COLUMNS`, `MOST_ROWS`). Texts from
files are drawn as they are, never read as formulas. The same figures give the same bytes.
Public: `Picture`, `section_pictures`, `change_pictures`.
"""

from __future__ import annotations

import textwrap
import warnings
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pandas import DataFrame

MOST_COLUMNS = 16
MOST_ROWS = 30

_INK, _SOFT, _RULE, _SHEET, _BAR = "#1c1c1a", "#57554e", "#d6d1c4", "#fffefb", "#3e5c73"
_DARKEST, _LIGHTEST = "#000000", "#ffffff"
_DPI = 100


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Picture:
    """A picture as SVG; `width` and `height` in page pixels, and its description."""

    svg: bytes
    width: int
    height: int
    text: str
    figure: Any

    def png(self) -> bytes:
        """The same picture as PNG, twice as fine. Drawn on demand: it costs as much again."""
        return _saved(self.figure, format="png", dpi=2 * _DPI, metadata={"Software": None})


def section_pictures(table: DataFrame, names: Mapping[str, str]) -> Iterator[Picture]:
    """Heat maps of `cohort.sections`; `names` gives what is shown for a trainee key."""
    keys, edge = list(table.columns[:-1]), table.columns[-1]
    pieces = -(-len(keys) // MOST_COLUMNS) or 1
    size = -(-len(keys) // pieces)
    for number in range(pieces):
        part = table[[*keys[number * size : (number + 1) * size], edge]]
        shown = [_short(names.get(key, key), 18) for key in part.columns]
        count = f", part {number + 1} of {pieces}" if pieces > 1 else ""
        text = (
            f"Share of items complete, section by trainee{count}: the figures of the table below."
        )
        yield _heat_map(part.to_numpy(dtype=float), list(table.index), shown, text)


def _heat_map(values: Any, rows: Sequence[str], columns: Sequence[str], text: str) -> Picture:
    from matplotlib.colors import LinearSegmentedColormap

    high, wide = values.shape
    titles = ["\n".join(textwrap.wrap(row, 24)[:2]) for row in rows]
    left, cell, line = _room(titles), 42, 32
    top = 20 + _room(columns)
    figure, axes = _canvas(left + wide * cell + 70, top + high * line + 16, left, top, 70, 16)
    shade = LinearSegmentedColormap.from_list("covered", [_SHEET, "#a9bac6", _BAR])
    axes.set_xlim(0, wide)
    axes.set_ylim(high, 0)
    axes.axis("off")
    for y in range(high):
        for x in range(wide):
            _cell(axes, x, y, float(values[y, x]), shade)
        _write(axes, -0.15, y + 0.5, titles[y], ha="right", bold=y == high - 1)
    for x, name in enumerate(columns):
        _write(axes, x + 0.5, -0.2, name, rotation=60, va="bottom", ha="left",
               rotation_mode="anchor", bold=x == wide - 1)  # fmt: skip
    return _picture(figure, text)


def _cell(axes: Any, x: int, y: int, value: float, shade: Any) -> None:
    from matplotlib.patches import Rectangle

    known = value == value
    face = shade(value / 100) if known else _SHEET
    axes.add_patch(Rectangle((x, y), 1, 1, facecolor=face, edgecolor=_RULE, linewidth=1))
    # At this luminance black and white have the same contrast, 4.6 to 1; elsewhere more.
    dark = known and _luminance(face) < 0.179
    _write(axes, x + 0.5, y + 0.5, f"{value:.0f}" if known else "-", ha="center",
           color=_LIGHTEST if dark else _DARKEST)  # fmt: skip


def change_pictures(table: DataFrame, target: int | None) -> Iterator[Picture]:
    """First and last run of each trainee on a line from 0 to 100, from `improvement.changes`.

    `target` draws the school's own target; None where the runs have different ones.
    """
    known = table.dropna(subset=["first", "last"])
    pieces = -(-len(known) // MOST_ROWS)
    size = -(-len(known) // pieces) if pieces else 0
    for number in range(pieces):
        part = known.iloc[number * size : (number + 1) * size]
        count = f", part {number + 1} of {pieces}" if pieces > 1 else ""
        yield _lines(
            part, target, f"Points of first and last run{count}: the figures of the table below."
        )


def _lines(part: DataFrame, target: int | None, text: str) -> Picture:
    names = [_short(str(who), 24) for who in part["who"]]
    high, line, left, top = len(part), 30, 20 + _room(names), 46
    figure, axes = _canvas(left + 540, top + high * line + 40, left, top, 40, 40)
    axes.set_xlim(0, 100)
    axes.set_ylim(high, 0)
    for side in ("top", "right", "left"):
        axes.spines[side].set_visible(False)
    axes.spines["bottom"].set_color(_SOFT)
    axes.set_yticks([])
    axes.set_xticks(range(0, 101, 20), [f"{mark} %" for mark in range(0, 101, 20)])
    axes.tick_params(colors=_SOFT, labelsize=9)
    axes.grid(axis="x", color=_RULE, linewidth=0.8)
    axes.set_axisbelow(True)
    if target is not None:
        axes.axvline(target, color=_INK, linestyle=(0, (5, 3)), linewidth=1.4)
        _write(axes, target, -0.25, f"school's own target {target} %", ha="center", va="bottom")
    for y, (name, first, last) in enumerate(zip(names, part["first"], part["last"], strict=True)):
        _line(axes, y + 0.5, name, float(first), float(last))
    return _picture(figure, text)


def _line(axes: Any, y: float, who: str, first: float, last: float) -> None:
    axes.plot([first, last], [y, y], color=_BAR, linewidth=2.5, zorder=2)
    axes.plot([first], [y], "o", markersize=8, markerfacecolor=_SHEET, markeredgecolor=_BAR,
              markeredgewidth=2, zorder=3)  # fmt: skip
    axes.plot([last], [y], "o", markersize=9, color=_BAR, zorder=4)
    _write(axes, -2, y, who, ha="right")
    side = 1 if last >= first else -1
    places = {1: "left", -1: "right"}
    clear: dict[str, Any] = {
        "zorder": 5,
        "bbox": {"facecolor": _SHEET, "edgecolor": "none", "pad": 0.5},
    }
    _write(axes, last + side * 2, y, f"{last:g}", ha=places[side], bold=True, **clear)
    _write(axes, first - side * 2, y, f"{first:g}", ha=places[-side], color=_SOFT, **clear)


def _room(texts: Sequence[str]) -> int:
    """Pixels that the longest line of `texts` needs at most."""
    return 16 + 8 * max((len(line) for text in texts for line in text.split("\n")), default=0)


def _canvas(
    width: int, height: int, left: int, top: int, right: int, bottom: int
) -> tuple[Any, Any]:
    """A figure and axes with margins in pixels."""
    from matplotlib.figure import Figure

    figure = Figure(figsize=(width / _DPI, height / _DPI), dpi=_DPI, facecolor=_SHEET)
    axes = figure.add_axes(
        (
            left / width,
            bottom / height,
            (width - left - right) / width,
            (height - top - bottom) / height,
        ),
        facecolor=_SHEET,
    )
    return figure, axes


def _write(axes: Any, x: float, y: float, text: str, *, bold: bool = False, **how: Any) -> None:
    style = {"va": "center", "color": _INK, "fontsize": 9.5, "clip_on": False} | how
    axes.text(x, y, text, parse_math=False, fontweight="bold" if bold else "normal", **style)


def _short(text: str, most: int) -> str:
    return text if len(text) <= most else f"{text[: most - 1]}…"


def _luminance(colour: Any) -> float:
    """Relative luminance 0..1 (WCAG 2.2, "relative luminance")."""
    from matplotlib.colors import to_rgb

    parts = [
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4
        for part in to_rgb(colour)
    ]
    return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]


def _picture(figure: Any, text: str) -> Picture:
    width, height = (round(side * _DPI) for side in figure.get_size_inches())
    svg = _saved(figure, format="svg", metadata={"Date": None, "Creator": None})
    return Picture(svg=svg, width=width, height=height, text=text, figure=figure)


def _saved(figure: Any, **how: Any) -> bytes:
    from matplotlib import rc_context

    # Letters stay text: the reader's own fonts know more scripts than the one that comes along,
    # whose missing letters are boxes in the PNG and no reason to stop.
    settings: Any = {
        "svg.fonttype": "none",
        "svg.hashsalt": "walkgrade",
        "font.family": ["DejaVu Sans"],
    }
    out = BytesIO()
    with rc_context(settings), warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="Glyph .* missing from", category=UserWarning)
        figure.savefig(out, **how)
    return out.getvalue()
