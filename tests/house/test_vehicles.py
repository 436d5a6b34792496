"""Every kind of vehicle graded end to end: a good and a poor labelled run as text, one as sound.

Truth are the labels of the scripts (`seeds/LABELLING.md`), never the engine. All runs are tune
runs: the floors guard against loss, they are no estimate for runs nobody has seen. Measured at
commit 60105f9; the floors lie 0.05 (same), 0.08 (kappa) and 0.10 (F1) under the figures, rounded
down.
The limits that the numbers are held against rest on docs/sources.md, rows 6.2, 6.2c, 6.4 and 6.12
(state commercial driver manual, 5.3 and 11.1.2).
"""

from __future__ import annotations

import functools
import os
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from benchmarks.agreement import SCRIPTS, Tally, tally
from benchmarks.corpus import Spoken, content_key, spoken_in
from seeds.script import Script, load_script, to_transcript
from seeds.truth import truth_of
from walkgrade.checklists.applicable import applicable
from walkgrade.checklists.library import find_checklist, find_profile, list_checklists
from walkgrade.checklists.records import Checklist
from walkgrade.matching.records import ItemOutcome, NumberVerdict
from walkgrade.reports.document import Attempt
from walkgrade.workflow import Graded, Terms, Tools, grade_file, grade_transcript

SOUNDS = Path(__file__).resolve().parents[1] / "data" / "vehicles"
REQUIRE_ALL = bool(os.environ.get("CI") or os.environ.get("WALKGRADE_REQUIRE_ALL"))
EDITION = re.compile(r"-(classic|modern)$")


@dataclass(frozen=True, slots=True, kw_only=True)
class Floor:
    """What a graded script must at least reach; `measured` is what it reached, for the reader.

    `same`: share of the items whose outcome is the labels'. `kappa`: of credit given and due.
    `f1`: of the numbers, value and verdict.
    """

    script: str
    same: float
    kappa: float
    f1: float
    measured: str


def _floor(script: str, same: float, kappa: float, f1: float, measured: str) -> Floor:
    return Floor(script=script, same=same, kappa=kappa, f1=f1, measured=measured)


# kind of vehicle -> a good and a poor run; tune-45, 136, 55 and 134 are of the modern test
PAIRS = {
    "school-bus-air": (
        _floor("demo-full", 0.87, 0.41, 0.87, "0.927, 0.492, 0.973"),
        _floor("demo-poor", 0.84, 0.78, 0.90, "0.894, 0.869, 1.000"),
    ),
    "school-bus-hydraulic": (
        _floor("tune-40", 0.90, 0.79, 0.81, "0.957, 0.874, 0.917"),
        _floor("tune-41", 0.76, 0.82, 0.76, "0.819, 0.898, 0.842"),
    ),
    "coach-air": (
        _floor("tune-42", 0.84, 0.43, 0.83, "0.894, 0.519, 0.938"),
        _floor("tune-45", 0.74, 0.65, 0.82, "0.798, 0.737, 0.923"),
    ),
    "straight-truck-air": (
        _floor("tune-50", 0.87, 0.71, 0.83, "0.924, 0.797, 0.933"),
        _floor("tune-136", 0.57, 0.43, 0.40, "0.625, 0.510, 0.500"),
    ),
    "straight-truck-hydraulic": (
        _floor("tune-54", 0.72, 0.38, 0.78, "0.773, 0.460, 0.889"),
        _floor("tune-55", 0.64, 0.54, 0.40, "0.697, 0.620, 0.500"),
    ),
    "tractor-trailer": (
        _floor("tune-52", 0.78, 0.48, 0.79, "0.832, 0.565, 0.897"),
        _floor("tune-134", 0.60, 0.44, 0.82, "0.652, 0.526, 0.923"),
    ),
}
# the parts special to a vehicle, two minutes each, spoken too
SHORT = {
    "school-bus-hydraulic": _floor("tune-150", 0.92, 0.87, 0.90, "0.974, 0.958, 1.000"),
    "coach-air": _floor("tune-151", 0.90, 0.80, 0.90, "0.956, 0.883, 1.000"),
    "straight-truck-air": _floor("tune-152", 0.94, 0.92, 0.90, "0.990, 1.000, 1.000"),
    "straight-truck-hydraulic": _floor("tune-153", 0.87, 0.88, 0.90, "0.928, 0.968, 1.000"),
    "tractor-trailer": _floor("tune-154", 0.91, 0.84, 0.90, "0.966, 0.904, 1.000"),
}
FLOORS = [floor for pair in PAIRS.values() for floor in pair] + list(SHORT.values())
GRADED = [floor.script for floor in FLOORS]


@dataclass(frozen=True, slots=True, kw_only=True)
class Heard:
    """What a spoken run must at least earn and at most earn falsely, in items; `numbers`: heard
    as labelled, of `said` ones. `measured` in the same order."""

    earned: int
    false: int
    numbers: int
    said: int
    measured: str


