# ruff: noqa: E501 - one row a line, so that the tables can be read down
"""Rows on what is claimed: blanket claims, hedges, faults, numbers, voices, explanations, presence.

Truth by seeds/LABELLING.md rules 2, 3, 5, 6, 8, 9, 10 and 12. Numbers from the sources named in
docs/sources.md: 49 CFR 393.75 (b) and (c), 49 CFR 393.47 (d), state manual 5.1.14, 11.1.1, 11.1.2.
"""

from __future__ import annotations

from spoken_rows import row

LISTED = "a fault pattern that holds its own verb ('is low') counts as looked for, not as stated"

BLANKET = (
    row("good-here", "Everything looks good under here."),
    row("all-good", "All good, all secure, no problems."),
    row("at-a-place", "Front axle. Everything is tight and nothing is leaking."),
    row("all-of-this", "Engine compartment. All of this is secure, no leaks."),
    row("after-a-name", "Steering box.", "Everything looks good here."),
    row("whole-side", "On the left side, everything works and everything is clean."),
    row("good-to-go", "The whole bus is good to go, no defects."),
)  # fmt: skip

HEDGED = (
    row("one-hedge", "I think the steering box is mounted tight.", gets="front-axle.steering-box secure"),
    row("two-hedges", "I guess maybe the steering box is mounted tight."),
    row("hope", "Hopefully the steering box is mounted tight, I'm not sure."),
)  # fmt: skip

FAULTS = (
    row("leaking", "The steering box is leaking.", against="front-axle.steering-box leak"),
    row("one-good-one-bad", "Steering box is mounted tight, but there is a leak.", gets="front-axle.steering-box secure", against="front-axle.steering-box leak"),
    row("one-of-them", "One of the power steering hoses is cut.", against="front-axle.steering-hoses undamaged"),
    row("does-not-work", "The horn does not work.", against="cab.horn works"),
    row("missing-kit", "In the cab. The first aid kit is missing.", against="cab.first-aid-kit present"),
    row("belt-cracked", "Engine compartment. The alternator belt is cracked.", against="engine.alternator belt"),
    row("repaired", "The steering box is leaking.", "No wait, that's wrong, the steering box is not leaking.", gets="front-axle.steering-box leak"),
    row("stated-later", "The steering box is not leaking.", "Oh wait, now the steering box is leaking.", against="front-axle.steering-box leak"),
    row("hold-on", "The steering box is not leaking.", "Hold on, the steering box is leaking.", against="front-axle.steering-box leak"),
    row("coolant-low", "Engine compartment. Coolant is low.", against="engine.coolant level", bug=LISTED),
)  # fmt: skip

