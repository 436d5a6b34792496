"""How complete items become points, and how points stand against the school's target.

Decides: nothing official. No licensing agency publishes the points needed for the inspection
test (49 CFR 383.135(b)(1) leaves them to an examiner manual that is not public), so the points
and the target are the school's own and say so.
Conventions: points are whole numbers; a target of 80 means 80 % of the points possible.
Public: DEFAULT, points_for, target, of_school.
"""

from __future__ import annotations

from dataclasses import replace

from walkgrade.checklists.records import Checklist
from walkgrade.grading.records import Policy, Tally, Target, TargetState

DEFAULT = Policy()


def points_for(policy: Policy, item: str) -> int:
    """Points a complete `item` is worth under `policy`, 0..100."""
    return dict(policy.item_points).get(item, policy.points_per_item)


def target(policy: Policy, totals: Tally) -> Target:
    """Compare `totals` with the target: open when doubtful items decide it."""
    needed = -(-policy.target_percent * totals.points_possible // 100)
    if not totals.points_possible:
        state = TargetState.NOTHING
    elif totals.points >= needed:
        state = TargetState.MET
    elif totals.points_if_confirmed >= needed:
        state = TargetState.OPEN
    else:
        state = TargetState.NOT_MET
    return Target(
        percent=policy.target_percent,
        points_needed=needed,
        state=state,
        owner=policy.target_owner,
    )


def of_school(policy: Policy, checklist: Checklist) -> Policy:
    """`policy` with the points and the target that the checklist itself sets, if it sets any."""
    marking = checklist.marking
    if marking is None:
        return policy
    late = policy.late_earns if marking.late_counts is None else marking.late_counts
    each = policy.points_per_item if marking.each is None else marking.each
    target = policy.target_percent if marking.target_percent is None else marking.target_percent
    return replace(
        policy,
        id=checklist.id,
        title=f"Points set by the school: {checklist.title}",
        points_per_item=each,
        item_points=tuple({**dict(policy.item_points), **dict(marking.items)}.items()),
        late_earns=late,
        target_percent=target,
    )
