# ruff: noqa: E501 - one row a line, so that the tables can be read down
"""Rows on who is meant: attachment, pronouns, sub-parts, places, carry-over.

Truth by seeds/LABELLING.md rules 1, 2, 4 and 7.
"""

from __future__ import annotations

from spoken_rows import row

MOUNTED = (
    "'mounted' opening a clause is taken for the short name of the spring mounts (language.parts)"
)
SPRING_KIN = "'springs' is widened to the spring brake chambers, whose required `secure` then wins"
BELT_NAME = (
    "a belt named by the item's own name ('water pump belt') is not seen as the sub-part belt"
)
BEAM_NAME = "'low beam' is both a name and a sub-part of the headlights; the sub-part is lost"
PLACE_MOVED = "the part in focus at the place just left outweighs the new place in resolve._pick"
TIRE_CUE = (
    "'front tire' is also a longer place cue, so that the part in it is not named (naming._in_cue)"
)

ATTACHED = (
    row("list-colon", "Pitman arm, drag link, tie rod: all tight, nothing bent.", gets="front-axle.steering-linkage secure undamaged"),
    row("condition-first", "No leaks at the power steering hoses.", gets="front-axle.steering-hoses leak"),
    row("two-conditions-first", "No cuts, no leaks on the power steering hoses.", gets="front-axle.steering-hoses leak undamaged"),
    row("or-conditions-first", "I don't see any cracks or leaks on the power steering hoses.", gets="front-axle.steering-hoses leak undamaged"),
    row("each-its-own", "The steering box is mounted tight and the power steering hoses are not leaking.", gets="front-axle.steering-box secure; front-axle.steering-hoses leak"),
    row("semicolon-parts", "Steering box: secure, no leaks; power steering hoses: not cut.", gets="front-axle.steering-box secure leak; front-axle.steering-hoses undamaged"),
    row("two-parts-share", "The steering box and the power steering hoses are not leaking.", gets="front-axle.steering-box leak; front-axle.steering-hoses leak"),
    row("summed-up", "The spring mounts aren't cracked, the steering box has no leaks, and none of them are loose.", gets="front-axle.spring-mounts undamaged secure; front-axle.steering-box leak secure"),
    row("presented-after", "Dry and bolted tight, that's the steering box.", gets="front-axle.steering-box secure leak"),
    row("set-apart-after", "Left front wheel. None missing and none loose, the lug nuts.", gets="front-axle.lug-nuts complete tight"),
    row("checked", "I'd check that the steering box is not leaking and that it is mounted securely.", gets="front-axle.steering-box secure leak"),
    row("checked-for", "Checking the steering box for leaks.", gets="front-axle.steering-box leak"),
    row("anchor-is-no-part", "The steering box is bolted tight to the frame.", gets="front-axle.steering-box secure"),
    row("one-word-many-parts", "Seat belt: mounted, adjusts, latches, not frayed.", gets="cab.safety-belt secure adjusts latches undamaged"),
    row("name-alone", "Steering box."),
    row("no-part", "Secure and not leaking."),
    row("next-part-gets-nothing", "Steering box is secure, and now the power steering hoses.", gets="front-axle.steering-box secure"),
    row("mounted-tight", "Steering box, mounted tight.", gets="front-axle.steering-box secure", bug=MOUNTED),
    row("then-its-hoses", "Steering box, mounted tight, and its hoses are not leaking.", gets="front-axle.steering-box secure; front-axle.steering-hoses leak", bug=MOUNTED),
    row("springs-not-brakes", "The springs aren't cracked and none of them are loose.", gets="front-axle.springs undamaged secure", bug=SPRING_KIN),
)  # fmt: skip

