"""A step in words: what to do, which cautions go before it, how long it takes, why it is next."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from diagnose.advice.assessor import Assessment
from diagnose.advice.foresight import Outcome
from diagnose.advice.planning import Step, StepKind, beyond_here
from diagnose.advice.reasons import (
    AlsoOff,
    AnswersClash,
    AskedFirst,
    BeforeGivingUp,
    BestGuess,
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
    SettlesMost,
)
from diagnose.case.events import Case, Standing, standing
from diagnose.case.figures import figure_of
from diagnose.case.phases import riding_phases
from diagnose.case.set_figures import figure_to_set, is_two_sided, last_reading, still_stands
from diagnose.records.cases.case_title import complaint_title
from diagnose.words.chances import about_minutes, counted, duration, percent
from diagnose.words.check_in_words import cut_down
from diagnose.words.figure_words import figure_text, held_to, whose_figure
from diagnose.words.sources import pack_text, source_lines
from diagnose.words.titles import lowered, sentence, setting_title, short_titles
from diagnose.words.who_words import limited_to, needs_text
from rules.rulebase import RuleBase

KIND_WORDS: Mapping[StepKind, str] = {
    "complain": "Complaint",
    "ask": "Ask",
    "measure": "Measure",
    "inspect": "Look",
    "ride-test": "Ride and feel",
    "correct": "Put right",
    "confirm": "Ride to prove it",
    "check-again": "Check again",
    "hand-over": "Hand over",
    "close": "Done",
}
"""What kind of step it is, in a word or two."""

_HEADINGS = {
    "complain": "What does the rider complain of?",
    "check-again": "Two answers do not fit together",
    "close": "Proven: close the case",
    "hand-over": "Hand the bike to a specialist",
}
TO_A_WORKSHOP = "Take the bike to a workshop, with the list"
_CARRIED = "Carry the bike there; it is not ridden."
_LIST = "The list says what is known, what is suspected and what to check there, in order."


AS_IT_IS = "Leave it as it is; nothing found wrong"
_MOST_LOOKED = 12
_MOST_FIGURES = 2
_MOST_PLACES = 3
_MOST_OTHERS = 3
_MOST_ANSWERS = 2


@dataclass(frozen=True, slots=True)
class StepText:
    """A step as it is shown: cautions stand before what to do. `picture` is the id of the one that
    shows how it is done."""

    heading: str
    cautions: tuple[str, ...] = ()
    how: tuple[str, ...] = ()
    tools: tuple[str, ...] = ()
    note: str = ""
    sources: tuple[str, ...] = ()
    picture: str = ""


def step_text(rules: RuleBase, case: Case, step: Step, cautions: Sequence[str] = ()) -> StepText:
    """The words for a step; `cautions` that rules have raised stand before its own."""
    words = _step_text(rules, case, step)
    raised = caution_texts(rules, cautions)
    return replace(words, cautions=tuple(dict.fromkeys([*raised, *words.cautions])))


def _step_text(rules: RuleBase, case: Case, step: Step) -> StepText:
    if step.kind in ("ask", "measure", "inspect", "ride-test"):
        return _asking_text(rules, case, step)
    if step.kind == "correct":
        entry = rules.corrections[step.target]
        note = f"Needs: {needs_text(entry)}. What can go wrong: {entry.goes_wrong}"
        figures = _figures_for(rules, case, step.target)
        if figures:
            note = f"{figures} {note}"
        if entry.parts_list:
            note = f"Parts: {', '.join(entry.parts_list)}. {note}"
        return StepText(
            entry.title,
            caution_texts(rules, entry.cautions),
            entry.steps,
            entry.tools,
            note,
            entry.source,
            entry.picture or "",
        )
    if step.kind == "confirm":
        return _ride_text(rules, case, step)
    why = why_text(rules, step)
    if isinstance(step.why, NothingFound):
        return StepText(AS_IT_IS, note=why)
    not_ridden = step.kind == "hand-over" and step.constraint == "safety first"
    carried = _CARRIED if not_ridden else ""
    if step.kind == "hand-over" and rules.policy.goes_along(standing(case).person):
        is_well = isinstance(step.why, NothingPays) and step.why.nothing_listed >= (
            rules.policy.settled
        )
        heading = f"If it stays, {lowered(TO_A_WORKSHOP)}" if is_well else TO_A_WORKSHOP
        return StepText(heading, note=" ".join(filter(None, (why, carried, _LIST))))
    return StepText(_HEADINGS[step.kind], note=" ".join(filter(None, (why, carried))))


def _asking_text(rules: RuleBase, case: Case, step: Step) -> StepText:
    words = observation_text(rules, case, step.target)
    if isinstance(step.why, CountedAgain):
        return replace(words, note=why_text(rules, step))
    if not step.partner:
        return words
    other = lowered(setting_title(rules, step.partner))
    then = f"Straight after, unless this settles it: {other}."
    return replace(words, note=f"{words.note}. {then}" if words.note else then)


def _ride_text(rules: RuleBase, case: Case, step: Step) -> StepText:
    now = standing(case)
    note = "How is the complaint now?"
    if now.asks_about is not None and len(now.complaints) > 1:
        note = f"{complaint_title(rules, now.asks_about)}: how is it now?"
    if isinstance(step.why, SameRide):
        return StepText("The same ride, the next complaint", note=note)
    ridden = now.rides[-1].corrected if now.rides else ()
    made = dict.fromkeys(now.corrections[len(ridden) :]) or {step.target: None}
    done = [rules.corrections[name] for name in reversed(made)]
    looks = dict.fromkeys(name for entry in done for name in entry.look_after)
    after = [f"Back from the ride: {sentence(rules.observations[name].ask)}" for name in looks]
    cautions = caution_texts(rules, rules.policy.ride_cautions)
    proofs = [entry.proof for entry in done]
    lines = tuple(filter(None, (*proofs, _where_it_showed(rules, now), *after)))
    sources = tuple(dict.fromkeys(source for entry in done for source in entry.source))
    heading = "Confirming ride"
    if isinstance(step.why, OneRideMore):
        heading, note = f"{heading}, once more", f"{why_text(rules, step)} {note}"
    return StepText(heading, cautions, lines, (), note, sources)


def _where_it_showed(rules: RuleBase, now: Standing) -> str:
    """The riding in which the rider met the trouble: gone there is what proves it."""
    told = [
        cut_down(rules, name)
        for name in riding_phases(rules)
        if rules.observations[name].phase != "standing"
        and name in now.answers
        and now.answers[name].state == "yes"
    ]
    return f"Try it where it showed: {'; '.join(told[:_MOST_PLACES])}." if told else ""


def held_to_targets(rules: RuleBase, case: Case, step: Step) -> tuple[str, ...]:
    """The readings that a step shows with what they should be: the one it asks for, or those that
    its correction puts right."""
    if step.kind == "correct":
        return _put_right_by(rules, case, step.target)
    entry = rules.observations.get(step.target)
    return (step.target,) if entry is not None and entry.target is not None else ()


def _put_right_by(rules: RuleBase, case: Case, correction: str) -> tuple[str, ...]:
    causes = {key for key, cause in rules.causes.items() if cause.correction == correction}
    nodes = {link.node for link in rules.links if link.cause in causes}
    return tuple(
        name
        for name, answer in standing(case).answers.items()
        if answer.reading is not None
        and still_stands(rules, case, name)
        and rules.observations[name].target is not None
        and name in nodes
    )[:_MOST_FIGURES]


def _figures_for(rules: RuleBase, case: Case, correction: str) -> str:
    """What was read that this correction puts right, and what it should be on this bike."""
    answers, told = standing(case).answers, []
    for name in _put_right_by(rules, case, correction):
        entry = rules.observations[name]
        reading = answers[name].reading
        assert reading is not None
        should_be = figure_text(figure_of(rules, case, entry.target or "").read_in(reading.unit))
        told.append(f"{sentence(entry.ask)} {reading}, {held_to(entry)} {should_be}.")
    return " ".join(told)


def _target_text(rules: RuleBase, case: Case, spec: str) -> str:
    """A figure of the bike, and whether it is only a rule of thumb."""
    return figure_text(figure_of(rules, case, spec))


def observation_text(rules: RuleBase, case: Case, observation: str) -> StepText:
    """How an observation is made: question, cautions, instructions, tools and target."""
    entry = rules.observations[observation]
    note = ""
    if entry.target is not None:
        aim = "Target" if is_two_sided(entry) else "Limit"
        note = f"{aim}: {_target_text(rules, case, entry.target)}"
    return StepText(
        sentence(entry.ask),
        caution_texts(rules, entry.cautions),
        entry.how,
        entry.tools,
        note,
        entry.source,
        entry.picture or "",
    )


def found_before_text(rules: RuleBase, case: Case, observation: str) -> StepText:
    """What is asked before work brings a reading to its figure that nobody took: what it is now,
    with how that is read."""
    name = setting_title(rules, observation)
    note = "Before anything is changed; it stands on the card."
    words = observation_text(rules, case, observation)
    return replace(words, heading=f"Found at? {name}", note=note)


def first_found_text(rules: RuleBase, observations: Sequence[str]) -> str:
    """What is to be read before work is begun, where the work is only looked at."""
    names = "; ".join(setting_title(rules, name) for name in observations)
    return f"Before it is begun, note what is found: {names}. f asks for it."


def set_text(rules: RuleBase, case: Case, observation: str) -> StepText:
    """What is asked once work has brought a reading to its figure: what it was set to."""
    found = last_reading(case, observation)
    note = [f"Found: {found}."] if found is not None else []
    aim, target = figure_to_set(rules, case, observation), rules.observations[observation].target
    if aim is not None and target is not None:
        whose = whose_figure(figure_of(rules, case, target))
        note.append(f"Enter: {aim}, {whose}.")
    return StepText(f"Set to? {setting_title(rules, observation)}", note=" ".join(note))


def caution_texts(rules: RuleBase, cautions: Iterable[str]) -> tuple[str, ...]:
    """The texts of these cautions, given by their ids."""
    return tuple(rules.cautions[name].text for name in cautions)


def kind_word(rules: RuleBase, step: Step) -> str:
    """What kind of step it is, in a word or two."""
    entry = rules.observations.get(step.target)
    if step.kind == "measure" and entry is not None and entry.enters is not None:
        return "Look up"
    return KIND_WORDS[step.kind]


def step_label(rules: RuleBase, step: Step) -> str:
    """`Measure, about 3 min, safety first`, and who may do it where that is limited; handing over
    takes nobody's minutes here."""
    parts = [kind_word(rules, step)]
    if step.kind not in ("hand-over", "close"):
        parts.append(about_minutes(step.minutes))
    if step.kind == "correct":
        limited = limited_to(rules.corrections[step.target])
        parts += [limited] if limited else []
    if step.constraint:
        parts.append(step.constraint)
    return ", ".join(parts)


