"""What work that was not needed leaves behind now and then."""

from __future__ import annotations

from diagnose.simulation.chance import Dice
from diagnose.simulation.simulated_bike import SimulatedBike, applies
from diagnose.training.customers.guide import Guide
from diagnose.training.play.moves import Correct
from rules.rulebase import RuleBase


def left_by(
    rules: RuleBase, guide: Guide, bike: SimulatedBike, move: Correct, dice: Dice
) -> str | None:
    """The cause that unneeded work leaves on this bike, None where it does no harm.

    How often, and what work on each group of causes can leave, is the guide's.
    """
    if guide.wrong_work is None or dice.unit() >= guide.wrong_work.chance:
        return None
    meant = rules.causes[move.causes[0]]
    able = [
        cause
        for cause in guide.wrong_work.leaves.get(meant.group, ())
        if (entry := rules.causes[cause]).correction != move.correction
        and (meant.place is None or entry.place in (None, meant.place))
        and applies(entry, bike.truth.machine)
        and cause not in {*bike.truth.causes, *bike.harmed}
    ]
    return dice.choose(able) if able else None
