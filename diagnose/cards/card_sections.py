"""The sections of a job card."""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.advice.planning import Step, looked_at
from diagnose.advice.reasons import NothingFound
from diagnose.advice.taking_along import goes_along
from diagnose.cards.blocks import Section, drawings_of
from diagnose.cards.card_facts import CardFacts, PutRight
from diagnose.case.events import (
    Answered,
    Case,
    Corrected,
    Noted,
    Told,
    machine_traits,
    standing,
)
from diagnose.case.figures import figure_of
from diagnose.case.set_figures import figures_set_by, is_two_sided, not_what_was_set, readings
from diagnose.inference.posterior import RankedCause
from diagnose.records.bikes.service import clock_states
from diagnose.records.cases.case_title import case_title, complaint_title
from diagnose.records.cases.filling_in import DETAILS
from diagnose.records.cases.proof import SHARED, judge
from diagnose.words.ban_words import ban_texts
from diagnose.words.bike_words import bike_in_full, next_service_text
from diagnose.words.case_words import OUTCOME_WORDS
from diagnose.words.cause_words import cause_line, leading_causes, with_opposites
from diagnose.words.chances import counted, percent
from diagnose.words.event_words import asked_text
from diagnose.words.evidence_words import evidence_text, strength_text, worth_saying
from diagnose.words.figure_words import card_figure, found_set_text
from diagnose.words.sources import pack_text, source_text
from diagnose.words.step_words import caution_texts, step_text, why_text
from diagnose.words.titles import lowered, short_titles
from diagnose.words.who_words import needs_text
from rules.units.quantities import Quantity

_MOST_EVIDENCE = 6
_MOST_READINGS = 8
_MOST_SOURCES = 8
_MOST_STEPS = 8
_MOST_CLOCKS = 4
_MOST_NOTES = 4
_MOST_SAID = 8

_NOT_READ = "it was not read before the work"

_RIDES = {
    "gone": "The complaint was gone.",
    "better": "It was better, but not gone.",
    "same": "It was the same.",
    "worse": "It was worse.",
}


def head_part(facts: CardFacts) -> list[tuple[str, str]]:
    """(label, value) lines under the title: people, bike, days and state of the case."""
    closed, filled = facts.kept.folded.closed, facts.kept.folded.details
    return [
        (DETAILS["customer"], filled.customer),
        (DETAILS["bike"], filled.bike),
        (DETAILS["technician"], filled.technician),
        ("Bike kept as", facts.kept.bike or ""),
        ("Opened", facts.kept.opened_at.astimezone().date().isoformat()),
        ("Card of", facts.today.isoformat()),
        ("State", OUTCOME_WORDS[closed.outcome] if closed else _state_of_open(facts)),
    ]


def _state_of_open(facts: CardFacts) -> str:
    """How far a case has come that nobody has closed yet."""
    step = facts.assessment.step
    match step.kind:
        case "close":
            outcome = judge(facts.rules, facts.case).outcome
            return f"{OUTCOME_WORDS[outcome]}; to be closed"
        case "confirm":
            return "work done; a ride is to prove it"
        case "hand-over" if isinstance(step.why, NothingFound):
            return "nothing found wrong; to be closed"
        case "hand-over" if goes_along(facts.assessment):
            return "to be taken to a workshop"
        case "hand-over":
            return "to be handed to a specialist"
    return "open, work goes on"


def complaint_part(facts: CardFacts, heading: str) -> Section:
    """The complaint, the rider's words whole, and what was noted."""
    told = tuple(_quoted(event) for event in facts.case.events if isinstance(event, Told))
    title = case_title(facts.rules, facts.case) + "."
    return Section(heading, (title,), (*told, *_notes(facts)))


def story_part(facts: CardFacts) -> Section:
    """The rider's words whole, then what they came to, and what was noted."""
    told = tuple(_quoted(event) for event in facts.case.events if isinstance(event, Told))
    title = f"Complaint: {case_title(facts.rules, facts.case)}."
    heading = "In the rider's words" if told else "Complaint"
    return Section(heading, (*told, title), _notes(facts))


def _quoted(told: Told) -> str:
    return f"“{told.text}”"