PRONOUNS = (
    row("it", "Steering box.", "It's mounted tight.", "It's not leaking.", gets="front-axle.steering-box secure leak"),
    row("they", "Power steering hoses.", "They aren't cut and they aren't leaking.", gets="front-axle.steering-hoses undamaged leak"),
    row("these", "Here are the springs and the spring mounts.", "These are not cracked.", gets="front-axle.springs undamaged; front-axle.spring-mounts undamaged"),
    row("both", "Steering box, power steering hoses.", "Both are free of leaks.", gets="front-axle.steering-box leak; front-axle.steering-hoses leak"),
    row("neither", "Steering box, power steering hoses.", "Neither one is leaking.", gets="front-axle.steering-box leak; front-axle.steering-hoses leak"),
    row("the-last-named", "The steering box is secure.", "The power steering hoses are not cut.", "And they're not leaking.", gets="front-axle.steering-box secure; front-axle.steering-hoses undamaged leak"),
    row("named-one-by-one", "Pitman arm.", "Drag link.", "Tie rod.", "All of them are tight, nothing is bent.", gets="front-axle.steering-linkage secure undamaged"),
    row("three-one-by-one", "Steering box.", "Spring mounts.", "Shock absorbers.", "All of them are tight.", gets="front-axle.steering-box secure; front-axle.spring-mounts secure; front-axle.shock-absorbers secure"),
    row("two-then-neither", "Steering box.", "Power steering hoses.", "Neither of them is leaking.", gets="front-axle.steering-box leak; front-axle.steering-hoses leak"),
    row("list-then-everything", "Steering box, spring mounts, shocks.", "Everything's tight.", gets="front-axle.steering-box secure; front-axle.spring-mounts secure; front-axle.shock-absorbers secure"),
    row("list-then-everything-here", "Steering box, spring mounts, shocks.", "Everything under here is tight."),
    row("over-a-remark", "Steering box.", "Let me put my gloves on.", "It's mounted tight.", gets="front-axle.steering-box secure"),
    row("gone-stale", "Steering box.", "Let me put my gloves on.", "It is cold out today.", "Watch your head there.", "All right, moving along.", "Where was I now.", "It is secure."),
    row("nothing-to-refer-to", "They're tight and they're not leaking."),
)  # fmt: skip

ECHOES = (
    row("so-do", "At the front of the bus.", "The amber warning lights flash alternately, and so do the reds.", gets="front.amber-warning-lamps works alternate; front.red-warning-lamps works alternate"),
    row("so-is", "On the left side the outside mirror is mounted tight, and so is the battery box.", gets="left-side.outside-mirrors secure; left-side.battery-box secure"),
    row("only-named", "At the front of the bus.", "The amber warning lights flash alternately, and then there are the red warning lights.", gets="front.amber-warning-lamps works alternate"),
)  # fmt: skip

ANNOUNCED = (
    row("thats", "Dry, bolted tight.", "That's the steering box.", gets="front-axle.steering-box secure leak"),
    row("those-are", "Not cut, not leaking.", "Those are the power steering hoses.", gets="front-axle.steering-hoses undamaged leak"),
    row("next-i-look", "Dry, bolted tight.", "Next I look at the steering box."),
    row("habit", "Bolted tight and not leaking, the steering box.", "Not cut and not leaking, the power steering hoses.", "Nothing bent, the drag link.", "Not cracked, the springs.", "Nothing missing, the spring mounts.", "Not leaking and not loose.", "Shock absorbers.",
        gets="front-axle.steering-box secure leak; front-axle.steering-hoses undamaged leak; front-axle.steering-linkage undamaged; front-axle.springs undamaged; front-axle.spring-mounts complete; front-axle.shock-absorbers secure leak"),
    row("no-habit", "The steering box is bolted tight.", "The power steering hoses are not cut.", "Not leaking and not loose.", "Shock absorbers.", gets="front-axle.steering-box secure; front-axle.steering-hoses undamaged leak secure"),
)  # fmt: skip

