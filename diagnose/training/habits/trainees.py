"""Trainees that follow a simple habit, to see that scores tell good habits from bad ones."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from diagnose.simulation.chance import Dice
from diagnose.training.play.encounter import Encounter
from diagnose.training.play.moves import Correct, HandBack, HandOver, Move, Observe, RideMove

MOST_MOVES = 60
# corrections less likely to be needed than this are not tried
_WORTH_TRYING = 0.02
# after this many corrections a checklist has nothing more to say
_MOST_TRIED = 4


class Habit(Protocol):
    """Chooses what to do next, and whether to read the cautions before it."""

    def choose(self, encounter: Encounter) -> tuple[Move, bool]:
        """The next move, and whether its cautions are read."""
        ...


class AtRandom:
    """Looks here and there, changes this and that, rides when it feels like it."""

    def __init__(self, seed: int) -> None:
        self._dice = Dice(seed, "trainee at random")

    def choose(self, encounter: Encounter) -> tuple[Move, bool]:
        """Anything, as the dice say."""
        dice, rules = self._dice, encounter.assessor.rules
        if encounter.proven:
            return HandBack(), True
        at = dice.unit()
        read = dice.unit() < 0.5
        if at < 0.68:
            names = _open_observations(encounter)
            return (Observe(dice.choose(names)) if names else RideMove()), read
        if at < 0.8:
            causes = [c for c in encounter.view().chances if c in rules.causes]
            if causes:
                cause = dice.choose(causes)
                return Correct(rules.causes[cause].correction, (cause,)), read
        if at < 0.94:
            return RideMove(), read
        return HandOver(), read


class Checklist:
    """The same list for every bike, then the likeliest causes one after the other, a few."""

    def __init__(self, names: Sequence[str]) -> None:
        self._names = tuple(names)

    def choose(self, encounter: Encounter) -> tuple[Move, bool]:
        """The next of the list that is for this bike; then correct, ride, and so on."""
        move = _whatever_comes_first(encounter)
        if move is not None:
            return move, True
        view = encounter.view()
        hidden = view.belief.findings.not_applicable
        for name in self._names:
            if name not in view.now.answers and name not in hidden:
                return Observe(name), True
        if len(view.now.corrections) >= _MOST_TRIED:
            return _give_up(encounter), True
        return _likeliest_correction(encounter), True


class Likeliest:
    """Goes after the likeliest cause, whatever it costs: a check of it where there is one, else
    its correction."""

    def choose(self, encounter: Encounter) -> tuple[Move, bool]:
        """The first open check of the likeliest cause not corrected yet, or its correction."""
        move = _whatever_comes_first(encounter)
        if move is not None:
            return move, True
        view = encounter.view()
        rules = encounter.assessor.rules
        for cause, chance in view.chances.items():
            if chance < _WORTH_TRYING or rules.causes[cause].correction in view.now.corrections:
                continue
            if chance < rules.policy.settled:
                checks = encounter.assessor.model.checks[cause]
                for option in view.advice.options:
                    if option.node in checks:
                        return Observe(option.observation), True
            return Correct(rules.causes[cause].correction, (cause,)), True
        return _give_up(encounter), True


class Untested:
    """Puts the likeliest cause right at once, then the next, without any check of its own."""

    def choose(self, encounter: Encounter) -> tuple[Move, bool]:
        """The correction of the likeliest cause not corrected yet, or its ride."""
        return _whatever_comes_first(encounter) or _likeliest_correction(encounter), True


class LuckyGuess:
    """Puts the right causes right at once, untested, as if told which they are."""

    def choose(self, encounter: Encounter) -> tuple[Move, bool]:
        """The first true cause behind the complaint that is still there, or its ride."""
        move = _whatever_comes_first(encounter)
        if move is not None:
            return move, True
        rules = encounter.assessor.rules
        for cause in encounter.scenario.truth.causes:
            if cause in encounter.bike.behind - encounter.bike.fixed:
                return Correct(rules.causes[cause].correction, (cause,)), True
        return _give_up(encounter), True


class Nothing:
    """Gives the bike back as it came."""

    def choose(self, encounter: Encounter) -> tuple[Move, bool]:
        """Hand it back."""
        return HandBack(), True


class Advised:
    """Does what the program advises, save that one step in `slip_every` is a slip where given: the
    cautions unread, any check at all, or the likeliest cause put right at once."""

    def __init__(self, slip_every: int | None = None, seed: int = 0) -> None:
        self._share = 1 / slip_every if slip_every else 0.0
        self._dice = Dice(seed, "advised trainee")

    def choose(self, encounter: Encounter) -> tuple[Move, bool]:
        """The move that is advised, its cautions read; or a slip."""
        view = encounter.view()
        if self._dice.unit() >= self._share:
            return view.advised, True
        if view.advice.bans or view.is_proven:
            return view.advised, False
        slip = int(self._dice.unit() * 3)
        if slip == 1:
            return Observe(self._dice.choose(_open_observations(encounter))), True
        return (_likeliest_correction(encounter), True) if slip == 2 else (view.advised, False)


def work(encounter: Encounter, trainee: Habit) -> Encounter:
    """Let a trainee go through a case; after `MOST_MOVES` it is handed over."""
    while not encounter.finished:
        move, read = trainee.choose(encounter)
        if len(encounter.steps) >= MOST_MOVES:
            move = _give_up(encounter)
        if read:
            encounter.read_cautions(move)
        encounter.take(move)
    return encounter


def _whatever_comes_first(encounter: Encounter) -> Move | None:
    """The move for safety, a ride due or the end, which every habit makes; else None."""
    view = encounter.view()
    if view.is_proven:
        return HandBack()
    if view.advice.bans:
        return view.advised
    return RideMove() if view.now.ride_due else None


def _open_observations(encounter: Encounter) -> list[str]:
    """What is for this bike and was not looked at."""
    view = encounter.view()
    hidden = view.belief.findings.not_applicable
    names = encounter.assessor.rules.observations
    return [name for name in names if name not in hidden and name not in view.now.answers]


def _likeliest_correction(encounter: Encounter) -> Move:
    view = encounter.view()
    rules = encounter.assessor.rules
    for cause, chance in view.chances.items():
        correction = rules.causes[cause].correction
        if chance >= _WORTH_TRYING and correction not in view.now.corrections:
            return Correct(correction, (cause,))
    return _give_up(encounter)


def _give_up(encounter: Encounter) -> HandOver:
    first = next(iter(encounter.view().chances), None)
    return HandOver((first,) if first is not None else ())