def _notes(facts: CardFacts) -> tuple[str, ...]:
    """The first notes, and how many there are besides."""
    notes = [event.text for event in facts.case.events if isinstance(event, Noted)]
    left = len(notes) - _MOST_NOTES
    more = [f"{counted(left, 'more note')} kept with the case."] if left > 0 else []
    return (*notes[:_MOST_NOTES], *more)


def cause_part(facts: CardFacts) -> Section:
    """All that was put right, or what the case was closed on; while anything is left, the likeliest
    of the other causes too."""
    rules, closed = facts.rules, facts.kept.folded.closed
    found = _found_sentences(facts)
    if found and facts.is_settled:
        return Section("Cause", found, _put_right(facts))
    left = "What is left is not settled" if found else "Not settled"
    why = f"{left}: {closed.why}" if closed else f"{left} yet. Most likely:"
    leading = {c.cause: c for c in leading_causes(facts.assessment)}
    items = [
        cause_line(rules, leading[cause])
        + (f"; the opposite: {percent(leading[other].probability)}" if other else "")
        for cause, other in with_opposites(rules, leading).items()
    ]
    return Section("Cause", (*found, why), tuple(items))


def _found_sentences(facts: CardFacts) -> tuple[str, ...]:
    """The causes that are known and what they are, each with what was found and set and what the
    ride after it said, in the order they were put right, numbered where they are several."""
    told: list[str] = []
    several = len(facts.put_right) > 1
    for number, one in enumerate(facts.put_right, 1):
        words = [*_cause_sentences(facts, one.cause), _work_sentence(facts, one)]
        told += [f"{number} {words[0]}" if several else words[0], *words[1:]]
    named = {one.cause for one in facts.put_right}
    for cause in facts.causes:
        told += [] if cause in named else _cause_sentences(facts, cause)
    if not facts.is_settled:
        return tuple(told)
    told += [SHARED] if facts.shares_credit else []
    if any(one.cause is None and one.report for one in facts.put_right):
        told.append("A ride has proven the work; it puts right one of:")
    return tuple(told)


def _cause_sentences(facts: CardFacts, cause: str | None) -> list[str]:
    if cause is None:
        return []
    entry = facts.rules.causes[cause]
    return [f"{entry.title}.", entry.what]


def _work_sentence(facts: CardFacts, one: PutRight) -> str:
    """`Set the front tyre pressure: found 20 psi, set 13 psi; the ride after it: better.`"""
    return f"{facts.rules.corrections[one.correction].title}: {_came_of_it(facts, one)}."


def _came_of_it(facts: CardFacts, one: PutRight) -> str:
    """`found 20 psi, set 13 psi; the ride after it: better`."""
    figures = found_set_text(facts.rules, facts.case, one.correction)
    ridden = f"the ride after it: {one.report}" if one.report else "put right on the way"
    return "; ".join([*([figures] if figures else []), ridden])


def _put_right(facts: CardFacts) -> tuple[str, ...]:
    """What proven corrections put right whose cause cannot be told, as far as the bike can have it,
    likeliest first."""
    causes = facts.rules.causes
    unclear = {one.correction for one in facts.put_right if one.cause is None and one.report}
    against = {c for work in unclear for c in not_what_was_set(facts.rules, facts.case, work)}
    ranked = [
        item.cause
        for item in facts.assessment.ranking.causes
        if causes[item.cause].correction in unclear and item.cause not in against
    ]
    return tuple(
        causes[cause].title + (f", or the opposite: {_NOT_READ}" if other else "")
        for cause, other in with_opposites(facts.rules, ranked).items()
    )


def correction_parts(facts: CardFacts) -> tuple[Section, ...]:
    """What was done, then the steps of each correction that helped and of the last one or of what
    is next; in one section where that is one correction."""
    done = standing(facts.case).corrections
    titles = [facts.rules.corrections[name].title + "." for name in done]
    declined = sorted(standing(facts.case).declined)
    titles += [f"Not done here: {facts.rules.corrections[name].title}." for name in declined]
    shown = facts.corrections()
    helped = {one.correction: one for one in facts.put_right}
    parts = [] if len(shown) == 1 else [Section("Correction", tuple(titles))]
    for number, (name, entry) in enumerate(shown.items(), 1):
        heading = "Correction" if len(shown) == 1 else f"Correction {number}: {entry.title}"
        first = titles if len(shown) == 1 else []
        sentences = [*first, *([] if name in done else [f"Next: {entry.title}."])]
        if name in helped and len(shown) > 1:
            came = _came_of_it(facts, helped[name])
            sentences.append(f"{came[:1].upper()}{came[1:]}.")
        sentences.append(
            f"{entry.minutes:g} min. Needs: {needs_text(entry)}. "
            f"What can go wrong: {entry.goes_wrong}"
        )
        if entry.parts_list:
            sentences.append(f"Parts: {', '.join(entry.parts_list)}.")
        drawn = drawings_of(facts.rules, (entry.picture,))
        steps = entry.steps[:_MOST_STEPS]
        parts.append(Section(heading, tuple(sentences), steps, drawings=drawn))
    return tuple(parts)