SUB_PARTS = (
    row("belt-not-mounting", "Alternator. The belt isn't cracked or frayed.", gets="engine.alternator belt"),
    row("mounting-not-belt", "The alternator is mounted tight.", gets="engine.alternator mounted"),
    row("cap-only", "Along the right side, the fuel tank. The cap is on tight.", gets="right-side.fuel-tank cap"),
    row("tank-only", "Along the right side, the fuel tank is mounted securely.", gets="right-side.fuel-tank secure"),
    row("tank-and-cap", "Along the right side, the fuel tank is strapped down tight, the cap is on tight, no leaks.", gets="right-side.fuel-tank secure cap leak"),
    row("terminals-only", "On the left side, the batteries. Terminals are tight, no corrosion.", gets="left-side.battery connections corrosion"),
    row("lens", "At the front of the bus, the headlights. The lenses are clean and not cracked.", gets="front.headlights lens"),
    row("arm-lights", "On the left side, the stop arm. Its lights flash.", gets="left-side.stop-arm lamps"),
    row("arm-itself", "On the left side, the stop arm is mounted securely.", gets="left-side.stop-arm secure"),
    row("belt-named-whole", "Engine compartment. Water pump belt: snug, not cracked, not frayed.", gets="engine.water-pump snug belt", bug=BELT_NAME),
    row("low-only", "At the front of the bus, the headlights. Low beams work.", gets="front.headlights low", bug=BEAM_NAME),
    row("low-works-high-dead", "At the front of the bus, the headlights. Low beams work but the high beams are burned out.", gets="front.headlights low", against="front.headlights high", bug=BEAM_NAME),
    row("clamp-before", "Front axle. The clamp on the brake chamber is tight.", gets="front-axle.brake-chamber clamp",
        bug="attach._about looks for the sub-part only after the part's name"),
)  # fmt: skip

PLACED = (
    row("front", "Down at the front axle. The brake chamber is not leaking.", gets="front-axle.brake-chamber leak"),
    row("on-the-rear-axle", "On the rear axle the brake chamber is not leaking.", gets="rear-axle.brake-chamber leak"),
    row("rear-after-the-part", "The brake chamber on the rear axle is not leaking.", gets="rear-axle.brake-chamber leak"),
    row("walked-on", "Down at the front axle. Brake drum, no cracks.", "Now the rear axle.", "Brake drum, no cracks.", gets="front-axle.brake-drum undamaged; rear-axle.brake-drum undamaged"),
    row("word-beats-walk", "Down at the front axle. Front brake drum, no cracks.", "The rear brake drum has no cracks either.", gets="front-axle.brake-drum undamaged; rear-axle.brake-drum undamaged"),
    row("left", "On the left side the reflectors are amber.", gets="left-side.reflectors colour"),
    row("right", "On the right side the reflectors are amber.", gets="right-side.reflectors colour"),
    row("front-lamps", "At the front of the bus. The turn signals work.", gets="front.turn-signals works"),
    row("rear-lamps", "At the back of the bus. The turn signals work.", gets="rear.turn-signals works"),
    row("drivers-side", "On the driver's side, outside mirror. Not cracked, mounted tight.", gets="left-side.outside-mirrors undamaged secure"),
    row("word-beats-focus", "The brake chamber on the front axle is not leaking.", "The rear chamber is leaking.", "On the front axle. The brake drum, no cracks.", gets="front-axle.brake-chamber leak; front-axle.brake-drum undamaged", against="rear-axle.brake-chamber leak",
        bug="'rear' right before the part loses against the walk and the part in focus (resolve._pick)"),
    row("front-tire", "The front tire has no cuts.", gets="front-axle.tyre-condition undamaged", bug=TIRE_CUE),
    row("rear-tire-cut", "The rear tire has a cut.", against="rear-axle.tyre-condition undamaged", bug=TIRE_CUE),
    row("place-said-just-before", "Rear axle. Tread depth at least 2/32.", "Front axle. Tread depth at least 4/32.", gets="front-axle.tyre-tread depth; rear-axle.tyre-tread depth",
        bug="the walk leaves the rear axle one sentence after 'Rear axle.' because rear brakes to front wheels counts as going on"),
    row("front-and-rear", "The front and rear brake chambers are not leaking.", gets="front-axle.brake-chamber leak; rear-axle.brake-chamber leak",
        bug="resolve._joined compares 'rear' with the overlapping cue 'rear brakes' instead of with 'front'"),
    row("mirrors-of-the-cab", "In the cab. My mirrors are clean and adjusted.", gets="cab.inside-mirrors clean adjusted",
        bug="a name widened by one word (student mirror) ties with the exact name and wins by rank"),
    row("on-is-a-place-word", "On the left side the marker lights are amber.", gets="left-side.side-marker-lamps colour",
        bug="the pattern 'light|lights =on' matches 'On ... lights' in either order"),
)  # fmt: skip

