"""The least expected cost there is, by exhaustive search, for problems with a handful of causes.

A problem is a set of hypotheses (which causes are there, and which of them made the complaint),
what can be looked at and what can be done. The search is dynamic programming over what is known:
what has been seen and done, as far as it bears on what is likely now. Costs are those of the
simulator and the planner: minutes of each check, minutes, parts and ride of each correction, and
handing over at the end where it was not proven. Trade order is kept in one respect: a correction is
followed by its ride before anything else. Outside before inside and safety first are not asked of
the optimum, so it may only be cheaper for it. A check is made at most once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial

import numpy as np

from diagnose.inference.terms import Floats

PROVEN = "gone"
Shares = tuple[float, float, float, float]
PERFECT_RIDE: Mapping[str, Shares] = {"gone": (1, 0, 0, 1), "same": (0, 1, 1, 0)}
"""A ride that always tells: gone once nothing is left behind the complaint."""


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """Causes that may be there together, those of them behind the complaint, and how likely."""

    causes: frozenset[str]
    behind: frozenset[str]
    chance: float


@dataclass(frozen=True, slots=True)
class Look:
    """A check: its minutes, and the chance of each result given the causes still there."""

    minutes: float
    results: Callable[[frozenset[str]], Mapping[str, float]]


@dataclass(frozen=True, slots=True)
class Work:
    """A correction: minutes with parts and ride, and the causes it puts right."""

    minutes: float
    fixes: frozenset[str]


@dataclass(frozen=True, slots=True)
class Small:
    """A problem small enough to search. `ride` is as `policy.ride_report` of a pack."""

    hypotheses: tuple[Hypothesis, ...]
    looks: Mapping[str, Look]
    works: Mapping[str, Work]
    hand_over: float
    ride: Mapping[str, Shares] = field(default_factory=lambda: PERFECT_RIDE)


class Search:
    """A problem being searched: what follows from each choice, worked out once."""

    def __init__(self, problem: Small) -> None:
        self.problem = problem
        self._results: dict[tuple[str, frozenset[str]], dict[str, Floats]] = {}
        self._reports: dict[tuple[str, frozenset[str]], dict[str, Floats]] = {}
        self._told: dict[frozenset[str], Floats] = {}
        self._known: dict[tuple[frozenset[str], frozenset[str], bytes], float] = {}

    @property
    def start(self) -> State:
        """Nothing looked at or done."""
        chances = np.array([hypothesis.chance for hypothesis in self.problem.hypotheses])
        return State(frozenset(), frozenset(), chances / chances.sum())

    def look(self, state: State, name: str) -> Iterator[Branch]:
        """Every result of a check, its chance, and the state after it."""
        key = name, state.done
        if key not in self._results:
            gone = self._gone(state.done)
            look = self.problem.looks[name]
            rows = [look.results(h.causes - gone) for h in self.problem.hypotheses]
            self._results[key] = {
                result: np.array([row[result] for row in rows]) for result in rows[0]
            }
        yield from _branches(state, self._results[key], state.looked | {name}, state.done)

    def work(self, state: State, name: str) -> Iterator[Branch]:
        """Every report of the ride after a correction, its chance, and the state after it."""
        reports = self._chances_of_reports(state.done, name)
        yield from _branches(state, reports, state.looked, state.done | {name})

    def value(self, state: State) -> float:
        """Least expected minutes from a state on.

        Choices are gone through from the one that would be cheapest if all were known after it,
        and those left are skipped once even that is dearer than what has been found.
        """
        key = state.looked, state.done, np.round(state.weights, 12).tobytes()
        if key in self._known:
            return self._known[key]
        best = self.problem.hand_over
        for bound, minutes, go in sorted(self._choices(state), key=lambda choice: choice[0]):
            if bound >= best:
                break
            best = min(best, minutes + onward(go(), self.value))
        self._known[key] = best
        return best

    def _choices(
        self, state: State
    ) -> Iterator[tuple[float, float, Callable[[], Iterator[Branch]]]]:
        """(least it can come to, its own minutes, what follows) of each check and correction."""
        told = float(state.weights @ self._if_told(state.done))
        for name, look in self.problem.looks.items():
            if name not in state.looked:
                yield look.minutes + told, look.minutes, partial(self.look, state, name)
        for name, work in self.problem.works.items():
            if name not in state.done:
                after = self._if_told(state.done | {name})
                not_gone = 1 - self._chances_of_reports(state.done, name).get(PROVEN, 0.0)
                bound = work.minutes + float(state.weights @ (not_gone * after))
                yield bound, work.minutes, partial(self.work, state, name)

    def _if_told(self, done: frozenset[str]) -> Floats:
        """Least expected minutes per hypothesis if it were known which one holds."""
        if done not in self._told:
            least = np.full(len(self.problem.hypotheses), self.problem.hand_over)
            for name, work in self.problem.works.items():
                if name not in done:
                    not_gone = 1 - self._chances_of_reports(done, name).get(PROVEN, 0.0)
                    cost = work.minutes + not_gone * self._if_told(done | {name})
                    least = np.minimum(least, cost)
            self._told[done] = least
        return self._told[done]

    def _chances_of_reports(self, done: frozenset[str], name: str) -> dict[str, Floats]:
        key = name, done
        if key not in self._reports:
            before, after = self._gone(done), self._gone(done | {name})
            columns = np.array(
                [
                    (0 if h.behind & after - before else 3)
                    if not h.behind - after
                    else (1 if h.behind & after - before else 2)
                    for h in self.problem.hypotheses
                ]
            )
            self._reports[key] = {
                report: np.array(shares)[columns] for report, shares in self.problem.ride.items()
            }
        return self._reports[key]

    def _gone(self, done: frozenset[str]) -> frozenset[str]:
        return frozenset().union(*(self.problem.works[name].fixes for name in done))


@dataclass(frozen=True, slots=True, eq=False)
class State:
    """What has been looked at and done, and the probability of each hypothesis after it."""

    looked: frozenset[str]
    done: frozenset[str]
    weights: Floats


Branch = tuple[str, float, State]


def least_cost(problem: Small) -> float:
    """Expected minutes of the best policy there is."""
    search = Search(problem)
    return search.value(search.start)


def cost_of_order(problem: Small, order: Sequence[str]) -> float:
    """Expected minutes of corrections in this order, each ridden, then handing over."""
    search = Search(problem)

    def value(state: State) -> float:
        number = len(state.done)
        if number == len(order):
            return problem.hand_over
        return problem.works[order[number]].minutes + onward(
            search.work(state, order[number]), value
        )

    return value(search.start)


def onward(branches: Iterator[Branch], value: Callable[[State], float]) -> float:
    """Expected minutes after a step; a complaint reported gone ends it."""
    return sum(chance * value(state) for result, chance, state in branches if result != PROVEN)


def _branches(
    state: State, results: Mapping[str, Floats], looked: frozenset[str], done: frozenset[str]
) -> Iterator[Branch]:
    for result, chances in results.items():
        joint = state.weights * chances
        chance = float(joint.sum())
        if chance > 0:
            yield result, chance, State(looked, done, joint / chance)