def parts_part(facts: CardFacts) -> Section:
    """Parts used, time taken and price, as far as they are filled in."""
    filled = facts.kept.folded.details
    told = ((DETAILS[field], getattr(filled, field)) for field in ("parts", "time", "price"))
    return Section("Parts and time", items=tuple(f"{name}: {text}" for name, text in told if text))


def readings_part(facts: CardFacts) -> Section:
    """Each reading as it was last taken before the work that set it, and after; for one that no
    work set, before and after anything was put right. A figure that was looked up is no reading:
    it stands as what its reading should be."""
    observations = facts.rules.observations
    taken = [
        event
        for event in facts.case.events
        if isinstance(event, Answered)
        and event.reading is not None
        and observations[event.observation].enters is None
    ]
    worked = bool(standing(facts.case).corrections)
    none = ("not measured", "not measured again" if worked else "-")
    rows = []
    latest_first = dict.fromkeys(event.observation for event in reversed(taken))
    for name in list(latest_first)[:_MOST_READINGS]:
        before, after = _before_and_after(facts, name)
        latest = after or before
        assert latest is not None
        cells = [
            str(reading.read_in(latest.unit)) if reading is not None else missing
            for reading, missing in zip((before, after), none, strict=True)
        ]
        ask = facts.rules.observations[name].ask
        rows.append((ask[:1].upper() + ask[1:], _should_be(facts, name, latest.unit), *cells))
    return Section("Readings", head=("Reading", "Should be", "Before", "After"), table=tuple(rows))


def _before_and_after(facts: CardFacts, name: str) -> tuple[Quantity | None, Quantity | None]:
    events = facts.case.events
    done = [at for at, event in enumerate(events) if isinstance(event, Corrected)]
    setting = [
        at
        for at in done
        if isinstance(work := events[at], Corrected)
        and name in figures_set_by(facts.rules, work.correction)
    ]
    first = next(iter(setting or done), len(events))
    before, after = (
        next(iter(readings(Case(events=part), name)[-1:]), None)
        for part in (events[:first], events[first:])
    )
    if before is None and not setting:  # nothing was done that it could be after
        return after, None
    return before, after


def _should_be(facts: CardFacts, observation: str, unit: str) -> str:
    """What a reading should be; no rule of thumb beside what was set."""
    entry = facts.rules.observations[observation]
    if entry.target is None:
        return "-"
    figure = figure_of(facts.rules, facts.case, entry.target)
    done = standing(facts.case).corrections
    if not figure.is_own and any(observation in figures_set_by(facts.rules, w) for w in done):
        return "the manual's figure"
    return card_figure(figure, unit, is_limit=not is_two_sided(entry))


def evidence_parts(facts: CardFacts) -> tuple[Section, ...]:
    """What speaks for each cause that was put right and against it; while anything is left, for the
    likeliest of the others too."""
    ranked = {item.cause: item for item in facts.assessment.ranking.causes}
    causes = list(facts.causes)
    worked = {one.correction for one in facts.put_right}
    if not causes and worked:
        fixed = [c for c in ranked if facts.rules.causes[c].correction in worked]
        causes += sorted(fixed, key=lambda c: -ranked[c].probability)[:1]
    if not facts.is_settled:
        causes += [item.cause for item in leading_causes(facts.assessment)[:1]]
    told = [(cause, items) for cause in causes if (items := _evidence(facts, ranked.get(cause)))]
    titles = [facts.rules.causes[cause].title for cause, _ in told]
    return tuple(
        Section("Evidence", (f"For and against: {title}",), items)
        if len(told) == 1
        else Section(f"Evidence for and against: {title}", items=items)
        for title, (_, items) in zip(titles, told, strict=True)
    )


