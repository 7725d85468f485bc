"""The best possible policy for the case at hand, where it can be searched."""

from __future__ import annotations

from diagnose.training.habits.optimum import Search
from diagnose.training.habits.searchable import TooLarge, small_problem
from diagnose.training.play.encounter import Encounter


def least_possible(encounter: Encounter) -> float | None:
    """Expected minutes of the best policy there is, given what the customer said.

    None where more bears on the complaint than can be searched, as in any full rule base.
    """
    truth = encounter.scenario.truth
    if truth.also:
        return None
    try:
        problem = small_problem(encounter.workshop, truth.complaint, truth.machine)
    except TooLarge:
        return None
    search = Search(problem)
    state = search.start
    for told in encounter.customer.told:
        if told.observation in problem.looks:
            heard = {result: after for result, _, after in search.look(state, told.observation)}
            state = heard[str(told.state)]
    return search.value(state)