HEARD = {
    "tune-150": Heard(earned=11, false=2, numbers=3, said=4, measured="13 of 14, 0, 4"),
    "tune-151": Heard(earned=12, false=4, numbers=2, said=3, measured="15 of 21, 2, 3"),
    "tune-152": Heard(earned=13, false=2, numbers=5, said=6, measured="15 of 16, 0, 6"),
    "tune-153": Heard(earned=11, false=2, numbers=3, said=4, measured="14 of 20, 0, 4"),
    "tune-154": Heard(earned=18, false=2, numbers=4, said=5, measured="20 of 26, 1, 5"),
}
"""With tiny.en, the shipped default. What the engine of another machine rounds differently changes
a word here and there, so each floor leaves room."""

GAP_POINTS = 20.0
"""Percent points of the good run over the poor one; the least measured was 25.6 (tractor-trailer),
where the labels say 48."""

# script, requirement, what is said, whether it is right by the limit of this vehicle
OWN_NUMBERS = [
    pytest.param("tune-40", "hydraulic-brake.hold.seconds", "5", True, id="hydraulic-hold"),
    pytest.param("tune-41", "hydraulic-brake.hold.seconds", "3", False, id="hydraulic-hold-short"),
    pytest.param("tune-41", "hydraulic-brake.pump.three", "2", False, id="hydraulic-pump-twice"),
    pytest.param("tune-42", "air-brake.leak.loss", "3", True, id="coach-leak"),
    pytest.param("tune-45", "air-brake.warning.pressure", "40", False, id="coach-warning-late"),
    pytest.param("tune-50", "air-brake.leak.loss", "3", True, id="truck-leak"),
    pytest.param("tune-54", "hydraulic-brake.pump.three", "3", True, id="truck-hydraulic-pump"),
    pytest.param("tune-52", "air-brake.leak.loss", "4", True, id="combination-leak"),
    pytest.param("tune-150", "hydraulic-brake.pump.three", "3", True, id="short-bus-pump"),
    pytest.param("tune-151", "air-brake.leak.loss", "4", False, id="combination-leak-of-a-coach"),
    pytest.param("tune-152", "air-brake.pop-out.pressure", "70", False, id="short-truck-pop-out"),
    pytest.param("tune-153", "hydraulic-brake.hold.seconds", "2", False, id="short-truck-hold"),
    pytest.param("tune-154", "air-brake.leak.loss", "4", True, id="short-combination-leak"),
    pytest.param("tune-154", "air-brake.warning.pressure", "30", False, id="short-warning-late"),
]
HEARD_NUMBERS = [row for row in OWN_NUMBERS if row.values[0] in HEARD]


@functools.cache
def script_of(name: str) -> Script:
    return load_script(SCRIPTS / f"{name}.yaml")


def terms_of(script: Script) -> Terms:
    return Terms(checklist=find_checklist(script.checklist), profile=find_profile(script.profile))


@functools.cache
def graded(name: str) -> Graded:
    """The script graded from its text."""
    script = script_of(name)
    return grade_transcript(to_transcript(script), terms_of(script), attempt=Attempt(id=name))


@functools.cache
def due(name: str) -> dict[str, ItemOutcome]:
    """Outcome of every item by the labels."""
    script, terms = script_of(name), terms_of(script_of(name))
    return truth_of(script, terms.checklist, terms.profile)


def due_share(name: str) -> float:
    return sum(one == ItemOutcome.COMPLETE for one in due(name).values()) / len(due(name))


def same_share(name: str, run: Graded) -> float:
    truth = due(name)
    return sum(truth[one.item] == one.outcome for one in run.findings.items) / len(truth)


def tally_of(name: str, run: Graded) -> Tally:
    return tally(script_of(name), run.findings)[0]


def percent(run: Graded) -> float:
    points = run.grade.totals.percent
    assert points is not None
    return points


def verdicts(run: Graded, requirement: str, said: str) -> set[bool]:
    """Whether each number heard for the requirement with that value was taken as right."""
    return {
        one.verdict == NumberVerdict.RIGHT
        for one in run.findings.numbers
        if one.requirement == requirement and one.value_low == said
    }


def texts(node: object) -> Iterator[str]:
    """Every text in a document, its keys included."""
    if isinstance(node, dict):
        for key, value in node.items():
            yield from (*texts(key), *texts(value))
    elif isinstance(node, list | tuple):
        for value in node:
            yield from texts(value)
    elif isinstance(node, str):
        yield node


def naming(document: object, ids: set[str]) -> set[str]:
    """Texts of the document that are one of the ids or begin with one and a dot."""
    return {
        text for text in texts(document) for one in ids if text == one or text.startswith(f"{one}.")
    }


def lacking(script: Script) -> set[str]:
    """Ids of the items and requirements that the checklist has and the vehicle has not."""
    terms = terms_of(script)
    return _ids(terms.checklist) - _ids(applicable(terms.checklist, terms.profile))


def _ids(checklist: Checklist) -> set[str]:
    wanted = {one.id for item in checklist.items for one in item.requirements}
    return wanted | {item.id for item in checklist.items}


