"""The sections of a job card."""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.advice.planning import Step
from diagnose.cards.blocks import Section, drawings_of
from diagnose.cards.card_facts import CardFacts, PutRight
from diagnose.case.events import Answered, Corrected, Noted, Rode, Told, machine_traits, standing
from diagnose.case.figures import figure_of
from diagnose.case.set_figures import figures_set_by, is_two_sided, not_what_was_set, readings
from diagnose.records.bikes.service import clock_states
from diagnose.records.cases.case_title import case_title
from diagnose.records.cases.filling_in import DETAILS
from diagnose.records.cases.proof import SHARED
from diagnose.words.ban_words import ban_texts
from diagnose.words.bike_words import next_service_text
from diagnose.words.case_words import OUTCOME_WORDS
from diagnose.words.cause_words import cause_line, leading_causes, with_opposites
from diagnose.words.chances import counted, percent
from diagnose.words.event_words import asked_text
from diagnose.words.evidence_words import evidence_text, strength_text, worth_saying
from diagnose.words.figure_words import card_figure, found_set_text
from diagnose.words.sources import pack_text, source_text
from diagnose.words.step_words import caution_texts, step_text, why_text
from diagnose.words.who_words import needs_text
from rules.language.schema import Correction
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
        ("State", OUTCOME_WORDS[closed.outcome] if closed else "open, work goes on"),
    ]


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
    """All that was put right on the way to the proof, else the cause the case was closed on, else
    the likeliest causes."""
    rules, closed = facts.rules, facts.kept.folded.closed
    if facts.causes or facts.put_right:
        return Section("Cause", _found_sentences(facts), _put_right(facts))
    why = f"Not settled: {closed.why}" if closed else "Not settled yet. Most likely:"
    leading = {c.cause: c for c in leading_causes(facts.assessment)}
    items = [
        cause_line(rules, leading[cause])
        + (f"; the opposite: {percent(leading[other].probability)}" if other else "")
        for cause, other in with_opposites(rules, leading).items()
    ]
    return Section("Cause", (why,), tuple(items))


def _found_sentences(facts: CardFacts) -> tuple[str, ...]:
    """The causes that are known and what they are, each with what was found and set and what the
    ride after it said, in the order they were put right."""
    told: list[str] = []
    for one in facts.put_right:
        told += [*_cause_sentences(facts, one.cause), _work_sentence(facts, one)]
    named = {one.cause for one in facts.put_right}
    for cause in facts.causes:
        told += [] if cause in named else _cause_sentences(facts, cause)
    told += [SHARED] if len(facts.put_right) > 1 else []
    if any(one.cause is None for one in facts.put_right):
        told.append("A ride has proven the work; it puts right one of:")
    return tuple(told)


def _cause_sentences(facts: CardFacts, cause: str | None) -> list[str]:
    if cause is None:
        return []
    entry = facts.rules.causes[cause]
    return [f"{entry.title}.", entry.what]


def _work_sentence(facts: CardFacts, one: PutRight) -> str:
    """`Set the front tyre pressure: found 20 psi, set 13 psi; the ride after it: better.`"""
    figures = found_set_text(facts.rules, facts.case, one.correction)
    parts = [*([figures] if figures else []), f"the ride after it: {one.report}"]
    return f"{facts.rules.corrections[one.correction].title}: {'; '.join(parts)}."


def _put_right(facts: CardFacts) -> tuple[str, ...]:
    """What proven corrections put right whose cause cannot be told, as far as the bike can have it,
    likeliest first."""
    causes = facts.rules.causes
    unclear = {one.correction for one in facts.put_right if one.cause is None}
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


def correction_part(facts: CardFacts) -> Section:
    """What was done, or is next, with its steps."""
    done = standing(facts.case).corrections
    titles = [facts.rules.corrections[name].title + "." for name in done]
    declined = sorted(standing(facts.case).declined)
    titles += [f"Not done here: {facts.rules.corrections[name].title}." for name in declined]
    chosen = facts.correction()
    if chosen is None:
        return Section("Correction", tuple(titles))
    name, entry = chosen
    about = (
        f"{entry.minutes:g} min. Needs: {needs_text(entry)}. What can go wrong: {entry.goes_wrong}"
    )
    sentences = [*titles, about] if name in done else [*titles, f"Next: {entry.title}.", about]
    if entry.parts_list:
        sentences.append(f"Parts: {', '.join(entry.parts_list)}.")
    drawn = drawings_of(facts.rules, (entry.picture,))
    return Section("Correction", tuple(sentences), entry.steps[:_MOST_STEPS], drawings=drawn)


def parts_part(facts: CardFacts) -> Section:
    """Parts used, time taken and price, as far as they are filled in."""
    filled = facts.kept.folded.details
    told = ((DETAILS[field], getattr(filled, field)) for field in ("parts", "time", "price"))
    return Section("Parts and time", items=tuple(f"{name}: {text}" for name, text in told if text))