CARRIED = (
    row("allowed", "Front axle. The brake chamber is mounted tight, no cracks, not leaking.", "Now the rear axle. Brake chamber, same as the front.", gets="front-axle.brake-chamber secure undamaged leak; rear-axle.brake-chamber secure undamaged leak"),
    row("rows-of-a-group", "Front axle. The rim is not bent and no welds. The lug nuts are all there and tight.", "Now the rear axle. Same thing on the wheels.", gets="front-axle.rim undamaged welds; front-axle.lug-nuts complete tight; rear-axle.rim undamaged welds; rear-axle.lug-nuts complete tight"),
    row("another-group", "Front axle. The rim is not bent and no welds.", "Now the rear axle. Same thing on the suspension.", gets="front-axle.rim undamaged welds"),
    row("not-allowed", "Front axle. Tread depth is at least four thirty-seconds.", "Now the rear axle. The tread is the same as the front.", gets="front-axle.tyre-tread depth"),
    row("before-described", "Now the rear axle. Brake chamber, same as the front.", "Front axle. The brake chamber is mounted tight, no cracks, not leaking.", gets="front-axle.brake-chamber secure undamaged leak"),
    row("never-described", "Now the rear axle. Brake chamber, same as the front."),
    row("named-only", "Front axle. Brake chamber.", "Now the rear axle. Brake chamber, same as the front."),
    row("alone", "Same as the front."),
    row("incomplete-source", "Front axle. The brake chamber is not leaking.", "Now the rear axle. Brake chamber, same as the front.", gets="front-axle.brake-chamber leak; rear-axle.brake-chamber leak"),
    row("defect", "Front axle. The brake chamber is leaking.", "Now the rear axle. Brake chamber, same as the front.", against="front-axle.brake-chamber leak"),
    row("part-defect", "Front axle. The brake chamber is mounted tight, but it is leaking.", "Now the rear axle. Brake chamber, same as the front.", gets="front-axle.brake-chamber secure; rear-axle.brake-chamber secure", against="front-axle.brake-chamber leak"),
    row("defect-after", "Front axle. The brake drum has no cracks.", "Now the rear axle. The brake drum, same as the front.", "The rear brake drum is cracked.", gets="front-axle.brake-drum undamaged", against="rear-axle.brake-drum undamaged"),
    row("side-to-side", "On the left side the outside mirror is not cracked and mounted tight.", "On the right side the outside mirror, same as the left.", gets="left-side.outside-mirrors undamaged secure; right-side.outside-mirrors undamaged secure"),
    row("just-like", "Front axle. The brake drum has no cracks.", "On the rear axle, the brake drum, just like on the front axle.", gets="front-axle.brake-drum undamaged; rear-axle.brake-drum undamaged"),
    row("wording", "Front axle. The brake linings are not too thin and no grease on them.", "Now the rear axle. Brake linings, same as the front.", gets="front-axle.brake-linings thickness contamination; rear-axle.brake-linings thickness contamination"),
    row("brakes-by-group", "Front axle. The brake chamber is mounted tight, no cracks, not leaking.", "Now the rear axle. Same thing on the brakes back here.", gets="front-axle.brake-chamber secure undamaged leak; rear-axle.brake-chamber secure undamaged leak",
        bug="'brakes' is a name of the brake lamps; a named part keeps carry._targets from the group"),
    row("another-number", "Front axle. The brake linings are at least three sixteenths of an inch.", "Now the rear axle. Brake linings, same as the front.", gets="front-axle.brake-linings thickness",
        bug="3/16 in carries over to the rear, where 1/4 in is asked (49 CFR 393.47 (d)(1), (d)(2))"),
    row("and-more", "Front axle. The brake chamber is not leaking.", "Now the rear axle. Brake chamber, same as the front, and it's mounted tight.", gets="front-axle.brake-chamber leak; rear-axle.brake-chamber leak secure", bug=PLACE_MOVED),
)  # fmt: skip