def plan_text(minutes: float, chance: float, check: float | None) -> str:
    """`6 % needed, look 2 min, work 120 min`: trying a suspect costs its check, and the work only
    when that finds it."""
    look = f", look {check:g} min" if check is not None else ""
    return f"{percent(chance)} needed{look}, work {minutes:g} min"


def no_correction_text(assessment: Assessment) -> str:
    """Why there is no correction to try: what is needed is not done here, or nothing is likely
    enough."""
    beyond = beyond_here(assessment.model, assessment.belief)
    if beyond is None:
        return "No correction is worth trying now."
    named = work_named(assessment.model.rules, beyond[0])
    return f"What it needs is not done here: {named}, {percent(beyond[1])} likely to be needed."


def step_entry(step: Step) -> tuple[str, str]:
    """(section, id) of what a step is about; of no entry for a step that needs none."""
    if step.kind in ("correct", "confirm"):
        return "corrections", step.target
    return ("rules" if step.kind == "check-again" else "observations"), step.target


def step_pack_text(rules: RuleBase, step: Step) -> str:
    """The pack that a step's observation or correction comes from, as `pack_text` gives it."""
    return pack_text(rules, *step_entry(step))


# -- why -----------------------------------------------------------------------------------------


def why_text(rules: RuleBase, step: Step) -> str:
    """Why this step is next; empty for a step that the planner did not choose."""
    return "" if step.why is None else _reason_text(rules, step.why)