def readings_part(facts: CardFacts) -> Section:
    """The last reading before anything was put right, and the last after."""
    before: dict[str, Quantity] = {}
    after: dict[str, Quantity] = {}
    into = before
    for event in facts.case.events:
        if isinstance(event, Corrected):
            into = after
        elif isinstance(event, Answered) and event.reading is not None:
            into[event.observation] = event.reading
    worked = bool(standing(facts.case).corrections)
    columns = ((before, "not measured"), (after, "not measured again" if worked else "-"))
    rows = []
    for name in list(dict.fromkeys([*after, *before]))[:_MOST_READINGS]:
        unit = (after.get(name) or before[name]).unit
        cells = [str(r[name].read_in(unit)) if name in r else none for r, none in columns]
        rows.append((facts.rules.observations[name].ask, _should_be(facts, name, unit), *cells))
    return Section("Readings", head=("Reading", "Should be", "Before", "After"), table=tuple(rows))


def _should_be(facts: CardFacts, observation: str, unit: str) -> str:
    """What a reading should be; no rule of thumb beside what was set."""
    entry = facts.rules.observations[observation]
    if entry.target is None:
        return "-"
    figure = figure_of(facts.rules, facts.case, entry.target)
    done = standing(facts.case).corrections
    if not figure.is_own and any(observation in figures_set_by(facts.rules, w) for w in done):
        return "the manual's figure decides"
    return card_figure(figure, unit, is_limit=not is_two_sided(entry))


def evidence_part(facts: CardFacts) -> Section:
    """What speaks for the cause and against it."""
    ranked = facts.assessment.ranking.causes
    proven = {one.correction for one in facts.proven}
    fixed = [c for c in ranked if facts.rules.causes[c.cause].correction in proven]
    likely = max(fixed, key=lambda c: c.probability) if fixed else None
    leading = next(iter(leading_causes(facts.assessment)), None)
    shown = likely if proven else leading
    cause = next(iter(facts.causes), None) or (shown.cause if shown else None)
    entry = next((c for c in ranked if c.cause == cause), None)
    if entry is None:
        return Section("Evidence")
    strongest = sorted(worth_saying(entry.weights), key=lambda w: -abs(w.decibans))[:_MOST_EVIDENCE]
    items = [
        f"{evidence_text(facts.rules, w.evidence, facts.case)} ({strength_text(w.decibans)})"
        for w in strongest
    ]
    title = facts.rules.causes[entry.cause].title
    return Section("Evidence", (f"For and against: {title}",) if items else (), tuple(items))


def stop_part(facts: CardFacts) -> Section:
    """Why the bike must not be ridden; it comes before all other sections."""
    reasons = ban_texts(facts.rules, facts.case, facts.assessment.bans)
    sentences = tuple(f"DO NOT RIDE: {reason}" for reason in reasons)
    return Section("Before anything else", sentences, warning=True)


def cautions_part(facts: CardFacts, heading: str) -> Section:
    """The cautions of findings, of the correction and of what comes next."""
    names = dict.fromkeys(facts.assessment.cautions)
    chosen = facts.correction()
    if chosen is not None:
        names.update(dict.fromkeys(chosen[1].cautions))
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


def ride_test_part(facts: CardFacts, heading: str) -> Section:
    """What to ride to test, and how the last ride was."""
    chosen = facts.correction()
    rides = [_RIDES[e.report] for e in facts.case.events if isinstance(e, Rode)]
    sentences = [chosen[1].proof] if chosen is not None else []
    if rides:
        sentences.append(f"Ridden since the work: {rides[-1]}")
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
    if facts.causes or facts.put_right:
        return Section("What we found", _found_sentences(facts), _put_right(facts))
    if closed is not None:
        return Section("What we found", (f"The work ended as: {OUTCOME_WORDS[closed.outcome]}.",))
    leading = [c for c in leading_causes(facts.assessment)[:2] if c.probability >= 0.2]
    names = [
        rules.causes[cause].title + (", or the opposite" if other else "")
        for cause, other in with_opposites(rules, (c.cause for c in leading)).items()
    ]
    sentence = "We are still looking."
    return Section(
        "What we found", (sentence, "Most likely so far:") if names else (sentence,), tuple(names)
    )


def done_part(facts: CardFacts) -> Section:
    """The titles of the corrections that were done."""
    done = standing(facts.case).corrections
    titles = tuple(facts.rules.corrections[name].title for name in done)
    return Section("What we did", ("Nothing yet.",) if not titles else (), titles)


def sources_part(facts: CardFacts, chosen: tuple[str, Correction] | None) -> tuple[str, ...]:
    """The sources of the cause, of the correction and of what was seen, a line each; those of a
    figure that nothing was judged by, or of another kind of bike, are left out."""
    observations = facts.rules.observations
    unused = _not_judged_by(facts, chosen)
    other = {source for name in unused for source in observations[name].source}
    found: dict[str, None] = {}
    for cause in facts.causes:
        found.update(dict.fromkeys(facts.rules.causes[cause].sources))
    if chosen is not None:
        found.update(dict.fromkeys(chosen[1].source))
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
    if chosen is not None:
        packs = [pack_text(rules, "corrections", chosen[0])]
        texts += [f"Correction: {text}" for text in packs if text]
    texts += [source_text(rules, name) for name in found]
    return tuple(dict.fromkeys(texts))[:_MOST_SOURCES]


def _not_judged_by(facts: CardFacts, chosen: tuple[str, Correction] | None) -> set[str]:
    """The readings, taken or set, whose own sources say nothing of this bike: its figure judged
    none of them, or it is of another kind than the one that they are printed for."""
    rules, found = facts.rules, set[str]()
    set_here = figures_set_by(rules, chosen[0]) if chosen is not None else ()
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
