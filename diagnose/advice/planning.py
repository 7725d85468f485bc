"""The next step: what lowers the expected cost of getting the bike right, within trade order.

Three constraints outrank the arithmetic, and the step says so: safety first; outside before inside
(nothing that opens a fork or shock while an unchecked outside cause could still explain it); one
change at a time, then a confirming ride, save that settings found off are all set before one ride.
What is settled is put right cheapest first. Source: common workshop practice.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from diagnose.advice.means import OUT_OF_REACH, Means
from diagnose.advice.pricing import Option, Outlook, Plan, Pricer, chance_of_any, mended_by
from diagnose.advice.reasons import (
    AlsoOff,
    AnswersClash,
    AskedFirst,
    BeforeGivingUp,
    CountedAgain,
    Dangerous,
    FoundMeanwhile,
    FoundToo,
    FoundUnsafe,
    GoesWith,
    LookAfter,
    LookAgain,
    MayClear,
    MayComeTo,
    MayForbid,
    Needed,
    NoComplaintYet,
    NotDoneHere,
    NothingFound,
    NothingPays,
    NotSafe,
    OneRideMore,
    OutsideFirst,
    Proven,
    Reason,
    RiddenSince,
    RideDue,
    SameRide,
    Saves,
)
from diagnose.case.events import Answered, Case, Corrected, Standing, standing
from diagnose.case.set_figures import figures_set_by, opposite_of, readings_since_set
from diagnose.findings.concluding import Raised, gone_stale
from diagnose.inference.answer_table import answer_table
from diagnose.inference.bans import Ban, Danger, riding_bans
from diagnose.inference.confirming import causes_by_node
from diagnose.inference.evidence import nodes_of
from diagnose.inference.found_faults import FoundFault, found_faults
from diagnose.inference.posterior import Belief, Model, nothing_left
from diagnose.inference.terms import Flags, Floats
from rules.language.conditions import alternatives, leaves, lifting_names, names_in
from rules.rulebase import RuleBase

StepKind = Literal[
    "complain", "check-again", "ask", "measure", "inspect", "ride-test", "correct", "confirm",
    "hand-over", "close",
]  # fmt: skip
Constraint = Literal["", "safety first", "outside before inside", "one change at a time"]

GUESS = 0.5
"""Work that is less likely to be needed than this is a guess (our own choice)."""
MOST_TRIES = 2
"""So often the same is put right for the sake of one ban (our own choice)."""
LAST_WORK = 0.25
"""Less likely work than this is not done for want of anything better (our own choice)."""
AGAINST = 2.0
"""A count is made again where its opposite was this many times likelier before (our own choice)."""
SETTLED_FROM, TOLD_FROM, LONGEST_TELLING = 0.1, 0.2, 5.0
"""A check of so many minutes at most goes before questions where it settles a suspect at least this
likely, or can confirm one (our own choice)."""
OBSERVING: Mapping[str, StepKind] = {
    "history": "ask",
    "question": "ask",
    "measurement": "measure",
    "inspection": "inspect",
    "ride-test": "ride-test",
}


@dataclass(frozen=True, slots=True)
class Step:
    """The next thing to do, why it is next, and what outranked the arithmetic if anything did.

    `target` is an observation, correction or rule id, by `kind`; `why` is None for a step that the
    planner did not choose. `partner` is the reading made straight after where only the two together
    tell what is asked for; its minutes come with it.
    """

    kind: StepKind
    target: str
    why: Reason | None
    minutes: float
    constraint: Constraint = ""
    partner: str = ""


@dataclass(frozen=True, slots=True)
class Advice:
    """The next step, the plan it belongs to, what else could be found out, why the bike must not be
    ridden, and the outlook that all of it was made from, where one was looked at."""

    step: Step
    plan: Plan
    options: tuple[Option, ...] = ()
    bans: tuple[Ban, ...] = ()
    outlook: Outlook | None = None


@dataclass(frozen=True, slots=True)
class _Situation:
    """What one choice of a step looks at; `beyond` is what `beyond_here` says of it."""

    belief: Belief
    now: Standing
    means: Means
    outlook: Outlook
    plan: Plan
    options: tuple[Option, ...]
    bans: tuple[Ban, ...]
    beyond: tuple[str, float] | None


class Planner:
    """Chooses steps for one pack."""

    def __init__(self, model: Model) -> None:
        self._model = model
        self._rules = model.rules
        self._pricer = Pricer(model)
        causes = [self._rules.causes[key] for key in model.network.causes]
        self._inside = np.array([cause.inside for cause in causes])
        self._checks = model.checks
        self._shown_on = causes_by_node(self._rules)
        self._confirms = model.confirms
        self._dangers = self._dangers_confirmed()
        self._forbids = self._states_that_forbid()

    def _dangers_confirmed(self) -> dict[str, Flags]:
        """Node -> flags of the unsafe causes that it can confirm, where there are any."""
        dangers: dict[str, Flags] = {}
        for node, causes in self._confirms.items():
            shown = np.zeros_like(self._model.unsafe)
            shown[[self._model.network.cause_index[cause] for cause in causes]] = True
            if (shown & self._model.unsafe).any():
                dangers[node] = shown & self._model.unsafe
        return dangers

    def _states_that_forbid(self) -> dict[str, set[int]]:
        """Node -> its states that forbid riding by themselves, where there are any."""
        found: dict[str, set[int]] = {}
        for rule in self._rules.rules.values():
            if rule.then.do_not_ride is not None:
                for leaf in alternatives(rule.when):
                    if leaf.fact is not None and leaf.fact in self._rules.nodes:
                        states = self._rules.nodes[leaf.fact].states
                        found.setdefault(leaf.fact, set()).update(map(states.index, leaf.is_))
        return found

    def advise(self, belief: Belief) -> Advice:
        """What to do now. There is always a next step."""
        now = standing(belief.case)
        means = Means(self._rules, now)
        outlook = self._pricer.outlook(belief, now, means)
        plan = self._pricer.plan(outlook)
        bans = riding_bans(self._model, belief)
        if not now.complaints:
            return Advice(Step("complain", "", NoComplaintYet(), 0.5), plan, (), bans)
        if now.is_proven and not bans:
            return self._closing(outlook)
        options = tuple(self._pricer.options(belief, outlook, plan.expected_minutes))
        beyond = beyond_here(self._model, belief)
        situation = _Situation(belief, now, means, outlook, plan, options, bans, beyond)
        step = (
            self._check_again(situation)
            or self._safety(situation)
            or self._confirm(situation)
            or self._asked_first(situation)
            or self._cheapest(situation)
        )
        gives_up = step.kind == "hand-over" or isinstance(step.why, BeforeGivingUp)
        if gives_up and now.ride_due and not bans:
            step = self._ride_to_prove(situation)
        if step.kind == "hand-over":
            step = self._not_given_up(situation) or step
        if step.kind == "correct":
            step = self._count_again(belief, step.target) or step
        if step.kind in ("correct", "confirm", "ride-test"):
            step = self._look_at_the_work(situation) or step
        if step.kind in ("confirm", "ride-test"):
            step = self._look_before_the_ride(situation) or step
        step = self._look_on_its_way(situation, step) or step
        return Advice(step, plan, options, bans, outlook)

    def cautions(self, belief: Belief, step: Step) -> tuple[str, ...]:
        """What rules caution against and no correction has dealt with since; beside what is only
        found out no more than the latest answer has raised."""
        now = standing(belief.case)
        latest = list(now.answers)[-1:]
        found: dict[str, None] = {}
        for raised in belief.findings.cautions:
            inputs = self._observations_of(raised.rule)
            is_over = any(self._dealt_with(name, now) for name in inputs if name in now.answers)
            if raised.text in self._rules.policy.carry_cautions:
                is_over = is_over or step.kind in ("confirm", "close") or self._gone(raised, now)
            finds_out = step.kind in OBSERVING.values()
            if not is_over and not (finds_out and set(latest).isdisjoint(inputs)):
                found[raised.text] = None
        return tuple(found)

    def _count_again(self, belief: Belief, correction: str) -> Step | None:
        """Once more the count that calls for a correction, where the opposite was likelier by all
        else that is known: it may be from the wrong end. A count made twice stands."""
        index = self._model.network.cause_index
        for fault in found_faults(self._model, belief):
            name, cause = fault.shown_by.key, fault.cause
            entry = self._rules.observations.get(name)
            if entry is None or entry.counted is None or fault.put_right:
                continue
            if self._rules.causes[cause].correction != correction:
                continue
            if readings_since_set(self._rules, belief.case, name) > 1:
                continue
            others = [item for item in belief.evidence if item is not fault.shown_by]
            marginal = self._model.weigh(others, belief.applies).marginal
            against = {one: marginal[index[one]] for one in opposite_of(self._rules, cause)}
            likeliest = max(against, key=lambda one: (against[one], one), default="")
            if likeliest and against[likeliest] >= AGAINST * marginal[index[cause]]:
                return self._look_at(name, CountedAgain(name, cause, likeliest), "")
        return None

    def _look_before_the_ride(self, at: _Situation) -> Step | None:
        """What is looked at at the latest before a ride, and what once more after the work."""
        if at.now.is_ridden and at.now.ride_due:
            return None
        return self._danger_once_more(at.belief.case, at.now) or self._due_before_a_ride(at)

    def _danger_once_more(self, case: Case, now: Standing) -> Step | None:
        """One more short look at a danger that was seen, or came near, before the work that had to
        be done first or the work on what it shows."""
        seen = {(e.observation, e.state) for e in case.events if isinstance(e, Answered)}
        for name, rule in self._rules.rules.items():
            for leaf, _ in leaves(rule.when) if rule.then.until else ():
                entry = self._rules.observations.get(leaf.fact or "")
                if entry is None or not entry.safety or leaf.fact is None:
                    continue
                if entry.opens or entry.minutes > LONGEST_TELLING:
                    continue
                if seen.isdisjoint((leaf.fact, state) for state in list(entry.states)[1:]):
                    continue
                mends = {self._rules.causes[cause].correction for cause in entry.settles}
                if not {*rule.then.until, *mends}.isdisjoint(now.done_since(leaf.fact)):
                    return self._look_at(leaf.fact, LookAgain(name), "safety first")
        return None

    def _look_at_the_work(self, at: _Situation) -> Step | None:
        """The look that shows whether work done since the latest ride has helped."""
        for work, name in self._shown_after(at.now):
            if name not in at.now.answers or work in at.now.done_since(name):
                return self._look_at(name, LookAfter(work), "safety first" if at.bans else "")
        return None

    def _shown_after(self, now: Standing) -> Iterator[tuple[str, str]]:
        """(correction, observation made once it is done) for the work since the latest ride."""
        ridden = now.rides[-1].corrected if now.rides else ()
        for work in now.corrections[len(ridden) :]:
            for name in self._rules.corrections[work].look_after:
                yield work, name

    def _has_not_helped(self, now: Standing) -> bool:
        """Whether a look at what was done since the latest ride still finds it wrong."""
        for _, name in self._shown_after(now):
            answer = now.answers.get(name)
            if answer is None or answer.state is None or now.done_since(name):
                continue
            if answer.state != self._rules.observations[name].normal:
                return True
        return False

    def _due_before_a_ride(self, at: _Situation) -> Step | None:
        """The likeliest suspect that the list to go through before a ride would show, where that
        was not looked at: nobody rides to find out what can be read standing still."""
        marginal, index = at.belief.open_marginal, self._model.network.cause_index
        listed = {check.note for check in self._rules.before_ride.values()}
        found = [
            (float(marginal[index[cause]]), self._rules.causes[cause].correction, option)
            for option in at.options
            if option.node in listed and option.observation == option.node
            for cause in self._rules.observations[option.node].settles
            if marginal[index[cause]] >= self._rules.policy.outside_floor
        ]
        if not found:
            return None
        chance, correction, option = max(found, key=lambda one: (one[0], one[2].node))
        return self._observe(at, option, MayComeTo(correction, chance))

    def _look_on_its_way(self, at: _Situation, step: Step) -> Step | None:
        """Before work that opens nothing, or a long check that is part of it: the short look that
        it makes on its way, where that may show that other work is needed instead. It costs nothing
        where the work goes on."""
        found: dict[Option, tuple[float, str]] = {}
        for key, work in self._rules.corrections.items():
            is_made = step.target == key if step.kind == "correct" else step.target in work.makes
            if not is_made or work.opens or step.minutes <= LONGEST_TELLING:
                continue
            for option in at.options:
                if option.node in work.makes and self._is_short_look(option):
                    found[option] = max(self._others_shown_by(at, option, key), default=(0.0, ""))
        best = _likeliest({option: chance for option, (chance, _) in found.items()})
        if best is None or found[best][0] < self._rules.policy.outside_floor:
            return None
        chance, other = found[best]
        return self._observe(at, best, MayComeTo(other, chance), step.constraint)

    def _is_short_look(self, option: Option) -> bool:
        entry = self._rules.observations[option.observation]
        is_short = option.node == option.observation and entry.minutes <= LONGEST_TELLING
        return is_short and not entry.opens and not takes_a_ride(self._rules, option.observation)

    def _others_shown_by(
        self, at: _Situation, option: Option, work: str
    ) -> Iterator[tuple[float, str]]:
        """What else than this work a look may call for, as (chance, correction)."""
        index = self._model.network.cause_index
        for cause in self._confirms.get(option.node, ()):
            correction = self._rules.causes[cause].correction
            if correction != work:
                yield float(at.belief.open_marginal[index[cause]]), correction

    def _gone(self, raised: Raised, now: Standing) -> bool:
        """Whether the complaints that a rule looks at were there and no ride reports them now."""
        looked_at = set(names_in(self._rules.rules[raised.rule].when))
        told = [one for one in now.complaints if looked_at & set(nodes_of(self._rules, one))]
        return bool(told) and not set(told) & set(now.still_felt)

    def _dealt_with(self, observation: str, now: Standing) -> bool:
        """Whether something it shows has been put right since it was looked at."""
        since = now.done_since(observation)
        shown = self._shown_on.get(observation, frozenset())
        return any(self._rules.causes[cause].correction in since for cause in shown)

    # -- what outranks the arithmetic ------------------------------------------------------------

    def _closing(self, outlook: Outlook) -> Advice:
        """What is left once every complaint is gone: other faults that were found, then nothing."""
        if not outlook.found:
            return Advice(Step("close", "", Proven(), 1.0), Plan((), (), 0.0))
        names = tuple(outlook.corrections[number] for number in outlook.found)
        chances = tuple(float(outlook.needed[number]) for number in outlook.found)
        fees = float(outlook.fees[list(outlook.found)].sum())
        minutes = self._rules.corrections[names[0]].minutes
        return Advice(
            Step("correct", names[0], FoundToo(minutes), minutes), Plan(names, chances, fees)
        )

    def _check_again(self, at: _Situation) -> Step | None:
        """Answers that do not fit: first the one that is likeliest to be wrong for the minutes it
        takes, times the clashes that it would settle. None is given again by riding while that is
        forbidden."""
        found = at.belief.findings.contradictions
        if at.bans:
            shut = (
                replace(clash, check=tuple(n for n in clash.check if not self._is_ridden(n)))
                for clash in found
            )
            found = tuple(clash for clash in shut if clash.check)
        clashes = [clash for clash in found if clash.rule not in at.now.insisted]
        if not clashes:
            return None
        policy = self._rules.policy

        def worth(name: str) -> float:
            entry = self._rules.observations[name]
            wrong = 1 - policy.reading_trust[entry.kind]
            settles = sum(name in clash.check for clash in clashes)
            return settles * wrong / (entry.minutes + policy.attention_minutes)

        first = max((name for clash in clashes for name in clash.check), key=worth)
        clash = next(clash for clash in clashes if first in clash.check)
        check = tuple(sorted(clash.check, key=worth, reverse=True))
        minutes = self._rules.observations[first].minutes
        return Step("check-again", clash.rule, AnswersClash(clash.rule, check), minutes)

    def _safety(self, at: _Situation) -> Step | None:
        """A standing do-not-ride, or a check for something dangerous that is likely enough. What
        else is looked at for danger before a ride is looked at before the work, not after it."""
        match next(iter(at.bans), None):
            case Raised(rule=rule):
                step, shown = self._make_safe(at, rule), self._observations_of(rule)
            case FoundFault(cause=cause, shown_by=item):
                step, shown = self._put_right_now(at, cause, FoundUnsafe(cause)), [item.key]
            case Danger() as danger:
                look = self._other_half(at) or self._check_for_danger(at)
                return look or self._likely_danger(at, danger)
            case None:
                return self._other_half(at) or self._check_for_danger(at)
        if step.kind != "correct":
            return step
        return self._other_danger(at, shown) or step

    def _other_danger(self, at: _Situation, shown: Collection[str]) -> Step | None:
        """The short look for a danger that has nothing to do with what these observations show; the
        rest waits for the next look at those, after the work."""
        index, marginal = self._model.network.cause_index, at.belief.open_marginal.copy()
        marginal[[index[c] for name in shown for c in self._shown_on.get(name, ())]] = 0.0
        minutes = {o: self._rules.observations[o.observation].minutes for o in at.options}
        short = [option for option in at.options if minutes[option] <= LONGEST_TELLING]
        return self._dangerous(at, short, marginal)

    def _check_for_danger(self, at: _Situation) -> Step | None:
        """The check likeliest to show an unsafe cause, else a state that forbids riding, where that
        is likely enough. Before a long one comes a short question or look that may spare it."""
        look = self._dangerous(at, at.options, at.belief.open_marginal)
        if look is not None:
            return look
        looks = [option for option in at.options if self._looks_for_danger(option)]
        forbidden = self._chance_forbidden(at.belief, looks)
        best = _likeliest(forbidden)
        if best is not None and forbidden[best] >= self._rules.policy.look_from:
            return self._observe(at, best, MayForbid(forbidden[best]), "safety first")
        return None

    def _dangerous(self, at: _Situation, options: Sequence[Option], chances: Floats) -> Step | None:
        """Of these looks the likeliest to show an unsafe cause, by these chances of each cause,
        where that is likely enough."""
        together = {
            option: float(1 - np.prod(1 - chances[self._dangers[option.node]]))
            for option in options
            if option.node in self._dangers and self._looks_for_danger(option)
        }
        best = _likeliest(together)
        if best is None or together[best] < self._rules.policy.safety_floor:
            return None
        likeliest = int(np.argmax(np.where(self._dangers[best.node], chances, 0.0)))
        cause = self._model.network.causes[likeliest]
        why = Dangerous(cause, float(chances[likeliest]), together[best])
        shorter = self._may_spare(at, best)
        if shorter is not None:
            return self._observe(at, shorter, MayClear(best.observation), "safety first")
        return self._observe(at, best, why, "safety first")

    def _looks_for_danger(self, option: Option) -> bool:
        """Whether what it leads to is looked at for safety; a figure may have to be looked up
        first."""
        observations = self._rules.observations
        return (observations.get(option.node) or observations[option.observation]).safety

    def _may_spare(self, at: _Situation, look: Option) -> Option | None:
        """The short question or look, made standing still, that is worth most by the minutes of a
        long look for danger that it likely leaves too unlikely to be called for."""
        if self._rules.observations[look.observation].minutes <= LONGEST_TELLING:
            return None
        dangers = self._dangers[look.node] & at.belief.matters
        names = {self._model.network.causes[n] for n in np.flatnonzero(dangers)}
        able = [
            option
            for option in at.options
            if option.node == option.observation
            and self._rules.observations[option.node].minutes <= LONGEST_TELLING
            and not self._opens(option)
            and not takes_a_ride(self._rules, option.node)
            and names & self._shown_on[option.node]
        ]
        table = answer_table(self._model.network, at.belief, [option.node for option in able])
        left = 1 - np.prod(1 - table.causes[:, dangers], axis=1)
        cleared = np.where(left < self._rules.policy.safety_floor, table.chance, 0.0)
        spared = np.bincount(table.owner, weights=cleared, minlength=len(able))
        worth = {
            option: at.means.chance(option.node) * float(chance) * look.minutes - option.minutes
            for option, chance in zip(able, spared, strict=True)
            if chance >= GUESS
        }
        best = _likeliest(worth)
        return best if best is not None and worth[best] > 0 else None

    def _chance_forbidden(self, belief: Belief, looks: Sequence[Option]) -> dict[Option, float]:
        """The chance that a look shows a state that forbids riding, where it can."""
        able = [option for option in looks if option.node in self._forbids]
        table = answer_table(self._model.network, belief, [option.node for option in able])
        chances = dict.fromkeys(able, 0.0)
        for owner, state, chance in zip(table.owner, table.state, table.chance, strict=True):
            if int(state) in self._forbids[able[owner].node]:
                chances[able[owner]] += float(chance)
        return chances

    def _likely_danger(self, at: _Situation, danger: Danger) -> Step:
        """Danger that is too likely to ride with, where no check is left that could tell."""
        likeliest = danger.causes[0]
        marginal = at.belief.open_marginal[self._model.network.cause_index[likeliest]]
        return self._put_right_now(
            at, likeliest, Dangerous(likeliest, float(marginal), danger.chance)
        )

    def _put_right_now(self, at: _Situation, cause: str, why: Reason) -> Step:
        """Put an unsafe cause right, or hand over where that cannot be done here."""
        name = self._rules.causes[cause].correction
        if not at.means.does(name):
            return Step("hand-over", "", why, at.means.minutes_to_hand_over, "safety first")
        return Step("correct", name, why, self._rules.corrections[name].minutes, "safety first")

    def _make_safe(self, at: _Situation, rule: str) -> Step:
        """Look at what may lift a do-not-ride; else put right what is behind it and look again.
        What stands until certain work is done is lifted by no look."""
        until = self._rules.rules[rule].then.until
        look = None if until else self._look_before_riding(at, rule)
        if look is not None:
            return look
        inputs = self._observations_of(rule)
        unknown = bool(at.now.corrections) and not at.now.known_before.keys().isdisjoint(inputs)
        unseen = unknown and not until
        beyond = at.beyond[0] if at.beyond is not None else ""
        why = NotSafe(rule, unseen, "" if until and beyond not in until else beyond)
        if unseen or self._is_for_others(at, inputs, until):
            behind: Mapping[str, float] = {}
        else:
            behind = self._mending(at, until) if until else self._behind(at, inputs)
        if not behind:
            handed_over = Step("hand-over", "", why, at.means.minutes_to_hand_over, "safety first")
            return self._found_off_the_road(at) or handed_over
        likeliest = max(behind, key=lambda cause: (behind[cause], cause))
        mend = self._put_right_now(at, likeliest, why)
        check = self._tells_apart(at, behind)
        if check is not None and check.minutes < (1 - behind[likeliest]) * mend.minutes:
            return self._observe(at, check, why, "safety first")
        return mend

    def _look_before_riding(self, at: _Situation, rule: str) -> Step | None:
        """The look that may lift a do-not-ride, or that is due again after a ride or work."""
        lifting = set(lifting_names(self._rules.rules[rule].when))
        for option in at.options:
            if option.observation in lifting:
                return self._observe(at, option, NotSafe(rule, unseen=False), "safety first")
        for name in sorted(lifting & gone_stale(self._rules, at.now)):
            return self._look_at(name, RiddenSince(rule), "safety first")
        for name in sorted(lifting & self._rules.observations.keys() - at.now.answers.keys()):
            # it may bear on no complaint, but nobody rides before it was looked at
            reach = at.means.chance(name) >= OUT_OF_REACH
            if reach and name not in at.belief.findings.not_applicable:
                return self._look_at(name, NotSafe(rule, unseen=False), "safety first")
        for name in self._observations_of(rule):
            dealt_with = name in at.now.answers and self._dealt_with(name, at.now)
            if dealt_with and not self._is_ridden(name):
                return self._look_at(name, LookAgain(rule), "safety first")
        return None

    def _is_ridden(self, observation: str) -> bool:
        """Whether the answer itself is found by riding; what looks for a danger is looked at before
        the ride that follows it."""
        is_safety = self._rules.observations[observation].safety
        return takes_a_ride(self._rules, observation) and not is_safety

    def _mending(self, at: _Situation, work: Collection[str]) -> dict[str, float]:
        """What is put right here by one of some corrections, with its chance: what has not been
        tried first, and nothing more than twice."""
        times = Counter(at.now.corrections)
        able = {
            cause: chance
            for cause, chance in self._can_be_mended(at).items()
            if self._rules.causes[cause].correction in work
        }
        fewest = min((times[self._rules.causes[cause].correction] for cause in able), default=0)
        return {
            cause: chance
            for cause, chance in able.items()
            if times[self._rules.causes[cause].correction] == fewest < MOST_TRIES
        }

    def _behind(self, at: _Situation, inputs: Sequence[str]) -> dict[str, float]:
        """What is behind these observations and is put right here, with its chance: what they
        confirm, and what feeds that where it came back, or first where only that can give something
        that is still felt. The same is put right twice at most."""
        able = self._can_be_mended(at)
        times = Counter(at.now.corrections)
        tried = {cause: times[self._rules.causes[cause].correction] for cause in able}
        confirmed = [cause for cause in able if self._checks[cause] & set(inputs)]
        feeding = [
            cause
            for cause in able
            if cause not in confirmed
            and any(cause in self._shown_on.get(name, ()) for name in inputs)
        ]
        index = self._model.network.cause_index
        felt = [
            self._model.network.touches(nodes_of(self._rules, one)) for one in at.now.still_felt
        ]
        is_fed = any(
            given[[index[cause] for cause in feeding]].any()
            and not given[[index[cause] for cause in confirmed]].any()
            for given in felt
        )
        for group in (feeding, confirmed) if is_fed else (confirmed, feeding):
            untried = {cause: able[cause] for cause in group if not tried[cause]}
            if untried:
                return untried
        return {cause: able[cause] for cause in confirmed if tried[cause] < MOST_TRIES}

    def _can_be_mended(self, at: _Situation) -> dict[str, float]:
        """The causes that may be there and are put right here, with their chances; what everything
        else speaks against is not put right on one look."""
        marginal = at.belief.marginal
        return {
            cause: float(marginal[index])
            for index, cause in enumerate(self._model.network.causes)
            if marginal[index] >= self._rules.policy.outside_floor
            and not at.belief.gone[index]
            and at.means.does(self._rules.causes[cause].correction)
        }

    def _found_off_the_road(self, at: _Situation) -> Step | None:
        """The cheapest of what was found and is put right here, while nobody may ride; not what is
        back at once while the other work that a do-not-ride waits for is not done."""
        lost = {
            self._rules.causes[cause].correction
            for ban in at.bans
            if isinstance(ban, Raised) and (until := self._rules.rules[ban.rule].then.until)
            for name in self._observations_of(ban.rule)
            for cause in self._rules.observations[name].settles
            if self._rules.causes[cause].correction not in until
        }
        for number in at.outlook.found:
            name, chance = at.outlook.corrections[number], float(at.outlook.needed[number])
            if name not in at.now.corrections and name not in lost:
                minutes = self._rules.corrections[name].minutes
                return Step("correct", name, FoundMeanwhile(chance, minutes), minutes)
        return None

    def _is_for_others(self, at: _Situation, inputs: Sequence[str], until: Collection[str]) -> bool:
        """Whether what these observations show needs, as good as surely, work that is not done
        here; `until` is the work that is called for, where it is said."""
        if until:
            return at.beyond is not None and at.beyond[0] in until
        return at.beyond is not None and any(
            self._checks[cause] & set(inputs)
            for cause in self._model.network.causes
            if self._rules.causes[cause].correction == at.beyond[0]
        )

    def _tells_apart(self, at: _Situation, causes: Mapping[str, float]) -> Option | None:
        """The open check that tells most per minute about which of these causes it is, done without
        riding."""

        def worth(option: Option) -> float:
            chances = (causes[c] for c in self._confirms.get(option.node, ()) if c in causes)
            return sum(chance * (1 - chance) for chance in chances) / option.minutes

        standing_still = (
            option for option in at.options if not takes_a_ride(self._rules, option.observation)
        )
        return max((o for o in standing_still if worth(o) > 0), key=worth, default=None)

    def _observations_of(self, rule: str) -> list[str]:
        return self._pricer.observations_behind(names_in(self._rules.rules[rule].when))

    def _confirm(self, at: _Situation) -> Step | None:
        if not at.now.ride_due or self._has_not_helped(at.now):
            return None
        return self._ride_to_prove(at)

    def _ride_to_prove(self, at: _Situation) -> Step:
        """The ride after work, once all settings that were found off are set."""
        setting = self._another_setting(at)
        if setting is not None:
            return setting
        last = at.now.corrections[-1]
        if at.now.is_ridden:
            return Step("confirm", last, SameRide(), 0.0)
        minutes = self._rules.policy.ride_minutes
        return Step("confirm", last, RideDue(), minutes, "one change at a time")

    def _another_setting(self, at: _Situation) -> Step | None:
        """The cheapest other setting that was found off, where nothing but settings has been
        changed since the latest ride."""
        ridden = at.now.rides[-1].corrected if at.now.rides else ()
        changed = at.now.corrections[len(ridden) :]
        if not all(self._rules.corrections[name].setting for name in changed):
            return None
        for number in at.outlook.found:
            name = at.outlook.corrections[number]
            if self._rules.corrections[name].setting:
                entry, chance = self._rules.corrections[name], float(at.outlook.needed[number])
                return Step("correct", name, AlsoOff(chance, entry.minutes), entry.minutes)
        return None

    def _asked_first(self, at: _Situation) -> Step | None:
        """What the pack asks first of a complaint that is still felt, about the end it is felt
        at, unless something is settled and can be put right."""
        if at.outlook.settled:
            return None
        open_still = {option.observation: option for option in at.options}
        for felt in at.now.still_felt:
            for name in self._rules.complaints[felt.complaint].ask_first:
                place = self._rules.observations[name].place
                if name in open_still and (None in (place, felt.place) or place == felt.place):
                    return self._observe(at, open_still[name], AskedFirst(felt.complaint))
        return None

    # -- what the arithmetic picks ---------------------------------------------------------------

    def _cheapest(self, at: _Situation) -> Step:
        """What the arithmetic picks, unless that opens something too early."""
        free = self._pick(at, at.options)
        blocking = self.outside_still_open(at.belief, at.options)
        if not (blocking and self._step_opens(free)):
            return free
        shut = [o for o in at.options if not self._opens(o)]
        checks = [o for o in shut if any(o.node in self._checks[c] for c in blocking)]
        is_settled = isinstance(free.why, Needed) and free.why.settled
        if is_settled and not self._doubting(at, free.target, checks):
            # it is opened for in any case, but a gauge on the tyre comes first all the same
            checks = [o for o in checks if self._rules.observations[o.observation].early]
            if not checks:
                return free
            held = free
        else:
            held = self._pick(at, shut)
        if self._step_opens(held):
            held = self._observe(at, max(checks, key=_by_net), None)
        why = OutsideFirst(blocking[0], held.why)
        return replace(held, why=why, constraint="outside before inside")

    def _doubting(self, at: _Situation, correction: str, options: Sequence[Option]) -> list[Option]:
        """Those options of which a likely enough answer would leave settled work unsettled: no
        other spares it."""
        table = answer_table(self._model.network, at.belief, [option.node for option in options])
        mended = mended_by(self._model, at.belief)[correction]
        policy = self._rules.policy
        doubted = table.causes[:, mended].max(axis=1) < policy.settled
        owners = table.owner[doubted & (table.chance >= policy.outside_floor)]
        return [options[number] for number in np.unique(owners)]

    def _pick(self, at: _Situation, options: Sequence[Option]) -> Step:
        """What is settled is put right; else the observation that saves most; else the first
        suspect of the plan is checked, or put right where no check is left."""
        if at.outlook.settled:
            return self._settled_work(at, options)
        if self._leaves_no_more_to_do(at):
            return self.hand_over(at.belief)
        _, left = self._suspects(at.belief, at.now)
        doubted = self._ride_again(at) if left < GUESS else None
        asking = doubted or self._telling(at, options) or self._worth_asking(at, options)
        if asking is not None:
            return asking
        if not at.plan.corrections:
            return (
                self._ride_again(at)
                or self._last_check(at, options)
                or self._last_work(at)
                or self.hand_over(at.belief)
            )
        return self._try_first(at, options)

    def _settled_work(self, at: _Situation, options: Sequence[Option]) -> Step:
        """The cheapest of what is settled, once it is seen where only inferred, and nothing worth
        asking could leave it unsettled."""
        cheapest = at.outlook.settled[0]
        chance = float(at.outlook.needed[cheapest])
        correction = at.outlook.corrections[cheapest]
        seeing = self._seeing_it(at, cheapest, options)
        if seeing is not None:
            return self._observe(at, seeing, MayComeTo(correction, chance))
        if cheapest not in at.outlook.found:
            worth = [option for option in options if option.net > 0]
            asking = self._worth_asking(at, self._doubting(at, correction, worth))
            if asking is not None:
                return asking
        return self._correct(correction, chance, settled=True)

    def _leaves_no_more_to_do(self, at: _Situation) -> bool:
        """Whether work that is not done here is as good as sure, can be behind all that is still
        felt, and nothing is likely besides that would be put right here."""
        if at.beyond is None:
            return False
        causes = [self._rules.causes[key] for key in self._model.network.causes]
        behind = np.array([cause.correction == at.beyond[0] for cause in causes]) & (
            at.belief.open_marginal >= self._rules.policy.outside_floor
        )
        done_here = np.array([at.means.does(cause.correction) for cause in causes])
        for felt in at.now.still_felt:
            able = self._model.network.touches(nodes_of(self._rules, felt))
            likely = at.belief.open_marginal >= SETTLED_FROM
            if not (able & behind).any() or (able & done_here & likely).any():
                return False
        return bool(at.now.still_felt)

    def _worth_asking(self, at: _Situation, options: Sequence[Option]) -> Step | None:
        best = self._best(options)
        return None if best is None else self._observe(at, best, self._why_observe(at, best))

    def _telling(self, at: _Situation, options: Sequence[Option]) -> Step | None:
        """A short check that tells by itself whether a likely suspect is there, before questions
        that move it a little; an early one first, else the one that tells most per minute."""

        def tells(option: Option, cause: str, chance: float) -> bool:
            entry = self._rules.observations.get(option.node)
            if entry is None or entry.opens or entry.minutes > LONGEST_TELLING:
                return False
            least = SETTLED_FROM if cause in entry.settles else TOLD_FROM
            return least <= chance < self._rules.policy.settled

        early = [o for o in options if self._rules.observations[o.observation].early]
        groups = early, options
        return self._settle_suspect(at, groups, tells) or self._confirm_suspect(at, groups, tells)

    def _settle_suspect(
        self,
        at: _Situation,
        groups: Sequence[Sequence[Option]],
        wanted: Callable[[Option, str, float], bool],
    ) -> Step | None:
        """The check likeliest per minute to be answered so that a suspect is settled, of the first
        group that has one `wanted` that can."""
        index, chances = self._model.network.cause_index, at.belief.open_marginal
        told = {node: chance for node, _, _, chance in at.outlook.open_nodes}
        for options in groups:
            able = list(self._confirming(at, options, chances, wanted))
            nodes = list(dict.fromkeys(option.node for option, _, _ in able))
            table = answer_table(self._model.network, at.belief, nodes)
            settles = np.where(table.causes >= self._rules.policy.settled, table.chance[:, None], 0)
            speed = {
                (option, cause, chance): float(
                    settles[table.owner == nodes.index(option.node), index[cause]].sum()
                )
                * told[option.node]
                / option.minutes
                for option, cause, chance in able
            }
            first = max(speed, key=lambda one: speed[one], default=None)
            if first is not None and speed[first] > 0:
                option, cause, chance = first
                why = MayComeTo(self._rules.causes[cause].correction, chance)
                return self._observe(at, option, why)
        return None

    def _confirm_suspect(
        self,
        at: _Situation,
        groups: Sequence[Sequence[Option]],
        wanted: Callable[[Option, str, float], bool],
    ) -> Step | None:
        """The check that can confirm most per minute, of the first group that has one `wanted`."""
        for options in groups:
            found = self._confirming_most(at, options, at.belief.open_marginal, wanted)
            if found is not None:
                option, cause, chance = found
                why = MayComeTo(self._rules.causes[cause].correction, chance)
                return self._observe(at, option, why)
        return None

    def _confirming_most(
        self,
        at: _Situation,
        options: Sequence[Option],
        chances: Floats,
        wanted: Callable[[Option, str, float], bool],
    ) -> tuple[Option, str, float] | None:
        """The check that can confirm most per minute, with what it can confirm."""
        able = self._confirming(at, options, chances, wanted)
        return max(able, key=lambda pair: pair[2] / pair[0].minutes, default=None)

    def _confirming(
        self,
        at: _Situation,
        options: Sequence[Option],
        chances: Floats,
        wanted: Callable[[Option, str, float], bool],
    ) -> Iterator[tuple[Option, str, float]]:
        """The checks `wanted`, each with what it can confirm and the chance of that. Which of
        several it is that the same sure work elsewhere puts right is of no use."""
        index = self._model.network.cause_index
        sure = "" if at.beyond is None else at.beyond[0]
        for option in options:
            for cause in self._confirms.get(option.node, ()):
                chance = float(chances[index[cause]])
                is_open = self._rules.causes[cause].correction != sure
                if is_open and wanted(option, cause, chance):
                    yield option, cause, chance

    def _try_first(self, at: _Situation, options: Sequence[Option]) -> Step:
        """The first suspect of the plan: checked, or put right where no check is left."""
        first, chance = at.plan.corrections[0], at.plan.chances[0]
        checks = self._checks_of(at, first, options)
        if checks:
            # what is seen before what is remembered
            seen = [o for o in checks if self._rules.observations[o.observation].way != "memory"]
            best = max(seen or checks, key=_by_net)
            return self._observe(at, best, MayComeTo(first, chance))
        # nothing is opened on a suspicion that a look can settle, and work on a mere guess comes
        # after every other suspect was looked at
        seeing = self._seeing_it(at, at.outlook.corrections.index(first), options)
        if seeing is not None:
            return self._observe(at, seeing, MayComeTo(first, chance))
        last = self._last_check(at, options) if chance < GUESS else None
        return last or self._correct(first, chance, settled=False)

    def _seeing_it(self, at: _Situation, number: int, options: Sequence[Option]) -> Option | None:
        """A check that settles what a correction puts right, where that was only inferred and the
        check costs less than the work it may spare; any such check where the work opens something
        and is not likely enough to be settled."""
        if number in at.outlook.found:
            return None
        correction = at.outlook.corrections[number]
        checks = at.outlook.checks_worth_making(number)
        if number not in at.outlook.settled and self._rules.corrections[correction].opens:
            checks = at.outlook.checks[number]
        worth_making = {node for _, node in checks}
        seeing = [
            option
            for option in options
            if option.node in worth_making
            and option.node in self._rules.observations
            and any(
                self._rules.causes[cause].correction == correction
                for cause in self._rules.observations[option.node].settles
            )
        ]
        return min(seeing, key=lambda option: (option.minutes, option.node), default=None)

    def _ride_again(self, at: _Situation) -> Step | None:
        """A second ride, where what was put right most likely was the trouble, could give all that
        is still felt, and one ride alone says otherwise."""
        ridden = [ride for ride in at.now.rides if ride.about == at.now.asks_about][-2:]
        if not ridden or (len(ridden) > 1 and ridden[0].corrected == ridden[1].corrected):
            return None
        put_right = np.where(at.belief.gone & at.belief.relevant, at.belief.marginal, 0.0)
        top = int(np.argmax(put_right))
        gives_all = all(
            self._model.network.touches(nodes_of(self._rules, one))[top]
            for one in at.now.still_felt
        )
        if put_right[top] < self._rules.policy.settled or not gives_all:
            return None
        cause, minutes = self._model.network.causes[top], self._rules.policy.ride_minutes
        last = at.now.corrections[-1]
        return Step("confirm", last, OneRideMore(cause, float(put_right[top])), minutes)

    def _last_check(self, at: _Situation, options: Sequence[Option]) -> Step | None:
        """Before giving up: a check of a suspect for what is still felt, whatever it costs; the one
        that settles most per minute goes first, but where so many looks are enough, what is to be
        looked at on any bike."""
        groups = [options]
        if (most := self._enough_looks(at)) is not None:
            if len(looked_at(self._rules, at.now)) >= most:
                return None
            groups.insert(0, [o for o in options if self._is_baseline(o)])
        shares = self.shares(at.belief, at.now)
        least = self._rules.policy.outside_floor
        for group in groups:
            found = self._confirming_most(
                at, group, shares, lambda _option, _cause, share: share >= least
            )
            if found is not None:
                option, cause, share = found
                return self._observe(at, option, BeforeGivingUp(cause, share))
        return None

    def _enough_looks(self, at: _Situation) -> int | None:
        """After how many looks nothing is found wrong; None where a complaint that is felt sets no
        such number, or something is likely."""
        if nothing_left(at.belief) < self._rules.policy.settled:
            return None
        numbers = [self._rules.complaints[one.complaint].enough_looks for one in at.now.still_felt]
        told = [number for number in numbers if number is not None]
        return max(told) if told and len(told) == len(numbers) else None

    def _is_baseline(self, option: Option) -> bool:
        """Whether it looks for a danger, reads a figure, or shows a setting that is off."""
        entry = self._rules.observations[option.observation]
        causes = (self._rules.causes[cause] for cause in entry.settles)
        return (
            entry.safety
            or entry.target is not None
            or any(self._rules.corrections[cause.correction].setting for cause in causes)
        )

    def _last_work(self, at: _Situation) -> Step | None:
        """Before a workshop gives up with no check left: work that is likelier than not what is
        needed, if anything listed is; work with dear parts only where it is by itself."""
        if at.means.person.hand_over.to != "specialist":
            return None
        suspects, left = self._suspects(at.belief, at.now)
        chances = {
            correction: chance_of_any(at.belief, [n for n in causes if suspects[n]])
            for correction, causes in mended_by(self._model, at.belief).items()
            if at.means.does(correction)
        }
        likeliest = max(chances, key=lambda name: (chances[name], name), default=None)
        if likeliest is None:
            return None
        least = GUESS if self._rules.corrections[likeliest].parts == "large" else LAST_WORK
        if chances[likeliest] < max(least, GUESS * left):
            return None
        return self._correct(likeliest, chances[likeliest], settled=False)

    def _suspects(self, belief: Belief, now: Standing) -> tuple[Flags, float]:
        """The open causes that can give what is still felt, and the chance that one is there."""
        felt = [node for one in now.still_felt for node in nodes_of(self._rules, one)]
        suspects = belief.matters & self._model.network.touches(felt)
        return suspects, 1 - belief.chances.none_of(suspects)

    def shares(self, belief: Belief, now: Standing) -> Floats:
        """The share of each cause in what the rule base can explain of what is still felt; 0 for
        causes that cannot. The chance that nothing listed explains it plays no part here."""
        suspects, left = self._suspects(belief, now)
        return np.asarray(np.where(suspects, belief.marginal, 0.0) / max(left, 1e-12))

    def _not_given_up(self, at: _Situation) -> Step | None:
        """Who hands on to a specialist does so with nothing left to find out: a check of a suspect
        that would be put right here, whatever it costs, unless a danger was declined to be put
        right. Nothing is opened before the rest, and nobody rides while that is forbidden."""
        declined = at.now.declined
        if at.means.person.hand_over.to != "specialist" or (at.bans and declined):
            return None

        def wanted(_option: Option, cause: str, chance: float) -> bool:
            is_suspect = self._rules.policy.outside_floor <= chance < self._rules.policy.settled
            return is_suspect and self._rules.causes[cause].correction not in declined

        able = [o for o in at.options if not (at.bans and takes_a_ride(self._rules, o.observation))]
        shut = [o for o in able if not self._opens(o)]
        return self._confirm_suspect(at, (shut, able), wanted)

    def _best(self, options: Sequence[Option]) -> Option | None:
        """The option worth most; among those about as good, the likeliest to change the order."""
        top = max((o.net for o in options), default=0.0)
        if top <= 0:
            return None
        about = self._rules.policy.attention_minutes
        near = [o for o in options if o.net > 0 and o.net >= top - about]
        return max(near, key=lambda o: (o.changes_first, o.net, o.observation))

    def _step_opens(self, step: Step) -> bool:
        if step.kind == "correct":
            return self._rules.corrections[step.target].opens
        return step.target in self._rules.observations and (
            self._rules.observations[step.target].opens
        )

    def _checks_of(
        self, at: _Situation, correction: str, options: Sequence[Option]
    ) -> list[Option]:
        """Open checks that can confirm what the correction would put right, and are worth it."""
        nodes = at.outlook.checks_worth_making(at.outlook.corrections.index(correction))
        return [o for o in options if o.node in {node for _, node in nodes}]

    def outside_still_open(self, belief: Belief, options: Sequence[Option]) -> list[str]:
        """Outside causes that may explain it and can still be checked from outside, likeliest
        first."""
        marginal = belief.open_marginal
        open_nodes = {o.node for o in options if not self._opens(o)}
        causes = self._model.network.causes
        return [
            causes[index]
            for index in np.argsort(-marginal, kind="stable")
            if marginal[index] >= self._rules.policy.outside_floor
            and not self._inside[index]
            and self._checks[causes[index]] & open_nodes
        ]

    def _opens(self, option: Option) -> bool:
        return self._rules.observations[option.observation].opens

    def _observe(
        self, at: _Situation, option: Option, why: Reason | None, constraint: Constraint = ""
    ) -> Step:
        step = self._look_at(option.observation, why, constraint)
        pair = self._pricer.pairs.get(option.node, ())
        other = [name for name in pair if name != option.observation and name not in at.now.answers]
        return replace(step, partner=other[0]) if other else step

    def _other_half(self, at: _Situation) -> Step | None:
        """What only means something with a reading made since the latest work, unless that says
        enough by itself and the two together would neither pay nor show a likely suspect."""
        made: list[str] = []
        for event in reversed(at.belief.case.events):
            if isinstance(event, Corrected):
                # what it was set to is no finding
                set_to = figures_set_by(self._rules, event.correction)
                made = [name for name in made if name not in set_to]
                break
            if isinstance(event, Answered) and event.is_known and event.observation not in made:
                made.append(event.observation)
        pairs, latest = self._pricer.pairs, made[:1]
        halves = [name for name in made if any(name in pair for pair in pairs.values())]
        if not halves:
            return None
        shares, index = self.shares(at.belief, at.now), self._model.network.cause_index
        least = self._rules.policy.outside_floor

        def wanted(option: Option, half: str) -> bool:
            if option.observation == half or half not in pairs.get(option.node, ()):
                return False
            likely = (shares[index[c]] >= least for c in self._confirms.get(option.node, ()))
            alone = self._rules.observations[half].is_evidence
            return (half in latest and not alone) or option.net > 0 or any(likely)

        for half in halves:
            able = (option for option in at.options if wanted(option, half))
            best = max(able, key=_by_net, default=None)
            if best is not None:
                return self._observe(at, best, GoesWith(half))
        return None

    def _look_at(self, name: str, why: Reason | None, constraint: Constraint) -> Step:
        entry = self._rules.observations[name]
        return Step(OBSERVING[entry.kind], name, why, entry.minutes, constraint)

    def _correct(self, correction: str, chance: float, *, settled: bool) -> Step:
        minutes = self._rules.corrections[correction].minutes
        return Step("correct", correction, Needed(chance, minutes, settled), minutes)

    def hand_over(self, belief: Belief) -> Step:
        """Handing over because nothing that is left pays."""
        now, marginal = standing(belief.case), belief.open_marginal
        top = int(np.argmax(marginal))
        cause = self._model.network.causes[top]
        beyond = beyond_here(self._model, belief)
        why: Reason = NothingPays(cause, float(marginal[top]), float(nothing_left(belief)))
        if beyond is not None:
            why = NotDoneHere(*beyond)
        elif nothing_left(belief) >= self._rules.policy.settled and not now.corrections:
            why = NothingFound(looked_at(self._rules, now))
        minutes = self._rules.policy.minutes_to_hand_over(now.person)
        return Step("hand-over", "", why, minutes)

    def _why_observe(self, at: _Situation, option: Option) -> Reason:
        """What the answer weighs on and what it saves."""
        causes = self._model.network.causes
        order = np.argsort(-at.belief.open_marginal, kind="stable")
        touched = [causes[n] for n in order if causes[n] in self._shown_on[option.node]]
        minutes = self._rules.observations[option.observation].minutes
        return Saves(minutes, option.saves, tuple(touched[:2]))


def beyond_here(model: Model, belief: Belief) -> tuple[str, float] | None:
    """The likeliest work that is as good as surely needed and is not done by who asks, with its
    chance."""
    means = Means(model.rules, standing(belief.case))
    elsewhere = [
        (chance_of_any(belief, causes), correction)
        for correction, causes in mended_by(model, belief).items()
        if not means.does(correction)
    ]
    chance, correction = max(elsewhere, default=(0.0, ""))
    is_sure = correction and chance >= model.rules.policy.settled
    return (correction, chance) if is_sure else None


def looked_at(rules: RuleBase, now: Standing) -> tuple[str, ...]:
    """What was looked at or measured with an answer, as ids in order; what was only remembered is
    left out."""
    return tuple(
        name
        for name, answer in now.answers.items()
        if answer.is_known and rules.observations[name].way != "memory"
    )


def takes_a_ride(rules: RuleBase, observation: str) -> bool:
    """Whether the bike is ridden for it: nobody is sent out on one that must not be ridden."""
    entry = rules.observations[observation]
    return entry.kind == "ride-test" or not set(rules.policy.ride_cautions).isdisjoint(
        entry.cautions
    )


def _likeliest(chances: Mapping[Option, float]) -> Option | None:
    return max(chances, key=lambda option: (chances[option], *_by_net(option)), default=None)


def _by_net(option: Option) -> tuple[float, str]:
    return option.net, option.observation