def _evidence(facts: CardFacts, item: RankedCause | None) -> tuple[str, ...]:
    """The strongest that bears on a cause. What was found after it was put right is left out: that
    is what it was set to, or how the bike is now."""
    if item is None:
        return ()
    work = facts.rules.causes[item.cause].correction
    weights = [
        weight
        for weight in worth_saying(item.weights)
        if weight.evidence.kind == "ride" or work not in weight.evidence.corrected
    ]
    return tuple(
        f"{evidence_text(facts.rules, w.evidence, facts.case)}; {strength_text(w.decibans)}"
        for w in sorted(weights, key=lambda w: -abs(w.decibans))[:_MOST_EVIDENCE]
    )


def stop_part(facts: CardFacts) -> Section:
    """Why the bike must not be ridden; it comes before all other sections."""
    reasons = ban_texts(facts.rules, facts.case, facts.assessment.bans)
    sentences = tuple(f"DO NOT RIDE: {reason}" for reason in reasons)
    return Section("Before anything else", sentences, warning=True)


def cautions_part(facts: CardFacts, heading: str) -> Section:
    """The cautions of findings, of the corrections and of what comes next."""
    names = dict.fromkeys(facts.assessment.cautions)
    for entry in facts.corrections().values():
        names.update(dict.fromkeys(entry.cautions))
    step = _next_step(facts)
    if step is not None and step.target in facts.rules.observations:
        names.update(dict.fromkeys(facts.rules.observations[step.target].cautions))
    if facts.kept.folded.closed is None or facts.kept.folded.closed.outcome != "proven":
        names.update(dict.fromkeys(facts.rules.policy.ride_cautions))
    return Section(heading, items=caution_texts(facts.rules, names), warning=True)


def _next_step(facts: CardFacts) -> Step | None:
    """What the program would do next in an open case, unless another section says it."""
    step = facts.assessment.step
    if facts.kept.folded.closed is not None or step.kind in ("complain", "correct", "close"):
        return None
    return step


def next_step_part(facts: CardFacts) -> Section:
    """What comes next in an open case, and why."""
    step = _next_step(facts)
    if step is None:
        return Section("Next step")
    words = step_text(facts.rules, facts.case, step, facts.assessment.cautions)
    reason = why_text(facts.rules, step)
    why = (f"Why: {reason}",) if reason != words.note else ()
    return Section("Next step", (words.heading, words.note, *why))


def said_part(facts: CardFacts) -> Section:
    """What was asked and looked at, the latest answers where there are many."""
    rules = facts.rules
    known = [a for a in standing(facts.case).answers.values() if a.state is not None]
    items = [asked_text(rules, answer) for answer in known[-_MOST_SAID:]]
    return Section("Asked and looked at", items=tuple(items))


def assumed_part(facts: CardFacts) -> Section:
    """What was taken from the record and not asked, and what that rests on."""
    rules = facts.rules
    items = [
        f"{asked_text(rules, event)} ({said.assumed.rests_on})"
        for said, event in zip(facts.kept.folded.said, facts.case.events, strict=True)
        if said.assumed is not None and isinstance(event, Answered)
    ]
    return Section("From the record, not asked", items=tuple(items[:_MOST_SAID]))


def bike_part(facts: CardFacts) -> Section:
    """Every trait of the bike, and which are only assumed."""
    return Section("The bike", items=tuple(bike_in_full(facts.rules, facts.case).split("; ")))


def ride_test_part(facts: CardFacts, heading: str) -> Section:
    """What to ride to test, and how the last ride was, for each complaint where there are some."""
    now = standing(facts.case)
    rides = {ride.about: ride.report for ride in now.rides if ride.corrected}
    sentences = list(dict.fromkeys(entry.proof for entry in facts.corrections().values()))
    if len(sentences) > 1:
        sentences = [f"{number} {proof}" for number, proof in enumerate(sentences, 1)]
    if len(now.complaints) == 1:
        sentences += [
            f"Ridden since the work: {_RIDES[report]}" for report in [*rides.values()][-1:]
        ]
    else:
        sentences += [
            f"Ridden since the work, {lowered(complaint_title(facts.rules, one))}: {rides[one]}."
            for one in now.complaints
            if one in rides
        ]
    return Section(heading, tuple(sentences))