# 49 CFR 393.75 (b): 4/32 in on the front wheels of a bus; (c): 2/32 in elsewhere. 49 CFR 393.47 (d):
# drum linings 3/16 in in front, 1/4 in behind. Manual 11.1.1: belt play 1/2 to 3/4 in; 11.1.2: applied
# loss 3 psi in one minute, warning by 55 psi, cut-out 120 to 140 psi; 5.1.14 (from memory): 20 to 45 psi.
NUMBERS = (
    row("front-right", "Front axle. Tread depth at least four thirty-seconds of an inch.", gets="front-axle.tyre-tread depth"),
    row("front-right-digits", "Front axle. Tread depth at least 4/32.", gets="front-axle.tyre-tread depth"),
    row("front-by-it", "Front axle. Tread depth.", "It has to be at least four thirty-seconds.", gets="front-axle.tyre-tread depth"),
    row("front-out-of-range", "Front axle. Tread depth at least two thirty-seconds of an inch.", against="front-axle.tyre-tread depth"),
    row("front-wrong-direction", "Front axle. Tread depth no more than four thirty-seconds of an inch.", against="front-axle.tyre-tread depth"),
    row("front-whole-inches", "Front axle. Tread depth at least four inches.", against="front-axle.tyre-tread depth"),
    row("front-wrong-unit", "Front axle. Tread depth at least four psi."),
    row("front-misheard", "Front axle. Tread depth at least for 30 seconds of an inch.", gets="front-axle.tyre-tread depth"),
    row("rear-misheard", "Rear axle. Tread depth at least to 30 seconds.", gets="rear-axle.tyre-tread depth"),
    row("rear-right", "Rear axle. Tread depth at least two thirty-seconds of an inch.", gets="rear-axle.tyre-tread depth"),
    row("repaired", "Front axle. Tread depth at least two thirty-seconds.", "I mean, tread depth at least four thirty-seconds.", gets="front-axle.tyre-tread depth"),
    row("right-then-wrong", "Front axle. Tread depth at least four thirty-seconds.", "I mean, tread depth at least two thirty-seconds.", against="front-axle.tyre-tread depth"),
    row("belt-play", "Alternator belt, no more than three quarters of an inch of play.", gets="engine.alternator snug"),
    row("belt-play-wrong", "Alternator belt, no more than two inches of play.", against="engine.alternator snug"),
    row("lining-front", "Front axle. Brake linings at least three sixteenths of an inch.", gets="front-axle.brake-linings thickness"),
    row("lining-rear", "Rear axle. Brake linings at least a quarter inch.", gets="rear-axle.brake-linings thickness"),
    row("lining-rear-wrong", "Rear axle. Brake linings at least an eighth of an inch.", against="rear-axle.brake-linings thickness"),
    row("oil-pressure", "In the cab. Oil pressure gauge reads 50 psi.", gets="cab.oil-pressure reading"),
    row("oil-pressure-wrong", "In the cab. Oil pressure gauge reads 200 psi.", against="cab.oil-pressure reading"),
    row("loss", "In the cab, air brake check. I press the brake pedal and hold it for one minute, and I can't lose more than three psi.", gets="air-brake.leak pedal minute loss"),
    row("loss-wrong", "In the cab, air brake check. I press the brake pedal and hold it for one minute, and I can't lose more than five psi.", gets="air-brake.leak pedal minute", against="air-brake.leak loss"),
    row("loss-wrong-direction", "In the cab, air brake check. I press the brake pedal and hold it for one minute, and it loses more than three psi.", gets="air-brake.leak pedal minute", against="air-brake.leak loss"),
    row("warning-too-late", "In the cab, air brake check. I fan the pedal until the low air buzzer comes on at 40 psi.", gets="air-brake.warning fan warns", against="air-brake.warning pressure"),
    row("pop-out-wrong", "In the cab, air brake check. The parking brake valve pops out at 60 psi.", gets="air-brake.pop-out pops", against="air-brake.pop-out pressure"),
    row("speed", "In the cab, service brake test. I drive forward at five miles an hour.", gets="cab.service-brake speed"),
    row("speed-wrong", "In the cab, service brake test. I drive forward at thirty miles an hour.", against="cab.service-brake speed"),
    row("loss-far-off", "In the cab, air brake check. I press the brake pedal and hold it for one minute, and I can't lose more than thirty psi.", gets="air-brake.leak pedal minute", against="air-brake.leak loss",
        bug="an implausible number of the step at hand is handed to another step, where it is right"),
    row("correction", "Front axle. Tread depth at least two thirty-seconds.", "Correction, tread depth at least four thirty-seconds.", gets="front-axle.tyre-tread depth"),
)  # fmt: skip

VOICES = (
    row("examiner-earns-nothing", "examiner: The steering box is secure and not leaking.", "trainee: Steering box."),
    row("examiner-spoils-nothing", "trainee: The steering box is not leaking.", "examiner: I think the steering box is leaking.", gets="front-axle.steering-box leak"),
    row("bystander", "other: The horn works.", "trainee: Okay, moving on."),
    row("examiner-only", "examiner: The horn works and the steering box is secure.", "examiner: Start when you like."),
    row("examiner-number", "trainee: Front axle. Tread depth.", "examiner: Is it four thirty-seconds?", "trainee: Yes."),
    row("unlabelled-prompt", "Tell me about the steering box, is it secure and not leaking?"),
    row("question", "Is the steering box secure?"),
    row("trainee-earns", "examiner: Go ahead with the steering.", "trainee: The steering box is secure and not leaking.", gets="front-axle.steering-box secure leak"),
)  # fmt: skip