def test_every_shipped_kind_has_its_good_and_poor_run() -> None:
    assert set(PAIRS) == {EDITION.sub("", name) for name in list_checklists()}
    for kind, pair in PAIRS.items():
        for floor in pair:
            script = script_of(floor.script)
            assert EDITION.sub("", script.checklist) == kind
            assert script.complete_run
            assert script.part == "tune"


def test_every_shipped_checklist_has_a_labelled_run() -> None:
    head = re.compile(r"^checklist: *(\S+)$", re.MULTILINE)
    used = {
        name
        for path in SCRIPTS.glob("tune-*.yaml")
        for name in head.findall(path.read_text("utf-8"))
    }
    assert used == set(list_checklists())


@pytest.mark.parametrize("kind", PAIRS)
def test_the_labels_say_which_run_is_good(kind: str) -> None:
    good, poor = (due_share(floor.script) for floor in PAIRS[kind])
    assert good >= 0.7
    assert poor <= 0.6
    assert good - poor >= 0.25


@pytest.mark.parametrize("kind", PAIRS)
def test_the_good_run_earns_far_more(kind: str) -> None:
    good, poor = (percent(graded(floor.script)) for floor in PAIRS[kind])
    assert good - poor >= GAP_POINTS


@pytest.mark.parametrize("floor", FLOORS, ids=GRADED)
def test_outcomes_agree_with_the_labels(floor: Floor) -> None:
    run = graded(floor.script)
    assert {one.item for one in run.findings.items} == set(due(floor.script))
    counted = tally_of(floor.script, run)
    reached = (same_share(floor.script, run), counted.kappa, counted.f1)
    assert all(
        got >= least
        for got, least in zip(reached, (floor.same, floor.kappa, floor.f1), strict=True)
    ), f"same, kappa, F1: {reached}"


@pytest.mark.parametrize(("name", "requirement", "said", "right"), OWN_NUMBERS)
def test_numbers_of_this_vehicle_are_read(
    name: str, requirement: str, said: str, right: bool
) -> None:
    assert verdicts(graded(name), requirement, said) == {right}
    shown = {
        one.right
        for one in graded(name).grade.numbers
        if (one.finding.requirement, one.finding.value_low) == (requirement, said)
    }
    assert shown == {right}


@pytest.mark.parametrize("name", GRADED)
def test_nothing_names_what_the_vehicle_lacks(name: str) -> None:
    absent = lacking(script_of(name))
    assert absent, "a vehicle that has everything proves nothing"
    assert naming(graded(name).document(), absent) == set()


def test_the_search_for_lacking_items_can_fail() -> None:
    absent = lacking(script_of("tune-150"))
    item = next(iter(absent))
    assert naming({"drills": [{"items": (item,)}]}, absent) == {item}
    assert naming({"at": f"{item}.leak"}, {item}) == {f"{item}.leak"}
    assert naming({"at": f"{item}x"}, {item}) == set()


@functools.cache
def sounds() -> dict[str, Spoken]:
    return {one.script: one for one in spoken_in(SOUNDS)}


@pytest.mark.parametrize("name", HEARD)
def test_the_sound_is_that_of_the_script(name: str) -> None:
    """Else make it anew, see tests/data/vehicles/README.md."""
    one = sounds()[name]
    assert one.path.stem.endswith(content_key(script_of(name), one.voice))
    assert one.path.stat().st_size <= 400_000
    assert HEARD[name].said == sum(len(line.numbers) for line in script_of(name).lines)


def test_each_short_run_is_spoken() -> None:
    assert {floor.script for floor in SHORT.values()} == set(sounds()) == set(HEARD)
    assert set(SHORT) == set(PAIRS) - {"school-bus-air"}  # spoken in seeds/recordings


@pytest.fixture(scope="module")
def heard(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Graded]:
    """A script graded from its sound, with the default model and a cache of its own."""
    from walkgrade.speech.listen import listen
    from walkgrade.speech.models import DEFAULT_MODEL, installed_models

    if DEFAULT_MODEL not in {model.name for model in installed_models()}:
        if REQUIRE_ALL:
            pytest.fail("the speech models are not installed")
        pytest.skip("the speech models are not installed: make setup")
    tools = Tools(listen=functools.partial(listen, cache_dir=tmp_path_factory.mktemp("cache")))

    @functools.cache
    def run(name: str) -> Graded:
        return grade_file(sounds()[name].path, terms_of(script_of(name)), tools)

    return run


@pytest.mark.audio
@pytest.mark.parametrize("name", HEARD)
def test_the_run_is_graded_from_sound(name: str, heard: Callable[[str], Graded]) -> None:
    run, least = heard(name), HEARD[name]
    assert run.transcript.origin == "recognised"
    counted = tally_of(name, run)
    assert counted.both >= least.earned
    assert counted.false_credit <= least.false
    assert counted.numbers["hit"] >= least.numbers
    assert naming(run.document(), lacking(script_of(name))) == set()


@pytest.mark.audio
@pytest.mark.parametrize(("name", "requirement", "said", "right"), HEARD_NUMBERS)
def test_numbers_of_this_vehicle_are_heard(
    name: str, requirement: str, said: str, right: bool, heard: Callable[[str], Graded]
) -> None:
    assert verdicts(heard(name), requirement, said) == {right}
