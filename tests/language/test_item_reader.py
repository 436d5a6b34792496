"""The shipped item reader: verified before use, one answer for one sheet, and sheets that fit.

How well it reads is measured by models/fit_judge.py and benchmarks/, not here.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from language_lines import checklist, item, talk

from walkgrade.checklists.library import find_checklist, list_checklists, list_overlays
from walkgrade.errors import ModelError
from walkgrade.language import item_reader
from walkgrade.language.item_reader import (
    _SIZES,
    ItemQuestion,
    ItemReader,
    Sheet,
    SheetWriter,
    load_item_reader,
)
from walkgrade.language.read import read
from walkgrade.language.reader_files import reader_folder, verified_recipe
from walkgrade.language.records import Utterance

PLACES = 512
"""What the encoder has learnt places for; it cannot read a longer sheet."""
LINES = ("One apple.", "Two horses.", "Three cats.", "Four dogs.", "Five birds.")
LAMP = ItemQuestion(
    title="Lamp", names=("=light", "globe", "bulb"), place="Front", says=("Lit", "clean"),
    rows=(), telling=frozenset(),
)  # fmt: skip
HEAD = "[CLS] lamp ( light , globe ) at front | lit | clean [SEP]"
TOLD = ("The brake chamber is not leaking.", "It is not cracked.", "Nice weather we have.")
CHAMBER = ItemQuestion(
    title="Brake chamber", names=("brake chamber",), place="Front axle",
    says=("no air leak", "mounted securely"), rows=(0, 1), telling=frozenset((0, 1)),
)  # fmt: skip
ASKED = (CHAMBER, *(replace(CHAMBER, title=title) for title in ("Horn", "Seat", "Tyre", "Belt")))


class Counted:
    """The encoder, with what it was given."""

    def __init__(self, session: Any) -> None:
        self.session = session
        self.given: list[dict[str, Any]] = []

    def run(self, wanted: list[str], feed: dict[str, Any]) -> Any:
        self.given.append(feed)
        return self.session.run(wanted, feed)


class Straight:
    """In place of the encoder: its answer at a mark is the mark's place, from `first` on."""

    def __init__(self, first: float) -> None:
        self.first = first

    def run(self, wanted: list[str], feed: dict[str, Any]) -> list[np.ndarray]:
        return [self.first + np.arange(feed["ids"].shape[1], dtype=float)[None, :, None]]


@pytest.fixture
def reader() -> Iterator[ItemReader]:
    load_item_reader.cache_clear()
    yield load_item_reader()
    load_item_reader.cache_clear()


@pytest.fixture
def counted(reader: ItemReader, monkeypatch: pytest.MonkeyPatch) -> Counted:
    counted = Counted(reader._session)
    monkeypatch.setattr(reader, "_session", counted)
    return counted


