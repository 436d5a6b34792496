"""Who is speaking: only the trainee earns.

Decides: from speaker labels where there are some, and from the way an examiner talks where there
are none.
Conventions: labels are compared without case; an unlabelled sentence is the trainee's unless it
plainly addresses them.
Public: `trainee_labels`, `sounds_like_examiner`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

_TRAINEE = ("trainee", "candidate", "student", "driver", "applicant", "learner")
_OTHER = (
    "examiner",
    "instructor",
    "trainer",
    "tester",
    "evaluator",
    "other",
    "teacher",
    "coach",
    "bystander",
)
_COMMANDS = {
    "show",
    "tell",
    "explain",
    "describe",
    "demonstrate",
    "continue",
    "proceed",
    "start",
    "begin",
    "walk",
    "point",
    "turn",
    "go",
    "do",
    "give",
}


def trainee_labels(labels: Iterable[str]) -> frozenset[str]:
    """The labels that mean the trainee.

    A label that says so wins; else every label that does not name another role, or, where several
    neutral labels speak, the one that speaks most.
    """
    counts = Counter(labels)
    named = [label for label in counts if label.lower().startswith(_TRAINEE)]
    if named:
        return frozenset(named)
    neutral = {label: n for label, n in counts.items() if not label.lower().startswith(_OTHER)}
    if len(neutral) <= 1:
        return frozenset(neutral)
    blank = {label for label in neutral if not label}
    spoken = [label for label in neutral if label]
    top = max(spoken, key=lambda label: (neutral[label], label))
    return frozenset({top} | blank)


def sounds_like_examiner(norms: Sequence[str], *, question: bool) -> bool:
    """True when an unlabelled sentence addresses the trainee ("go ahead and show me ...")."""
    if not norms:
        return False
    words = [
        word
        for word in norms
        if word
        not in (
            "okay",
            "alright",
            "all",
            "right",
            "now",
            "and",
            "well",
            "so",
            "um",
            "great",
            "good",
            "next",
            "please",
            "then",
            "uh",
        )
    ]
    if not words:
        return False
    text = " " + " ".join(words[:8]) + " "
    if any(
        cue in text
        for cue in (
            " go ahead",
            " tell me ",
            " show me ",
            " you may ",
            " can you ",
            " could you ",
            " would you ",
            " i'd like you ",
            " i want you ",
            " i need you ",
            " when you're ready",
            " whenever you",
            " you can start",
            " you can begin",
            " go on to ",
            " let's move on to your ",
        )
    ):
        return True
    addressed = any(word in ("you", "your", "you're") for word in words)
    if question and addressed and "i" not in words:
        return True
    return (
        words[0] in _COMMANDS and ("me" in words[:3] or "please" in norms) and "i" not in words[:4]
    )
