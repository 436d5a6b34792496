# ruff: noqa: E501 - one row a line, so that the table can be read down
"""Spoken lines of the hydraulic school bus and the coach, against what they earn."""

from __future__ import annotations

import pytest
from spoken_lines import earned, heard, wrong

from walkgrade.checklists.applicable import applicable
from walkgrade.checklists.library import find_checklist, find_profile
from walkgrade.checklists.records import Checklist

CHECK = "Okay, now the hydraulic brake check."
PUMP, HOLD, STILL = (
    "hydraulic-brake.pump.three",
    "hydraulic-brake.hold.seconds",
    "hydraulic-brake.hold.still",
)
RESERVE = {f"hydraulic-brake.reserve.{short}" for short in ("key", "pedal", "motor", "warning")}

# lines: (earned, wrong); every requirement of the check that is not named is not earned
CHECKS: list[tuple[list[str], set[str], set[str]]] = [
    (["I pump the brake pedal three times and hold it for five seconds, and the pedal doesn't move."], {PUMP, HOLD, STILL}, set()),
    (["Pump it three times.", "Hold it down five seconds.", "It should not move."], {PUMP, HOLD, STILL}, set()),
    (["One, two, three pumps, then I keep my foot on it and count five seconds.", "Pedal stays firm, it isn't sinking."], {PUMP, HOLD, STILL}, set()),
    (["Three times I push the brake, then I hold it five second and she no go down."], {PUMP, HOLD, STILL}, set()),
    (["Press the brake pedal three times, hold five seconds, no movement in the pedal."], {PUMP, HOLD, STILL}, set()),
    # holding it is not the same as seeing it stay
    (["Pump it three times and hold it five seconds to see if it moves."], {PUMP, HOLD}, set()),
    (["Then hold the pedal down for five seconds."], {HOLD}, set()),
    # wrong numbers
    (["Pump the brakes five times and hold."], set(), {PUMP}),
    (["Pump three times, hold for ten seconds, the pedal is sinking."], {PUMP}, {HOLD}),
    (["Pump it twice and hold it three seconds. Pedal stays put."], {STILL}, {HOLD}),
    # the reserve motor
    (["Now the reserve motor. Engine off, key off, press the brake pedal, I can hear the electric motor running and the warning buzzer is off."], RESERVE, set()),
    (["Turn the key off.", "Step on the brake.", "You hear that little motor kick in back there?", "And the warning light is out."], RESERVE, set()),
]  # fmt: skip


def fitted(checklist: str, profile: str) -> Checklist:
    return applicable(find_checklist(checklist), find_profile(profile))


@pytest.fixture(scope="module")
def hydraulic() -> Checklist:
    return fitted("school-bus-hydraulic-classic", "yard-bus-hydraulic")


@pytest.fixture(scope="module")
def coach() -> Checklist:
    return fitted("coach-air-classic", "yard-coach")


@pytest.mark.parametrize(("lines", "says", "against"), CHECKS)
def test_hydraulic_brake_check(
    lines: list[str], says: set[str], against: set[str], hydraulic: Checklist
) -> None:
    """Manual 11.1.2: pump three times, hold five seconds, no movement; reserve with the key off."""
    findings = heard(CHECK, *lines, checklist=hydraulic)
    assert {r for r in earned(findings) if r.startswith("hydraulic-brake.")} == says
    assert wrong(findings) == against
    assert "cab.service-brake.speed" not in earned(findings), "'three times' is no speed"


LINES = [
    ("Master cylinder is bolted on tight and isn't leaking, and the brake fluid is between add and full.", {"engine.master-cylinder.secure", "engine.master-cylinder.leak", "engine.brake-fluid.level"}),
    ("Brake warning light comes on with the key and goes out when she starts.", {"cab.brake-warning-lamp.lamp"}),
    ("Front axle. Brake pads more than a sixteenth of an inch, no oil or grease.", {"front-axle.brake-pads.thickness", "front-axle.brake-pads.contamination"}),
    ("Front brakes. The caliper is mounted tight, no fluid leaking, no cracks in it.", {"front-axle.brake-caliper.secure", "front-axle.brake-caliper.leak", "front-axle.brake-caliper.undamaged"}),
    ("Rear axle. Brake hoses back here, no cracks, no leaks, couplings tight.", {"rear-axle.brake-hoses.undamaged", "rear-axle.brake-hoses.leak", "rear-axle.brake-hoses.secure"}),
]  # fmt: skip


@pytest.mark.parametrize(("line", "says"), LINES)
def test_hydraulic_parts(line: str, says: set[str], hydraulic: Checklist) -> None:
    findings = heard(line, checklist=hydraulic)
    assert (earned(findings), wrong(findings)) == (says, set())


COACH_LINES = [
    ("Walking up to the coach, she's sitting level, no lean, and I don't hear any air leaking out of the suspension.", {"front.coach-level.level", "front.coach-level.leak"}),
    ("Back at the engine, engine doors aren't bent and they latch tight.", {"engine.engine-doors.undamaged", "engine.engine-doors.latches"}),
    ("Left side. Baggage doors, not damaged, they open and close fine and latch.", {f"left-side.baggage-doors.{short}" for short in ("undamaged", "works", "latches")}),
    ("At the entrance, kneeling system lowers the front corner and comes back up to ride height.", {"entrance.kneeling.lowers", "entrance.kneeling.raises"}),
    ("Down the aisle. Push-out windows aren't broken, work smoothly, and latch shut again.", {f"passenger.emergency-windows.{short}" for short in ("undamaged", "smooth", "latches")}),
    ("Roof hatches not cracked, open smooth, close secure.", {f"passenger.roof-hatches.{short}" for short in ("undamaged", "smooth", "latches")}),
]  # fmt: skip


@pytest.mark.parametrize(("line", "says"), COACH_LINES)
def test_coach_parts(line: str, says: set[str], coach: Checklist) -> None:
    findings = heard(line, checklist=coach)
    assert (earned(findings), wrong(findings)) == (says, set())
