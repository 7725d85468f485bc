"""What the screens of a training case say, in whole lines; what shows them wraps them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from diagnose.advice.planning import Step
from diagnose.case.events import RIDE_REPORTS, Case
from diagnose.training.play.coach import GuessScore
from diagnose.training.play.encounter import SHOWN, Encounter, Taken
from diagnose.training.play.moves import (
    Correct,
    HandBack,
    HandOver,
    Move,
    Observe,
    Recheck,
    RideMove,
)
from diagnose.training.scoring.review import move_text, result_text
from diagnose.words.cause_words import NO_CAUSE, chances_text
from diagnose.words.chances import about_minutes, counted, duration, percent
from diagnose.words.event_words import event_text
from diagnose.words.step_words import StepText, observation_text, step_text, why_text
from rules.rulebase import RuleBase

AT_HOME = "home mechanic"
"""Who does the work that is no specialist's."""
_AS_LIKELY = 0.995  # the share that is shown as the whole
_WORTH_NAMING = 0.05  # after the last ride nothing is likely any more (our own choice)


def said_line(encounter: Encounter) -> str:
    """The customer's own words."""
    return " ".join(f'"{words}"' for words in encounter.customer.words)


def bike_words(encounter: Encounter) -> str:
    """The rider and the bike."""
    customer = encounter.customer
    return f"{customer.rider} {'; '.join(customer.bike)}."


def told_line(encounter: Encounter) -> str:
    """What the customer says unasked."""
    told = encounter.customer.told_lines
    sentences = [line if line.endswith((".", "!", "?")) else f"{line}." for line in told]
    return f"Says unasked: {' '.join(sentences)}" if told else ""


def notebook_lines(encounter: Encounter) -> Iterator[str]:
    """Everything that is known and was done, oldest first."""
    customer = encounter.customer
    yield said_line(encounter)
    yield customer.rider
    yield from (f"- {line}" for line in customer.bike)
    yield ""
    rules = encounter.assessor.rules
    yield from (f"- {event_text(rules, event)}" for event in encounter.case.events)
    yield ""
    yield spent_line(encounter)


def spent_line(encounter: Encounter) -> str:
    """Steps and time spent."""
    return f"{counted(len(encounter.steps), 'step')}, {encounter.minutes:.0f} min spent"


def came_line(rules: RuleBase, taken: Taken) -> str:
    """What was done and what came of it."""
    result = result_text(rules, taken)
    return f"{move_text(rules, taken.move)}{f' -> {result}' if result else ''}"


def move_words(encounter: Encounter, move: Move) -> StepText:
    """A move before it is made, without its cautions."""
    rules = encounter.assessor.rules
    match move:
        case Observe(observation=name):
            words = observation_text(rules, encounter.case, name)
            return StepText(words.heading, how=words.how, tools=words.tools, note=words.note)
        case Correct(correction=name):
            entry = rules.corrections[name]
            note = f"Done by: {entry.who}."
            return StepText(entry.title, how=entry.steps, tools=entry.tools, note=note)
        case RideMove():
            note = "The rider comes back and says how the complaint is now."
            return StepText("Send it for a ride", note=note)
        case HandOver():
            note = (
                "The bike leaves for a specialist as it is, and the case ends with this. It is no "
                "repair: work that a specialist does is named as a correction, among the causes "
                "(C). To give it to the customer as finished: f."
            )
            return StepText(f"Hand the bike over undiagnosed{_suspecting(rules, move)}", note=note)
        case HandBack():
            return _giving_back(encounter)
        case Recheck():
            return StepText(move_text(rules, move))


def _giving_back(encounter: Encounter) -> StepText:
    if encounter.proven:
        note = "You call it finished; the case ends with this."
        return StepText("Give the bike back to the customer", note=note)
    counts = duration(encounter.assessor.rules.policy.minutes_to_hand_over())
    note = (
        f"The case ends with this. {unproved_text(encounter)} Given back now it comes back, and "
        f"counts {counts} as if handed over."
    )
    how = "unproved" if encounter.view().now.corrections else "undiagnosed"
    return StepText(f"Give the bike back {how}", note=note)


def _suspecting(rules: RuleBase, move: HandOver) -> str:
    named = ", ".join(rules.causes[cause].title for cause in move.causes)
    return f", suspecting: {named}" if named else ""


def work_elsewhere(encounter: Encounter, move: HandOver) -> str:
    """The correction that a specialist would make for what is suspected, "" where it is not one's
    work: it can be called for, which is another thing than to hand the bike over."""
    rules = encounter.assessor.rules
    meant = [rules.corrections[rules.causes[cause].correction] for cause in move.causes]
    return next((entry.title for entry in meant if entry.who != AT_HOME), "")