ELSEWHERE = (
    row("old-bus", "On my old bus the steering box was secure and the hoses were not leaking."),
    row("other-number", "Last week the steering box on bus twelve was leaking."),
    row("parked-beside", "The bus next to us has no leaks at the brake chamber."),
    row("back-again", "On my old bus the steering box was leaking.", "Anyway, the steering box here is not leaking.", gets="front-axle.steering-box leak"),
    row("turns-away-late", "The steering box is secure, on my old truck the drag link was bent.", gets="front-axle.steering-box secure",
        bug="the whole utterance is made idle by the cue, also what was said before it (language.pipeline)"),
)  # fmt: skip

EXPLAINED = (
    row("if", "If the steering box leaked, you would lose steering."),
    row("if-it", "Steering box. If it came loose you could not steer."),
    row("because", "The steering box is secure, because a loose box means you lose the steering.", gets="front-axle.steering-box secure"),
    row("can", "A cracked spring can shift the axle."),
    row("when", "When a spring is cracked the axle can shift."),
    row("would", "A leak at the brake chamber would bleed off the air."),
    row("weather", "The sun is bright today. It is secure.", bug="'bright' is taken for the headlights ('brights')"),
    row("if-number", "In the cab, air brake check. I press the brake pedal and hold it for one minute.", "If it lost five psi you would have no brakes.", gets="air-brake.leak pedal minute",
        bug="a number in a supposition counts: NumberMention.idle is not set by 'if'"),
    row("thats-how", "Steering box. That's important because loose bolts are how you lose the steering."),
)  # fmt: skip

LATE = (
    row("forgot", "The steering box is secure.", "At the rear axle now. Brake drum, no cracks.", "I forgot to say, the power steering hoses are not leaking.", gets="front-axle.steering-box secure; front-axle.steering-hoses leak; rear-axle.brake-drum undamaged"),
    row("forgot-the-rest", "The steering box is secure.", "At the rear axle now. Brake drum, no cracks.", "I forgot, the steering box is not leaking.", gets="front-axle.steering-box secure leak; rear-axle.brake-drum undamaged"),
    row("forgot-a-fault", "The steering box is secure.", "At the rear axle now. Brake drum, no cracks.", "I forgot, the steering box is leaking.", gets="front-axle.steering-box secure; rear-axle.brake-drum undamaged", against="front-axle.steering-box leak"),
    row("two-late-lines", "The steering box is secure.", "At the rear axle now. Brake drum, no cracks.", "I forgot to say, the power steering hoses are not leaking.", "The steering box is not leaking either.", gets="front-axle.steering-box secure leak; front-axle.steering-hoses leak; rear-axle.brake-drum undamaged",
        bug="late parts count as evidence of where the trainee stands and pull the rear brake drum to the front (matching.zones)"),
)  # fmt: skip

PRESENT = (
    row("kit-named", "In the cab. Here is the first aid kit.", gets="cab.first-aid-kit present"),
    row("fuses-named", "In the cab. I have spare fuses.", gets="cab.spare-fuses present"),
    row("fuses-denied", "In the cab. I don't have any spare fuses.", against="cab.spare-fuses present"),
    row("kit-wanted", "In the cab. I still need to find the first aid kit."),
    row("kit-asked", "In the cab. Where is the first aid kit?"),
    row("extinguisher-name-is-not-enough", "In the cab. Fire extinguisher."),
    row("extinguisher", "In the cab. The fire extinguisher is charged and mounted securely.", gets="cab.fire-extinguisher charged secure"),
    row("three-triangles", "In the cab. Three reflective triangles.", gets="cab.warning-devices number"),
    row("two-triangles", "In the cab. Two reflective triangles."),
)  # fmt: skip

# manual 11.2.4: inflation by gauge; a kick or a mallet earns nothing (docs/sources.md row 1.15)
OTHER = (
    row("inflation-by-gauge", "Front axle. Tire inflation, I check it with a tire gauge.", gets="front-axle.tyre-inflation gauge"),
    row("inflation-by-mallet", "Front axle. Tire inflation, I thump it with a mallet."),
    row("hold-the-pedal", "In the cab, air brake check. I press the brake pedal, and I hold it.", gets="air-brake.leak pedal",
        bug="'hold it' also tells the parking brake (Scene.rare, condition `holds`)"),
    row("abs-lamp", "In the cab. The ABS light comes on and goes off.", gets="cab.abs-indicator lamp",
        bug="'light comes' is also the wording of the low-air warning, credited at a chance of 0.12"),
)  # fmt: skip
