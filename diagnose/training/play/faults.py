"""What is wrong with a choice at the moment it is made, whatever comes of it.

Each fault is of one kind that counts under one measure of the guide. Doing what is advised is never
a fault, except for cautions that were not read.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from diagnose.advice.planning import OBSERVING
from diagnose.training.play.judging import View
from diagnose.training.play.moves import Correct, HandBack, HandOver, Move, Observe, RideMove
from diagnose.words.chances import percent

# minutes; a check that saves less than this over stopping is a matter of taste
_WORTH_A_CHECK = 0.5

Kind = Literal["order", "information", "closure", "cautions"]


@dataclass(frozen=True, slots=True)
class Fault:
    """Something wrong with a choice: which measure it counts under, and why in words. `is_guess`
    marks a correction for which nothing was found."""

    kind: Kind
    text: str
    is_guess: bool = False


def faults(view: View, move: Move, skipped_cautions: bool, start: View) -> tuple[Fault, ...]:
    """Everything wrong with making `move` in this state. `start` is the state the case began in:
    what would have been of use there and is not here is said to be so."""
    found = [] if view.is_advised(move) else list(_faults(view, move, start))
    if skipped_cautions:
        found.append(Fault("cautions", "The cautions of this step were not read before it."))
    return tuple(found)


def opens(view: View, move: Move) -> bool:
    """Whether the move opens a fork, a shock or the like."""
    rules = view.judge.assessor.rules
    if isinstance(move, Correct):
        return rules.corrections[move.correction].opens
    return isinstance(move, Observe) and rules.observations[move.observation].opens


def rides(view: View, move: Move) -> bool:
    """Whether somebody rides the bike."""
    if isinstance(move, Observe):
        return view.judge.assessor.rules.observations[move.observation].kind == "ride-test"
    return isinstance(move, RideMove)


def _faults(view: View, move: Move, start: View) -> Iterator[Fault]:
    yield from _order(view, move)
    if isinstance(move, Observe):
        yield from _information(view, move, start)
    if isinstance(move, Correct | HandOver | HandBack):
        yield from _closure(view, move)


def _order(view: View, move: Move) -> Iterator[Fault]:
    rules = view.judge.assessor.rules
    step = view.advice.step
    if opens(view, move):
        planner = view.judge.assessor.planner
        outside = planner.outside_still_open(view.belief, view.advice.options)
        if outside:
            title = rules.causes[outside[0]].title
            yield Fault("order", f"Inside before outside: could still be checked outside: {title}.")
    if isinstance(move, Correct):
        if view.now.ride_due:
            yield Fault("order", "Two changes at once: the last one was not ridden yet.")
        if not _spoken_for(view, move):
            why = "A guess: nothing found so far speaks for what this puts right."
            yield Fault("order", why, is_guess=True)
    if isinstance(move, RideMove) and not view.now.ride_due:
        yield Fault("order", "Nothing was changed since the last ride, so it can prove nothing.")
    if rides(view, move) and step.constraint == "safety first" and step.kind in OBSERVING.values():
        ask = rules.observations[step.target].ask
        yield Fault("order", f"A safety check comes before any ride: {ask}")


def _spoken_for(view: View, move: Correct) -> bool:
    """Whether it is likely enough, or an answer that was sought speaks for a cause that it puts
    right."""
    rules = view.judge.assessor.rules
    if view.needed(move.correction) >= rules.policy.settled or view.was_seen(move.correction):
        return True
    least = view.judge.guide.scoring.speaks_from
    meant = [c for c in view.ranking.causes if rules.causes[c.cause].correction == move.correction]
    # what a piece of evidence does takes long to work out, so only where it is asked for
    return any(
        cause.reasons.of(number)[cause.index] >= least
        for number, item in enumerate(view.belief.evidence)
        if item.kind != "complaint" and view.told.isdisjoint(item.nodes)
        for cause in meant
    )


def _information(view: View, move: Observe, start: View) -> Iterator[Fault]:
    now = view.now
    if view.completes(move):
        return
    given = now.answers.get(move.observation)
    if given is not None and now.corrected_by[move.observation] == now.corrections:
        yield Fault("information", "This was known already and nothing has changed since.")
        return
    if view.is_proven:
        yield Fault("information", "The ride had proved it; there was nothing left to find out.")
        return
    if now.ride_due:
        yield Fault("information", "A ride was due; its answer comes first.")
        return
    if view.tells_something(move.observation):
        return
    why = "None of its answers could have changed what to do next."
    if view.option(move.observation) is None:
        why = "It bears on nothing that could still be behind the complaint."
    if view is not start and start.tells_something(move.observation):
        why += " At the start it could have helped; what was found since leaves it nothing to tell."
    yield Fault("information", why)


def _closure(view: View, move: Correct | HandOver | HandBack) -> Iterator[Fault]:
    if isinstance(move, HandBack):
        yield Fault("closure", "No ride has proved it.")
        return
    if view.now.ride_due or view.is_proven:
        return
    if isinstance(move, Correct) and view.was_seen(move.correction):
        return
    settled = view.judge.assessor.rules.policy.settled
    chance = view.needed(move.correction) if isinstance(move, Correct) else view.likeliest
    saves = view.check_saves(move)
    if chance < settled and saves > _WORTH_A_CHECK:
        yield Fault(
            "closure",
            f"Settled too early: {percent(chance)} likely, and a check first was expected to save "
            f"{saves:.0f} minutes.",
        )
