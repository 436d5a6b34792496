"""Script files: what loads, what is refused and where the fault is said to be."""

from fractions import Fraction
from pathlib import Path

import pytest

from seeds.script import load_script, to_transcript
from walkgrade.errors import InputError

HEAD = """\
format: 1
id: one
checklist: small
profile: yard
speaker: tester
part: tune
lines:
"""


def write(folder: Path, lines: str, head: str = HEAD) -> Path:
    path = folder / "one.yaml"
    path.write_text(head + lines, encoding="utf-8")
    return path


def test_loads_every_field(tmp_path: Path) -> None:
    script = load_script(
        write(
            tmp_path,
            """\
  - text: "Tread at least four
      thirty-seconds."
    pause: 2.5
    earns: {front.tyre: [tread], front.rim: []}
    numbers:
      - {requirement: front.tyre.tread, low: "4/32", unit: in, comparator: at least, right: true}
  - {text: "Go on.", who: examiner, flags: [late]}
""",
        )
    )
    first, second = script.lines
    assert first.text == "Tread at least four thirty-seconds."
    assert first.pause_ms == 2500
    assert first.earns == (("front.tyre", ("tread",)), ("front.rim", ()))
    assert first.numbers[0].low == Fraction(1, 8)
    assert first.numbers[0].high is None
    assert (second.who, second.pause_ms, second.flags) == ("examiner", 400, ("late",))
    assert script.complete_run
    assert script.word_count == 7
    assert isinstance(hash(script), int)


@pytest.mark.parametrize(
    ("lines", "line", "where"),
    [
        pytest.param("  - {text: hi, paws: 2}\n", 8, "lines.0.paws", id="unknown-key"),
        pytest.param("  - {text: hi}\n  - {text: 7}\n", 9, "lines.1.text", id="number-as-text"),
        pytest.param("  - {text: '...'}\n", 8, "lines.0.text", id="no-words"),
        pytest.param("  - {text: hi, pause: -1}\n", 8, "lines.0.pause", id="negative-pause"),
        pytest.param("  - {text: hi, who: driver}\n", 8, "lines.0.who", id="unknown-voice"),
        pytest.param("  - {text: hi, flags: [meh]}\n", 8, "lines.0.flags.0", id="unknown-flag"),
        pytest.param("  - {text: hi, earns: {a: b}}\n", 8, "lines.0.earns.a", id="earns-no-list"),
        pytest.param(
            "  - text: hi\n    numbers: [{requirement: a.b.c, low: four, unit: in,"
            " comparator: at least, right: true}]\n",
            9,
            "lines.0.numbers.0.low",
            id="number-in-words",
        ),
        pytest.param(
            "  - text: hi\n    numbers: [{requirement: a.b.c, low: 4, unit: in,"
            " comparator: min, right: true}]\n",
            9,
            "lines.0.numbers.0.comparator",
            id="unknown-comparator",
        ),
        pytest.param("  []\n", 7, "lines", id="no-lines"),
    ],
)
def test_refuses_with_place(tmp_path: Path, lines: str, line: int, where: str) -> None:
    path = write(tmp_path, lines)
    with pytest.raises(InputError) as caught:
        load_script(path)
    assert caught.value.code == "I91"
    assert f"{path}:{line}: {where}: " in str(caught.value)


def test_lists_all_faults_at_once(tmp_path: Path) -> None:
    path = write(tmp_path, "  - {text: 7}\n  - {text: hi, who: me}\n  - {txt: hi}\n")
    with pytest.raises(InputError, match=r"4 fault\(s\)"):
        load_script(path)


@pytest.mark.parametrize("text", [": :", "- [", ""], ids=["colon", "open-list", "empty"])
def test_refuses_what_is_no_script(tmp_path: Path, text: str) -> None:
    with pytest.raises(InputError) as caught:
        load_script(write(tmp_path, "", head=text))
    assert caught.value.code == "I91"


def test_refuses_id_that_is_not_the_file_name(tmp_path: Path) -> None:
    path = write(tmp_path, "  - {text: hi}\n", head=HEAD.replace("id: one", "id: two"))
    with pytest.raises(InputError, match="two"):
        load_script(path)


def test_transcript_times_follow_pauses_and_rate(tmp_path: Path) -> None:
    script = load_script(
        write(tmp_path, "  - {text: one two, pause: 1.0}\n  - {text: stop, who: examiner}\n")
    )
    transcript = to_transcript(script)
    assert [(s.start, s.end, s.speaker) for s in transcript.segments] == [
        (1000, 1800, "trainee"),
        (2200, 2600, "examiner"),
    ]
    assert transcript.duration == 2600
    assert transcript.segments[0].text == "one two"