def _reason_text(rules: RuleBase, reason: Reason) -> str:  # noqa: PLR0911 - one for each kind
    match reason:
        case NoComplaintYet():
            return "Everything starts from what the rider complains of."
        case Proven():
            return "The confirming ride proved the correction."
        case RideDue():
            return "One change at a time: ride it now, before anything else is touched."
        case SameRide():
            return "Every complaint is proven by itself: of the same ride, how is this one?"
        case AnswersClash(rule=rule, check=check):
            ask = rules.observations[check[0]].ask
            return f"{rules.rules[rule].then.contradiction} Check first: {ask}"
        case Dangerous(cause=cause, chance=chance, together=together):
            others = f", {percent(together)} with what else it can show"
            return (
                f"Before anybody rides: {_cause(rules, cause)} is {percent(chance)} likely"
                f"{others if percent(together) != percent(chance) else ''} and would be dangerous."
            )
        case MayClear(look=look):
            minutes = duration(rules.observations[look].minutes)
            return (
                f"Before anybody rides a look of {minutes} would be due. This may spare it: "
                f"{rules.observations[look].ask}"
            )
        case MayForbid(chance=chance):
            return f"Before anybody rides: {percent(chance)} likely to show what forbids riding."
        case NotSafe(rule=rule, unseen=unseen, beyond=beyond):
            after = " Nobody could say that it is put right." if unseen else ""
            after += f" What it needs: {work_named(rules, beyond)}." if beyond else ""
            return f"Not safe to ride: {_do_not_ride(rules, rule)}{after}"
        case FoundUnsafe(cause=cause):
            return f"Not safe to ride: {_cause(rules, cause)} was found."
        case FoundToo(minutes=minutes):
            return (
                "The complaint is gone. This was found as well and is not put right yet: "
                f"{duration(minutes)}."
            )
        case FoundMeanwhile(minutes=minutes):
            return (
                "Nobody may ride yet. This was found as well and can be put right meanwhile: "
                f"{duration(minutes)}."
            )
        case LookAgain(rule=rule):
            fault = lowered(_do_not_ride(rules, rule)).rstrip(".")
            return f"It was not safe to ride ({fault}). Look again after the work."
        case LookAfter(correction=correction):
            title = rules.corrections[correction].title
            return f"Seen standing still, before anybody rides to prove it: {lowered(title)}."
        case RiddenSince(rule=rule):
            return f"It has been ridden since this was last looked at. {_do_not_ride(rules, rule)}"
        case AskedFirst(complaint=complaint):
            title = lowered(rules.complaints[complaint].title)
            return f"Asked before anything else of such a complaint: {title}."
        case GoesWith(made=made):
            return f"It goes with a reading already made: {lowered(setting_title(rules, made))}."
        case Saves(minutes=minutes, saved=saved, causes=causes):
            names = "; ".join(_cause(rules, cause) for cause in causes) or "what is left"
            return (
                f"{duration(minutes)} spent here should save about "
                f"{duration(round(max(saved, 1)))} later. It weighs on: {names}."
            )
        case CountedAgain(observation=name, cause=cause, opposite=opposite):
            return (
                f"This count shows {_cause(rules, cause)}; what else is known fits the opposite "
                f"better, {_cause(rules, opposite)}. A count from the wrong end looks just like "
                f"that: count once more, {rules.observations[name].counted}, before it is set."
            )
        case MayComeTo(correction=correction, chance=chance):
            title = lowered(rules.corrections[correction].title)
            return (
                f"It may come to this ({percent(chance)}): {title}. A look costs less than the "
                "work and the ride after it."
            )
        case Needed(chance=chance, minutes=minutes, settled=settled):
            because = (
                "more checking would not pay"
                if settled
                else "no check left is worth more than it costs"
            )
            return (
                f"{percent(chance)} likely to be needed for {minutes:g} minutes of work, and "
                f"{because}."
            )
        case BestGuess(cause=cause, chance=chance):
            return f"Taken as the best guess ({percent(chance)}): {_cause(rules, cause)}."
        case SettlesMost(cause=cause, chance=chance):
            return f"Taken as what would settle most ({percent(chance)}): {_cause(rules, cause)}."
        case AlsoOff(minutes=minutes):
            return (
                f"Found off as well, and {duration(minutes)} put it right: settings are brought "
                "back to their figures together, then one ride."
            )
        case BeforeGivingUp(cause=cause, share=share):
            return (
                "Before the bike is handed over: if anything known here is behind it, it is "
                f"{percent(share)} likely to be {_cause(rules, cause)}, and that can be checked."
            )
        case OneRideMore(cause=cause, chance=chance):
            return (
                f"Ride it once more before it is handed over: {_cause(rules, cause)} was there "
                f"({percent(chance)}) and is put right, and nothing else is likely."
            )
        case NothingPays(nothing_listed=nothing) if nothing >= rules.policy.settled:
            return (
                "Nothing was found wrong that could still be behind it. Leave the bike as it is "
                "and note when and where it shows; if it stays, have it seen to."
            )
        case NothingPays(cause=cause, chance=chance, nothing_listed=nothing):
            return (
                "Every check and correction left costs more than it can save here, or cannot be "
                f"done here. Likeliest: {_cause(rules, cause)} ({percent(chance)}); something "
                f"else altogether: {percent(nothing)}."
            )
        case NothingFound(looked=looked):
            return _nothing_found(rules, looked)
        case NotDoneHere(correction=correction, chance=chance):
            return (
                f"What it needs is known ({percent(chance)}) and not done here: "
                f"{work_named(rules, correction)}. To find out more would change nothing."
            )
        case OutsideFirst(cause=cause, besides=besides):
            held = (
                f"Nothing is opened while {_cause(rules, cause)} could still explain it and can be "
                "checked."
            )
            return held if besides is None else f"{held} {_reason_text(rules, besides)}"


