"""The case as a picture: how likely its causes were, what was found and set, and the proof."""

from __future__ import annotations

from diagnose.cards.blocks import Chart, ChartedCause, ChartedFigure, Section
from diagnose.cards.card_facts import CardFacts
from diagnose.case.events import Answered, Case, Complained, Corrected, Rode, standing
from diagnose.case.set_figures import found_and_set
from diagnose.records.cases.case_title import complaint_title
from diagnose.words.chances import percent
from diagnose.words.event_words import event_text
from diagnose.words.titles import setting_title

_MOST_MOMENTS = 10
_MOST_CAUSES = 4
_WORTH_SHOWING = 0.02
_BAR = 20
_HEAD = ("Cause", "How likely", "Over the case")


def chart_part(facts: CardFacts, heading: str, *, with_causes: bool = True) -> Section:
    """The chart with the same in words: a bar for each cause, what was found and set, and how the
    last ride was."""
    moments = _moments(facts.case) if with_causes else []
    rules, events = facts.rules, facts.case.events
    chart = Chart(
        tuple(event_text(rules, events[at]) for at in moments),
        frozenset(n for n, at in enumerate(moments) if isinstance(events[at], Corrected)),
        frozenset(n for n, at in enumerate(moments) if isinstance(events[at], Rode)),
        _causes(facts, moments),
        _figures(facts),
        _proof(facts),
    )
    table = tuple(
        (cause.title + (", put right" if cause.put_right else ""), _bar(cause), _moved(cause))
        for cause in chart.causes
    )
    told = [f"{one.title}: found {one.found} → set {one.set_to}" for one in chart.figures]
    told += [f"{title}, on the last ride: {report}" for title, report in chart.proof if report]
    legend = "; ".join(f"{number} {text}" for number, text in enumerate(chart.moments, 1))
    if not (table or told):
        return Section(heading)
    return Section(
        heading,
        (f"{legend}.",) if table else (),
        tuple(told),
        _HEAD if table else (),
        table,
        chart=chart,
    )


def _moments(case: Case) -> list[int]:
    """Places of the events to show: the first complaint, then the latest that bear on causes. What
    was read straight after work is what it was set to, and no moment of its own."""
    told: list[int] = []
    was_set = False
    for at, event in enumerate(case.events):
        is_reading = isinstance(event, Answered) and event.reading is not None
        was_set = isinstance(event, Corrected) or (was_set and is_reading)
        is_answer = isinstance(event, Answered) and event.is_known and not was_set
        if is_answer or isinstance(event, Complained | Corrected | Rode):
            told.append(at)
    return told[:1] + told[1:][-(_MOST_MOMENTS - 1) :]


def _causes(facts: CardFacts, moments: list[int]) -> tuple[ChartedCause, ...]:
    """What was put right first, then what was likeliest at any moment."""
    model, case, ranking = facts.assessment.model, facts.case, facts.assessment.ranking
    index = model.network.cause_index
    beliefs = [
        model.believe(Case(case.machine, case.targets, case.events[: at + 1])).marginal
        for at in moments
    ]
    cured = facts.causes
    shares = {
        item.cause: tuple(float(belief[index[item.cause]]) for belief in beliefs)
        for item in ranking.causes
        if item.relevant or item.cause in cured
    }
    likely = sorted(
        (cause for cause, share in shares.items() if max(share, default=0) >= _WORTH_SHOWING),
        key=lambda cause: (cause not in cured, -max(shares[cause])),
    )
    return tuple(
        ChartedCause(facts.rules.causes[cause].title, shares[cause], cause in cured)
        for cause in likely[:_MOST_CAUSES]
    )


def _figures(facts: CardFacts) -> tuple[ChartedFigure, ...]:
    return tuple(
        ChartedFigure(
            setting_title(facts.rules, one.observation),
            str(one.found.read_in(one.set_to.unit)),
            str(one.set_to),
            (one.found.read_in(one.set_to.unit).value, one.set_to.value),
        )
        for correction in dict.fromkeys(standing(facts.case).corrections)
        for one in found_and_set(facts.rules, facts.case, correction)
        if one.found is not None and one.set_to is not None
    )


def _proof(facts: CardFacts) -> tuple[tuple[str, str], ...]:
    now = standing(facts.case)
    if not now.corrections:
        return ()
    said = {ride.about: ride.report for ride in now.rides}
    return tuple((complaint_title(facts.rules, one), said.get(one, "")) for one in now.complaints)


def _bar(cause: ChartedCause) -> str:
    return f"{'█' * max(round(cause.shares[-1] * _BAR), 1)} {percent(cause.shares[-1])}"


def _moved(cause: ChartedCause) -> str:
    """`9 → 46 → 97 %`: each share that differs from the one before."""
    told = [percent(share) for share in cause.shares]
    return " → ".join(now for now, before in zip(told, ["", *told], strict=False) if now != before)