@pytest.fixture
def copy(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A copy of the models that may be spoiled."""
    for name in ("item_reader", "run_reader"):
        shutil.copytree(reader_folder(name), tmp_path / name)
    monkeypatch.setattr(item_reader, "reader_folder", lambda name: tmp_path / name)
    load_item_reader.cache_clear()
    yield tmp_path / "item_reader"
    load_item_reader.cache_clear()


@pytest.mark.parametrize("name", ["reader.json", "encoder.onnx"])
def test_a_missing_file_is_refused(copy: Path, name: str) -> None:
    (copy / name).unlink()
    with pytest.raises(ModelError, match="item reader is not complete") as caught:
        load_item_reader()
    assert caught.value.code == "M20"


@pytest.mark.parametrize("size", _SIZES)
def test_a_description_without_a_size_is_refused(copy: Path, size: str) -> None:
    place = copy / "reader.json"
    place.chmod(0o644)
    place.write_text(place.read_text("utf-8").replace(f'"{size}"', '"other"'), "utf-8")
    with pytest.raises(ModelError, match=size) as caught:
        load_item_reader()
    assert caught.value.code == "M20"


def test_a_damaged_file_is_refused(copy: Path) -> None:
    place = copy / "encoder.onnx"
    place.chmod(0o644)
    place.write_bytes(place.read_bytes()[:-1] + b"x")
    with pytest.raises(
        ModelError, match=r"Damaged file of the item reader: encoder\.onnx"
    ) as found:
        load_item_reader()
    assert found.value.code == "M20"


def test_an_unspoiled_copy_is_taken(copy: Path) -> None:
    assert load_item_reader().answers(spoken(*TOLD), [""] * 3, [CHAMBER])


def spoken(*lines: str | tuple[str, str]) -> tuple[Utterance, ...]:
    """The utterances of a talk, one a line."""
    found = read(talk(*lines), checklist(item("lamp"))).utterances
    assert len(found) == len(lines)
    return found


def answers(reader: ItemReader, *asked: ItemQuestion) -> list[tuple[float, ...]]:
    return reader.answers(spoken(*TOLD), ["Front axle"] * len(TOLD), asked)


def test_an_answer_depends_on_nothing_else_that_is_asked(reader: ItemReader) -> None:
    together = answers(reader, *ASKED)
    assert len(set(together)) == len(ASKED)
    reader._known.clear()
    assert answers(reader, *ASKED[::-1]) == together[::-1]
    for one, told in zip(ASKED, together, strict=True):
        reader._known.clear()
        assert answers(reader, one) == [told]


def test_no_items_no_answers(reader: ItemReader, counted: Counted) -> None:
    assert answers(reader) == []
    assert reader.answers((), (), ()) == []
    assert counted.given == []


def test_answers_are_kept(reader: ItemReader, counted: Counted) -> None:
    first = answers(reader, *ASKED[:3], CHAMBER)
    assert len(counted.given) == 3, "the same item twice is read once"
    assert first[0] == first[3]
    assert answers(reader, *ASKED[2::-1]) == first[2::-1]
    assert len(counted.given) == 3
    answers(reader, replace(CHAMBER, rows=(0, 2)))
    assert len(counted.given) == 4, "other lines are another sheet"


def test_what_is_kept_has_an_end(
    reader: ItemReader, counted: Counted, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = answers(reader, *ASKED)
    reader._known.clear()
    monkeypatch.setattr(item_reader, "_KEPT", 2)
    assert answers(reader, *ASKED) == whole
    assert len(reader._known) == 2
    before = len(counted.given)
    assert answers(reader, *ASKED[-2:]) == whole[-2:], "the newest are kept"
    assert len(counted.given) == before


@pytest.mark.parametrize(
    ("first", "wanted"), [(-6.0, (4.0, 7.0)), (0.0, (8.0, 8.0)), (-99.0, (-8.0, -8.0))]
)
def test_a_statement_is_answered_at_its_mark(
    reader: ItemReader, monkeypatch: pytest.MonkeyPatch, first: float, wanted: tuple[float, float]
) -> None:
    monkeypatch.setattr(reader, "_session", Straight(first))
    marks = (10, 13)
    assert reader._read(Sheet((2,) * 20, (0,) * 20, marks)) == wanted


def test_what_is_told_is_believed_more_than_what_is_not(reader: ItemReader) -> None:
    (leak, _), (small_talk, _) = answers(
        reader, CHAMBER, replace(CHAMBER, rows=(2,), telling=frozenset((2,)))
    )
    assert leak > 0 > small_talk


@pytest.fixture(scope="module")
def recipe() -> dict[str, int]:
    return verified_recipe(reader_folder("item_reader"), _SIZES, "item reader")


def writer_of(recipe: dict[str, int], **sizes: int) -> SheetWriter:
    return SheetWriter(reader_folder("run_reader") / "vocab.txt", recipe | sizes)


def sheet_of(
    writer: SheetWriter, lines: Sequence[str | tuple[str, str]], places: Sequence[str],
    asked: ItemQuestion,
) -> Sheet:  # fmt: skip
    said = spoken(*lines)
    return writer.sheet(asked, writer.pieces_of(said), places, said)


def text_of(writer: SheetWriter, sheet: Sheet) -> str:
    return " ".join(writer._pieces.id_to_token(one) for one in sheet.ids)


SHEETS = {
    "a place once while it stays": (
        (0, 1),
        "FFFFF",
        "/ front : one apple . [SEP] two horses . [SEP]",
    ),
    "a gap mark where one is left out": (
        (0, 2, 3),
        "FFFFF",
        "/ front : one apple . [SEP] / three cats . [SEP] four dogs . [SEP]",
    ),
    "another place, and the first again": (
        (1, 2, 3),
        "FFRFF",
        "/ front : two horses . [SEP] rear : three cats . [SEP] front : four dogs . [SEP]",
    ),
    "a place across a gap": ((1, 4), "FFRFF", "/ front : two horses . [SEP] / five birds . [SEP]"),
    "spoken order": (
        (4, 0, 3),
        "FFFFR",
        "/ front : one apple . [SEP] / four dogs . [SEP] rear : five birds . [SEP]",
    ),
    "a row given twice": ((1, 0, 1), "FFFFF", "/ front : one apple . [SEP] two horses . [SEP]"),
    "no rows": ((), "FFFFF", ""),
}


@pytest.mark.parametrize(("rows", "at", "body"), SHEETS.values(), ids=list(SHEETS))
def test_a_sheet_as_words(
    recipe: dict[str, int], rows: tuple[int, ...], at: str, body: str
) -> None:
    writer = writer_of(recipe)
    places = [{"F": "Front", "R": "Rear"}[place] for place in at]
    sheet = sheet_of(writer, LINES, places, replace(LAMP, rows=rows))
    assert text_of(writer, sheet) == f"{HEAD} {body}".strip()
    assert [writer._pieces.id_to_token(sheet.ids[at]) for at in sheet.heads] == ["|", "|"]


def test_only_telling_lines_are_typed_so(recipe: dict[str, int]) -> None:
    writer = writer_of(recipe)
    asked = replace(LAMP, rows=(0, 1, 3), telling=frozenset((1, 3, 4)))
    sheet = sheet_of(writer, LINES, ["Front"] * 5, asked)
    words = text_of(writer, sheet).split()
    told = [word for word, kind in zip(words, sheet.types, strict=True) if kind]
    assert told == ["two", "horses", ".", "[SEP]", "/", "four", "dogs", ".", "[SEP]"]


def test_other_voices_are_marked(recipe: dict[str, int]) -> None:
    writer = writer_of(recipe)
    lines = [("Trainee", LINES[0]), ("Examiner", "Two horses."), ("Trainee", LINES[2])]
    sheet = sheet_of(writer, lines, ["Front"] * 3, replace(LAMP, rows=(0, 1, 2)))
    body = "/ front : one apple . [SEP] [MASK] two horses . [SEP] three cats . [SEP]"
    assert text_of(writer, sheet) == f"{HEAD} {body}"


@pytest.mark.parametrize(
    ("rows", "room", "read_rows"),
    [
        ((1, 0, 2), 17, [0, 1, 2]),
        ((1, 0, 2), 16, [0, 1]),
        ((0, 1, 2), 6, [0, 2]),  # the long one gives way to the next
        ((0, 1, 2), 5, [0]),
        ((1, 0, 2), 11, [1]),
        ((1, 0, 2), 10, [0, 2]),
        ((0, 1, 2), 2, []),
        ((0, 0, 2), 6, [0, 2]),  # a row given twice takes room once
    ],
)
def test_lines_fill_the_room_by_their_order(
    recipe: dict[str, int], rows: tuple[int, ...], room: int, read_rows: list[int]
) -> None:
    """Lines of 3, 11 and 3 pieces with their ends."""
    pieces = [[5] * size for size in (2, 10, 2)]
    assert writer_of(recipe, room=room)._fitting(rows, pieces, spoken(*LINES[:3])) == read_rows


@pytest.mark.parametrize(("room", "read_rows"), [(3, []), (4, [1])])
def test_a_mark_of_another_voice_takes_room(
    recipe: dict[str, int], room: int, read_rows: list[int]
) -> None:
    said = spoken(("Trainee", "One apple fell down."), ("Examiner", "Two horses."))
    assert writer_of(recipe, room=room)._fitting((1,), [[5, 5], [5, 5]], said) == read_rows


@pytest.mark.parametrize(
    ("size", "most", "gone"), [("line", 1, "apple"), ("title", 3, "globe"), ("place", 1, "door")]
)
def test_what_is_too_long_is_cut(recipe: dict[str, int], size: str, most: int, gone: str) -> None:
    asked = replace(LAMP, rows=(0,))
    whole, cut = (
        text_of(writer, sheet_of(writer, LINES[:1], ["Rear door"], asked))
        for writer in (writer_of(recipe), writer_of(recipe, **{size: most}))
    )
    assert gone in whole
    assert gone not in cut


def longest_sheets(name: str, writer: SheetWriter, said: Sequence[Utterance]) -> list[int]:
    """Sheet lengths of a checklist's items, every other line read and each at another place."""
    shipped = find_checklist(name)
    titles = sorted((place.title for place in shipped.places), key=len)[-2:]
    title = {place.id: place.title for place in shipped.places}
    places = [titles[row // 2 % 2] for row in range(len(said))]
    pieces, rows = writer.pieces_of(said), tuple(range(0, len(said), 2))
    return [
        len(writer.sheet(
            ItemQuestion(
                title=one.title, names=one.names, place=title[one.place],
                says=tuple(r.says for r in one.requirements), rows=rows, telling=frozenset(rows),
            ), pieces, places, said,
        ).ids) for one in shipped.items
    ]  # fmt: skip


@pytest.fixture(scope="module")
def long_talk() -> tuple[Utterance, ...]:
    words = "the brake chamber is not leaking or cracked and mounted securely"
    return spoken(*(f"Now number {n}, {words}, {words}, {words}." for n in range(40)))


@pytest.mark.parametrize("name", [*list_checklists(), *list_overlays()])
def test_every_shipped_item_fits_the_encoder(
    recipe: dict[str, int], long_talk: tuple[Utterance, ...], name: str
) -> None:
    lengths = longest_sheets(name, writer_of(recipe), long_talk)
    assert lengths
    assert max(lengths) <= PLACES
    assert min(lengths) > recipe["room"] / 2, "the lines do fill the room"


@pytest.mark.parametrize("line", ["It works.", "Both of them are good."])
def test_many_short_lines_do_not_overrun_the_encoder(recipe: dict[str, int], line: str) -> None:
    """Each brings a gap and a place of its own, which the room does not count."""
    said = spoken(*(line for _ in range(160)))
    assert max(longest_sheets("tractor-trailer-modern", writer_of(recipe), said)) <= PLACES


@pytest.mark.parametrize("count", [1, 6, 7, 25, 60])
def test_many_statements_share_their_room(recipe: dict[str, int], count: int) -> None:
    says = tuple(
        f"statement {n} of what must be said about it, in many words" for n in range(count)
    )
    asked = replace(CHAMBER, says=says)
    sheet = sheet_of(writer_of(recipe), TOLD, ["Front axle"] * 3, asked)
    assert len(sheet.heads) == count
    assert len(sheet.ids) <= PLACES
    assert any(sheet.types), "lines are read, too"
    assert (sheet.heads[-1] - sheet.heads[0] < 281) or count > 56


def test_the_encoder_reads_a_sheet_of_all_its_places(reader: ItemReader) -> None:
    told = reader._read(Sheet((2, *(5,) * (PLACES - 1)), (0,) * PLACES, (1, PLACES - 1)))
    assert np.isfinite(told).all()