def unproved_text(encounter: Encounter) -> str:
    """What is not proved yet in a case that no ride has proved, and what there is to do."""
    now = encounter.view().now
    if now.ride_due:
        return "Not proved: the last correction was not ridden yet. Send it for a ride first."
    reports = [ride.report for ride in now.rides]
    if not reports:
        return "Not proved: nothing was put right and ridden yet. Look further first."
    return (
        f'Not proved: the last ride said "{reports[-1]}", which is not gone. Ride again or look '
        "further."
    )


def move_label(encounter: Encounter, move: Move) -> str:
    """What a move takes."""
    return about_minutes(encounter.view().own_minutes(move))


def about_move(encounter: Encounter, move: Move) -> str:
    """A move in full, and what it takes."""
    rules = encounter.assessor.rules
    text = move_words(encounter, move).heading
    if isinstance(move, Correct):
        title = rules.corrections[move.correction].title
        text = f"{rules.causes[move.causes[0]].title}. Put right by: {title}"
    label = move_label(encounter, move)
    return f"{label[:1].upper()}{label[1:]}: {text}"


def observation_sayings(rules: RuleBase) -> Mapping[str, tuple[str, ...]]:
    """What each observation is found by: how it is asked, its answers, and how riders speak of it;
    lists in capitals left out. Looking a figure up comes last, which is seldom what is meant."""
    heard: dict[str, list[str]] = {}
    for name, entry in rules.heard.items():
        for phrases in entry.states.values():
            said = [word for text in phrases for word in re.split(r"[^A-Za-z']+", text)]
            heard.setdefault(entry.of or name, []).extend(w for w in said if not w.isupper())
    entries = sorted(rules.observations.items(), key=lambda item: item[1].enters is not None)
    return {
        name: (entry.ask, name.replace("-", " "), *entry.states.values(), *heard.get(name, ()))
        for name, entry in entries
    }


def results_of(encounter: Encounter, move: Move) -> list[tuple[str, str]]:
    """(state, words) of each result a move can have, none where it has no say."""
    rules = encounter.assessor.rules
    if isinstance(move, Observe) and move.observation in rules.nodes:
        return list(rules.observations[move.observation].states.items())
    if isinstance(move, RideMove) and encounter.view().now.ride_due:
        return [(report, report.capitalize()) for report in RIDE_REPORTS]
    return []


def shown_lines(encounter: Encounter) -> Iterator[str]:
    """The steps that a technician showed, each with its why and what came of it."""
    rules = encounter.assessor.rules
    steps = [step for step in encounter.steps if step.shown]
    if steps:
        yield "A technician has begun; watch how, and go on from there."
    for step in steps:
        yield f"{step.number}. {came_line(rules, step)}. Why: {why_text(rules, step.advised)}"


def guess_said(scored: GuessScore) -> Iterator[str]:
    """How good a guess was, by what could be known when it was made."""
    best = scored.share > _AS_LIKELY
    than = "no others were likelier" if best else f"{percent(scored.share)} as likely as the best"
    yield f"By what was known then, what you named: {than}."
    if scored.concordance is not None:
        share = percent(scored.concordance)
        yield f"The result you expected: {share} as likely as the likeliest one."


def coach_lines(encounter: Encounter, scored: GuessScore | None, taken: Taken) -> Iterator[str]:
    """The program's view of the moment before a step, beside the trainee's, and of now that the
    step is taken."""
    rules = encounter.assessor.rules
    yield came_line(rules, taken)
    yield ""
    leading = scored.leading if scored is not None else taken.leading
    told = chances_text(rules, leading) or NO_CAUSE
    yield f"Likeliest before this step: {told}."
    if scored is not None:
        yield from guess_said(scored)
    if taken.move == taken.advised_move:
        yield "Before this step it would have done the same."
    else:
        advised = _with_why(rules, taken.before, taken.advised)
        yield f"Before this step it would have done this: {advised}"
    if not encounter.finished:
        yield ""
        yield from now_lines(encounter)


def now_lines(encounter: Encounter) -> Iterator[str]:
    """The likeliest causes as the case stands, and the step that the program would take; that one
    only in practice, as a score that counts is for finding it."""
    rules, view = encounter.assessor.rules, encounter.view()
    likely = [item for item in view.chances.items() if item[1] >= _WORTH_NAMING][:SHOWN]
    yield f"Likeliest now: {chances_text(rules, likely) or 'nothing stands out'}."
    if not encounter.counts:
        yield f"Now it would do this: {_with_why(rules, encounter.case, view.advice.step)}"


def _with_why(rules: RuleBase, case: Case, step: Step) -> str:
    heading, why = step_text(rules, case, step).heading, why_text(rules, step)
    stop = "" if heading.endswith(("?", ":", ".", "!")) else "."
    return f"{heading}{stop} {why[:1].upper()}{why[1:]}".rstrip()