def next_service_part(facts: CardFacts, heading: str) -> Section:
    """The service clocks, soonest due first."""
    if facts.bike is None:
        return Section(heading)
    states = [s for s in clock_states(facts.rules, facts.bike, facts.today) if s.left is not None]
    return Section(heading, items=tuple(next_service_text(s) for s in states[:_MOST_CLOCKS]))


def found_part(facts: CardFacts) -> Section:
    """The cause as a customer is told it."""
    rules, closed = facts.rules, facts.kept.folded.closed
    found = _found_sentences(facts)
    if found and facts.is_settled:
        return Section("What we found", found, _put_right(facts))
    if closed is not None:
        ended = f"The work ended as: {OUTCOME_WORDS[closed.outcome]}."
        return Section("What we found", (*found, ended))
    leading = [c for c in leading_causes(facts.assessment)[:2] if c.probability >= 0.2]
    names = [
        rules.causes[cause].title + (", or the opposite" if other else "")
        for cause, other in with_opposites(rules, (c.cause for c in leading)).items()
    ]
    told = (*found, "We are still looking.", *(["Most likely so far:"] if names else []))
    return Section("What we found", told, tuple(names))


def done_part(facts: CardFacts) -> Section:
    """The titles of the corrections that were done; where there are none, what was looked at."""
    now, rules = standing(facts.case), facts.rules
    titles = tuple(rules.corrections[name].title for name in now.corrections)
    looked = looked_at(rules, now)
    if titles or not looked:
        return Section("What we did", () if titles else ("Nothing yet.",), titles)
    shown = tuple(short_titles(rules, looked).values())
    return Section("What we did", ("Nothing was changed. Looked at:",), shown)


def sources_part(facts: CardFacts) -> Section:
    """The sources of the causes, of the corrections and of what was seen, a line each; those of a
    figure that nothing was judged by, or of another kind of bike, are left out."""
    observations, works = facts.rules.observations, facts.corrections()
    unused = _not_judged_by(facts, works)
    other = {source for name in unused for source in observations[name].source}
    found: dict[str, None] = {}
    for cause in facts.causes:
        found.update(dict.fromkeys(facts.rules.causes[cause].sources))
    for entry in works.values():
        found.update(dict.fromkeys(entry.source))
    found = {source: None for source in found if source not in other}
    observed: Iterable[Answered] = standing(facts.case).answers.values()
    for answer in observed:
        if answer.is_known and answer.observation not in unused:
            found.update(dict.fromkeys(observations[answer.observation].source))
    for name in sorted(unused):
        spec = observations[name].target or ""
        figure = figure_of(facts.rules, facts.case, spec)
        read = readings(facts.case, name)
        if not figure.is_own and any(figure.judges(reading) for reading in read):
            own = facts.rules.specs[spec].source
            found.update({source: None for source in own if source not in other})
    rules = facts.rules
    texts: list[str] = []
    for cause in facts.causes:
        texts += [f"Cause: {text}" for text in [pack_text(rules, "causes", cause)] if text]
    for work in works:
        packs = [pack_text(rules, "corrections", work)]
        texts += [f"Correction: {text}" for text in packs if text]
    texts += [source_text(rules, name) for name in found]
    different = tuple(dict.fromkeys(texts))
    most = _MOST_SOURCES * max(len(works), 1)
    left = len(different) - most
    more = (f"{counted(left, 'more source')} in the rule base.",) if left > 0 else ()
    return Section("Sources", items=(*different[:most], *more))


def _not_judged_by(facts: CardFacts, works: Iterable[str]) -> set[str]:
    """The readings, taken or set, whose own sources say nothing of this bike: its figure judged
    none of them, or it is of another kind than the one that they are printed for."""
    rules, found = facts.rules, set[str]()
    set_here = {name for work in works for name in figures_set_by(rules, work)}
    for name in {*standing(facts.case).answers, *set_here}:
        target = rules.observations[name].target
        if target is None:
            continue
        figure = figure_of(rules, facts.case, target)
        read = readings(facts.case, name)
        by = rules.specs[target].by
        is_other = (
            by is not None and machine_traits(rules, facts.case)[by] != rules.traits[by].default
        )
        if is_other or (read and not any(figure.judges(reading) for reading in read)):
            found.add(name)
    return found
