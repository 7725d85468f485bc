"""A trainee at work on a customer's bike: every step is theirs, and none can be taken back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from diagnose.advice.assessor import Assessor
from diagnose.advice.planning import OBSERVING, Step
from diagnose.case.events import RIDE_REPORTS, Answered, Case, Corrected, Event, Insisted
from diagnose.diagnosis import Diagnosis
from diagnose.simulation.chance import Dice
from diagnose.simulation.simulated_bike import SimulatedBike
from diagnose.training.customers.customer import Customer, walk_in
from diagnose.training.customers.guide import Guide
from diagnose.training.customers.scenario import Scenario
from diagnose.training.play.coach import Guess, GuessScore, score_guess
from diagnose.training.play.faults import Fault, Kind, faults, rides
from diagnose.training.play.hints import Hint, next_hint
from diagnose.training.play.judging import Judge, View
from diagnose.training.play.moves import (
    Correct,
    HandBack,
    HandOver,
    Move,
    Observe,
    Recheck,
    RideMove,
    move_from_json,
    move_to_json,
)
from diagnose.training.play.wrong_work import left_by
from diagnose.words.ban_words import ban_text
from rules.language.schema import Observation
from rules.problems import BadInput
from rules.yaml_source import suggest


@dataclass(frozen=True, slots=True)
class Taken:
    """A step that was taken, with what was known before it.

    `shown` marks a step that a technician did to show it. `event` is None where the move adds
    nothing to the case; `cured` is the cause that a check has put right by being made, if it has;
    `harm` the cause that work which was not needed has left. `leading` holds the likeliest causes
    of then with their probabilities; `cost` and `advised_cost` are expected minutes from then on
    with this choice and with what was advised; `loss` is what the choice threw away.
    """

    number: int
    move: Move
    shown: bool
    before: Case
    event: Event | None
    cured: str | None
    harm: str | None
    minutes: float
    cautions: tuple[str, ...]
    cautions_read: bool
    hints: tuple[Hint, ...]
    guess: Guess | None
    guess_score: GuessScore | None
    leading: tuple[tuple[str, float], ...]
    advised: Step
    advised_move: Move
    cost: float
    advised_cost: float
    loss: float
    faults: tuple[Fault, ...]

    def faults_of(self, kind: Kind) -> tuple[Fault, ...]:
        """The faults that count under one measure."""
        return tuple(fault for fault in self.faults if fault.kind == kind)

    @property
    def is_guess(self) -> bool:
        """Whether it was a correction for which nothing had been found."""
        return any(fault.is_guess for fault in self.faults)


_LEFT_OPEN = 3  # a correction, its ride and giving the bike back
SHOWN = 3
"""So many of the likeliest causes are noted before a step."""


class Encounter:
    """One case, from the customer walking in to the bike leaving.

    Steps are judged as they are taken. With `feedback` whoever leads it says after each step what
    the program would have done; where the score `counts`, nobody says what it would do next.
    Raises what `Assessor.assess` raises.
    """

    def __init__(
        self,
        assessor: Assessor,
        guide: Guide,
        scenario: Scenario,
        hints_allowed: bool = True,
        judge: Judge | None = None,
        bike: SimulatedBike | None = None,
    ) -> None:
        """`judge` and `bike` (the scenario's own, as it came) may be given by who has them."""
        self.assessor = assessor
        self.guide = guide
        self.scenario = scenario
        self.hints_allowed = hints_allowed
        self.feedback = False
        self.counts = False
        self.bike = bike or scenario.bike(assessor.rules)
        self.customer: Customer = walk_in(assessor.rules, guide, scenario, self.bike)
        events: tuple[Event, ...] = (*scenario.complaints, *self.customer.told)
        begun = Case(scenario.truth.machine, scenario.targets, events)
        self._diagnosis = Diagnosis(assessor, begun)
        self.steps: tuple[Taken, ...] = ()
        self.minutes = 0.0
        self.finished = False
        self.failed = ""
        self._judge = judge or Judge.of(assessor, guide)
        self._ridden: frozenset[str] = frozenset()
        self._view: View | None = None
        self._read: frozenset[Move] = frozenset()
        self._hints: tuple[Hint, ...] = ()
        self._guess: tuple[Guess, GuessScore] | None = None
        self._start = self.view()
        self.expected_at_start = self._start.best

    @property
    def case(self) -> Case:
        """What is known in the case so far."""
        return self._diagnosis.case

    def view(self) -> View:
        """What is made of the case now. A trainee sees it only in coach mode."""
        if self._view is None or self._view.case is not self.case:
            self._view = self._judge.view(self._diagnosis, self.scenario.told)
        return self._view

    @property
    def proven(self) -> bool:
        """Whether the last ride after a correction reported the complaint gone."""
        return self.view().now.is_proven

    @property
    def hints(self) -> tuple[Hint, ...]:
        """The hints taken for the next step so far."""
        return self._hints

    # -- before a step ---------------------------------------------------------------------------

    def cautions(self, move: Move) -> tuple[str, ...]:
        """Ids of the cautions that stand before this move; none where only those that hold for all
        work do."""
        rules = self.assessor.rules
        match move:
            case Observe(observation=name):
                found = self._observation(name).cautions
                return () if set(found) <= self.guide.standing_cautions else found
            case Correct(correction=name):
                self._check_correction(move)
                return rules.corrections[name].cautions
            case RideMove():
                raised = [item.text for item in self.view().belief.findings.cautions]
                return tuple(dict.fromkeys([*rules.policy.ride_cautions, *raised]))
            case _:
                return ()

    def read_cautions(self, move: Move) -> None:
        """The trainee has read the cautions of a move, which counts until a step is taken."""
        self._read |= {move}

    def has_read(self, move: Move) -> bool:
        """Whether the cautions of this move were read since the last step."""
        return move in self._read

    def guess(self, guess: Guess) -> GuessScore:
        """What the trainee thinks likely before a step, held against the model's view of now."""
        scored = score_guess(self.assessor, self.view(), guess)
        self._guess = (guess, scored)
        return scored

    def hint(self) -> Hint:
        """The next hint for this step; each gives away more. Raises `BadInput` where none is."""
        if not self.hints_allowed:
            raise BadInput("there are no hints here")
        if self.finished:
            raise BadInput("the case has ended")
        hint = next_hint(self.view(), len(self._hints))
        self._hints = (*self._hints, hint)
        return hint

    # -- a step ----------------------------------------------------------------------------------

    def go_on_as_advised(self, most: int = 60) -> None:
        """Do what is advised, cautions read, until the case ends or has so many steps."""
        while not self.finished and len(self.steps) < most:
            move = self.view().advised
            self.read_cautions(move)
            self.take(move)

    def show(self, share: float) -> None:
        """Let a technician do the first steps as advised: this share of them, the first correction
        and the end of the case always left open."""
        alone = Encounter(self.assessor, self.guide, self.scenario, self.hints_allowed, self._judge)
        alone.go_on_as_advised()
        for _ in range(min(int(share * len(alone.steps)), len(alone.steps) - _LEFT_OPEN)):
            move = self.view().advised
            if isinstance(move, Correct):
                return  # naming the cause is the trainee's
            self.read_cautions(move)
            self.take(move, shown=True)

    def take(self, move: Move, *, shown: bool = False) -> Taken:
        """Make a move; one that is `shown` is a technician's. Raises `BadInput` where it cannot be
        made."""
        if self.finished:
            raise BadInput("the case has ended")
        cautions = self.cautions(move)
        self._check(move)
        view = self.view()
        read = self.has_read(move)
        minutes = view.own_minutes(move)
        if isinstance(move, HandOver) and view.is_proven:
            minutes = self.assessor.rules.policy.minutes_to_hand_over()
        guess, scored = self._guess or (None, None)
        before = self.case
        self._fail_unless_safe(view, move)
        needed = self._still_there()
        event = self._carry_out(move)
        cured = self._cured_by(event)
        harm = self._harmed_by(move, needed)
        taken = Taken(
            len(self.steps) + 1,
            move,
            shown,
            before,
            event,
            cured,
            harm,
            minutes,
            cautions,
            read,
            self._hints,
            guess,
            scored,
            tuple(view.chances.items())[:SHOWN],
            view.advice.step,
            view.advised,
            view.best + view.loss(move),
            view.best,
            view.loss(move),
            faults(view, move, bool(cautions) and not read, self._start),
        )
        self.steps = (*self.steps, taken)
        self.minutes += minutes
        self._read, self._hints, self._guess = frozenset(), (), None
        return taken

    def _check(self, move: Move) -> None:
        if isinstance(move, HandOver):
            for cause in move.causes:
                self._check_cause(cause)
        if isinstance(move, Recheck):
            standing_now = [c.rule for c in self.view().belief.findings.contradictions]
            if move.rule not in standing_now:
                raise BadInput(f"{move.rule!r} is not a contradiction that stands")

    def _observation(self, name: str) -> Observation:
        rules = self.assessor.rules
        entry = rules.observations.get(name)
        if entry is None:
            raise BadInput(
                f"{name!r} is not an observation{suggest(name, list(rules.observations))}"
            )
        if name in self.view().belief.findings.not_applicable:
            raise BadInput(f"{entry.ask!r} is not for this bike")
        return entry

    def _check_cause(self, cause: str) -> None:
        causes = self.assessor.rules.causes
        if cause not in causes:
            raise BadInput(f"{cause!r} is not a cause{suggest(cause, list(causes))}")

    def _check_correction(self, move: Correct) -> None:
        rules = self.assessor.rules
        if move.correction not in rules.corrections:
            hint = suggest(move.correction, list(rules.corrections))
            raise BadInput(f"{move.correction!r} is not a correction{hint}")
        if not move.causes:
            raise BadInput("say which cause it is meant for")
        for cause in move.causes:
            self._check_cause(cause)
            if rules.causes[cause].correction != move.correction:
                raise BadInput(f"{cause!r} is not put right by {move.correction!r}")

    def _fail_unless_safe(self, view: View, move: Move) -> None:
        """A bike known not to be safe must not be ridden, nor given back to be ridden."""
        reasons = view.advice.bans
        if reasons and (rides(view, move) or isinstance(move, HandBack)):
            not_looked = view.advice.step.kind in OBSERVING.values()
            what = (
                "It had been unsafe to ride and was not looked at again after the work"
                if not_looked
                else "It was known not to be safe to ride"
            )
            self.failed = f"{what}: {ban_text(self.assessor.rules, self.case, reasons[0])}"
            self.finished = True

    def _carry_out(self, move: Move) -> Event | None:
        event: Event | None = None
        match move:
            case Observe(observation=name):
                event = self.bike.answer(name)
            case Correct(correction=name):
                self.bike.correct(name)
                event = Corrected(name)
            case RideMove():
                view = self.view()
                # without a change since the last ride there is nothing new to report
                once_more = view.advice.step.kind == "confirm"
                asked = view.now.asked if once_more or view.now.ride_due else ()
                told = [
                    view.now.told(self.bike.ride(self._ridden, about), about) for about in asked
                ]
                if told:
                    *others, event = sorted(told, key=lambda rode: RIDE_REPORTS.index(rode.report))
                    self._diagnosis.add(*others)
                    self._ridden = self.bike.fixed | self.bike.harmed
            case Recheck(rule=rule):
                event = Insisted(rule)
            case HandOver() | HandBack():
                self.finished = True
        if event is not None:
            self._diagnosis.add(event)
        return event

    def _cured_by(self, event: Event | None) -> str | None:
        """The likeliest cause that a check has put right by being made; the work is then done."""
        if not isinstance(event, Answered) or event.observation not in self.guide.cures:
            return None
        rules = self.assessor.rules
        entry = rules.observations[event.observation]
        telling = [state for states in entry.settles.values() for state in states]
        telling = telling or [state for state in entry.states if state != entry.normal]
        if event.state not in telling:
            return None
        correction = self.guide.cures[event.observation]
        able = [c for c in self.view().chances if rules.causes[c].correction == correction]
        self.bike.correct(correction)
        self._diagnosis.add(Corrected(correction))
        return able[0] if able else None

    def _still_there(self) -> frozenset[str]:
        bike = self.bike
        return frozenset(bike.truth.causes) - bike.fixed | bike.harmed - bike.fixed

    def _harmed_by(self, move: Move, before: frozenset[str]) -> str | None:
        """What work that put nothing right has left worse, if it has."""
        if not isinstance(move, Correct) or self._still_there() != before:
            return None
        dice = Dice(self.scenario.bike_seed, "wrong work", move.correction, str(len(self.steps)))
        harm = left_by(self.assessor.rules, self.guide, self.bike, move, dice)
        if harm is not None:
            self.bike.harm(harm)
        return harm

    # -- to keep and to go on --------------------------------------------------------------------

    def log(self) -> list[dict[str, Any]]:
        """Every step as plain data, for `replay`."""
        return [
            {
                "move": move_to_json(step.move),
                "cautions_read": step.cautions_read,
                "hints": len(step.hints),
                **({"shown": True} if step.shown else {}),
                **({"guess": step.guess.to_json()} if step.guess else {}),
            }
            for step in self.steps
        ]

    @classmethod
    def replay(
        cls,
        assessor: Assessor,
        guide: Guide,
        scenario: Scenario,
        log: Sequence[Mapping[str, Any]],
        hints_allowed: bool = True,
    ) -> Encounter:
        """The encounter after the steps of a log. Raises `BadInput` for a log that does not fit."""
        encounter = cls(assessor, guide, scenario, hints_allowed)
        encounter.repeat(log)
        return encounter

    def repeat(self, log: Sequence[Mapping[str, Any]]) -> None:
        """Take the steps of a log. Raises `BadInput` for a log that does not fit."""
        for row in log:
            try:
                move = move_from_json(row["move"])
                read, hints = bool(row["cautions_read"]), int(row["hints"])
                guess = Guess.from_json(row["guess"]) if "guess" in row else None
            except (KeyError, TypeError, ValueError) as error:
                raise BadInput(f"{row!r} is not a step of a case") from error
            for _ in range(hints):
                self.hint()
            if guess is not None:
                self.guess(guess)
            if read:
                self.read_cautions(move)
            self.take(move, shown=bool(row.get("shown", False)))