def _nothing_found(rules: RuleBase, looked: Sequence[str]) -> str:
    """What was looked at and in order, and what is left to do with a bike that has no fault."""
    titles = [lowered(title.rstrip("?:.")) for title in short_titles(rules, looked).values()]
    named, left = titles[:_MOST_LOOKED], len(titles) - _MOST_LOOKED
    more = [f"and {counted(left, 'thing')} more"] if left > 0 else []
    what = f": {'; '.join([*named, *more])}" if named else ""
    return (
        f"Nothing was found wrong in what was looked at{what}. Leave the bike as it is. Ride it "
        "again rested, and have another rider of like weight try it; note when and where it shows. "
        "If it stays, have it seen to."
    )


def work_named(rules: RuleBase, correction: str) -> str:
    """`replace the fork seals (120 min, qualified technician)`."""
    entry = rules.corrections[correction]
    return f"{lowered(entry.title)} ({entry.minutes:g} min, {entry.who})"


def _cause(rules: RuleBase, cause: str) -> str:
    return lowered(rules.causes[cause].title)


def _do_not_ride(rules: RuleBase, rule: str) -> str:
    return rules.rules[rule].then.do_not_ride or ""


def step_reasons(
    rules: RuleBase,
    case: Case,
    assessment: Assessment,
    foreseen: Mapping[str, tuple[Outcome, ...]],
    *,
    in_short: bool = False,
) -> list[str]:
    """Why this step now: what outranked the arithmetic, its cost, what its answers would tell
    apart, what else could be looked at, and the sources. `foreseen` is by node. `in_short` has the
    first of it only, with the likeliest answers."""
    step = assessment.step
    lines = [why_text(rules, step)] if step.why is not None else []
    if step.constraint:
        lines.insert(0, f"Comes before the arithmetic: {step.constraint}.")
    lines.append(f"Costs {about_minutes(step.minutes)}.")
    option = next((o for o in assessment.options if o.observation == step.target), None)
    if option is not None:
        ranked = assessment.ranking.causes
        still_open = {c.cause for c in ranked if c.relevant and not c.corrected}
        lines += ["", "What the answer would leave in front:"]
        told = _told_apart_in_short if in_short else _told_apart
        lines += told(rules, foreseen.get(option.node, ()), option.node, still_open)
        if option.node != step.target and not in_short:
            lines.append("  (once the other readings it needs are in)")
    if in_short:
        return lines
    lines += _next_best(rules, assessment)
    sources = step_text(rules, case, step).sources
    lines += [""] if sources else []
    pack = step_pack_text(rules, step)
    lines += [f"Pack: {pack}"] if pack else []
    return lines + source_lines(rules, sources)


def _next_best(rules: RuleBase, assessment: Assessment) -> list[str]:
    """What else is worth its time, the best first; a word where nothing is."""
    others = [o for o in assessment.options if o.observation != assessment.step.target]
    others.sort(key=lambda o: (-o.net, o.observation))
    paying = [o for o in others if o.net > 0][:_MOST_OTHERS]
    if others and not paying:
        return ["", "Nothing else left to find out would save more time than it takes."]
    told = [
        f"  {rules.observations[o.observation].ask} (saves about "
        f"{duration(round(o.net) if o.net >= 1 else o.net)} more than it takes)"
        for o in paying
    ]
    return ["", "Next best to find out:", *told] if told else []


def _told_apart_in_short(
    rules: RuleBase, answers: tuple[Outcome, ...], node: str, open_causes: set[str]
) -> list[str]:
    """The likeliest answers in their order, each with what it would leave in front."""
    likeliest = sorted(answers, key=lambda answer: -answer.chance)[:_MOST_ANSWERS]
    shown = tuple(answer for answer in answers if answer in likeliest)
    left = len(answers) - len(shown)
    more = [f"  {counted(left, 'more answer')}"] if left else []
    return _told_apart(rules, shown, node, open_causes, most=1) + more


def _told_apart(
    rules: RuleBase,
    answers: tuple[Outcome, ...],
    node: str,
    open_causes: set[str],
    most: int = 2,
) -> list[str]:
    told = []
    for answer in answers:
        after = [(cause, p) for cause, p in answer.causes.items() if cause in open_causes]
        best = sorted(after, key=lambda item: (-item[1], item[0]))[:most]
        causes = ", ".join(f"{rules.causes[cause].title} {percent(p)}" for cause, p in best)
        label = rules.nodes[node].label(answer.state)
        told.append(f"  {label} ({percent(answer.chance)} likely): {causes}")
    return told
