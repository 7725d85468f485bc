"""Closing a case: the verdict, the cause it points to, and the lesson of a proven case."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import delete, func, insert, select
from sqlalchemy.exc import IntegrityError

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Case, Corrected, Rode, machine_traits
from diagnose.case.set_figures import not_what_was_set
from diagnose.records.bikes.bike import Bike
from diagnose.records.bikes.service import fits
from diagnose.records.cases.case_book import CaseBook, KeptCase
from diagnose.records.cases.entries import Closed, Cured
from diagnose.records.cases.fitting import fitted
from diagnose.records.cases.proof import Verdict, judge
from diagnose.records.learning.lessons import TEACHING
from diagnose.records.learning.spoken import spoke_for
from diagnose.records.learning.tally import keep_tally, taken_anew
from diagnose.records.store.store_problems import Clash, StoreProblem
from diagnose.records.store.tables import CASES, LESSONS
from diagnose.records.store.times import written
from rules.problems import BadInput
from rules.rulebase import RuleBase
from rules.yaml_source import suggest

PLAIN_SHARE = 0.8
"""One of several causes with the same correction is taken as the one behind the complaint if it had
at least this share of their total probability (memory)."""


@dataclass(frozen=True, slots=True)
class Closing:
    """How a case would close. `cause` is None where it cannot be told from the other candidates;
    `also` has what else rides have proven."""

    verdict: Verdict
    cause: str | None
    candidates: tuple[str, ...]
    also: tuple[Cured, ...] = ()


def weigh_closing(
    rules: RuleBase,
    kept: KeptCase,
    *,
    bike: Bike | None = None,
    handed_over: bool = False,
    cause: str | None = None,
) -> Closing:
    """How `kept` would close now. Raises `BadInput` for a `cause` that is not a candidate."""
    case = fitted(rules, kept.case)
    besides = changed_besides(rules, kept, bike) if bike is not None else []
    titles = [rules.observations[n].ask if n in rules.observations else n for n in besides]
    verdict = judge(rules, case, titles, handed_over)
    if verdict.outcome not in ("proven", "improved") or verdict.correction is None:
        if cause is not None:
            raise BadInput(f"a case that closes as {verdict.outcome} has no cause to name")
        return Closing(verdict, None, ())
    candidates = _candidates(rules, case, verdict.correction)
    if cause is not None and cause not in candidates:
        raise BadInput(
            f"{cause!r} is not what {verdict.correction!r} puts right{suggest(cause, candidates)}; "
            f"one of {', '.join(candidates)}"
        )
    first, *others = cured(rules, kept, verdict)
    return Closing(verdict, cause or first.cause, candidates, tuple(others))


def cured(rules: RuleBase, kept: KeptCase, verdict: Verdict) -> tuple[Cured, ...]:
    """What the verdict's corrections put right, its first before the others; the cause is the only
    one, or the one that was far likelier than the others just before the work."""
    names = dict.fromkeys((verdict.correction, *verdict.proven))
    return tuple(
        Cured(correction=name, cause=cause_behind(rules, kept, name))
        for name in names
        if name is not None
    )


def cause_behind(rules: RuleBase, kept: KeptCase, correction: str) -> str | None:
    """The cause that a correction put right: the only one that it can, or the one that was far
    likelier than the others just before the work; else None."""
    return _likeliest(kept, correction, _candidates(rules, fitted(rules, kept.case), correction))


def _candidates(rules: RuleBase, case: Case, correction: str) -> tuple[str, ...]:
    """The causes that this bike can have and that the correction puts right, without those that
    what was found and set contradicts."""
    traits = machine_traits(rules, case)
    able = tuple(
        key
        for key, entry in rules.causes.items()
        if entry.correction == correction and fits(entry.needs, traits)
    )
    contradicted = not_what_was_set(rules, case, correction)
    return tuple(key for key in able if key not in contradicted) or able


def close(book: CaseBook, assessor: Assessor, kept: KeptCase, closing: Closing) -> KeptCase:
    """Close the case; a proven one with a known cause leaves a lesson, which teaches if
    something measured or seen spoke for it. Raises `StoreProblem`."""
    if kept.folded.closed is not None:
        raise StoreProblem(f"case {kept.id} is closed already ({kept.folded.closed.outcome})")
    verdict = closing.verdict
    entry = Closed(
        outcome=verdict.outcome,
        why=verdict.why,
        correction=verdict.correction,
        cause=closing.cause,
        also=closing.also,
    )
    at = book.now()
    also: list[Any] = [delete(LESSONS).where(LESSONS.c.case_id == kept.id)]
    if verdict.outcome == "proven" and closing.cause is not None:
        also.append(_lesson(assessor, kept, closing, at))
    closed = book.append(kept, [entry], also, at)
    if len(also) > 1:
        keep_tally(book.store, book.rules.info.id)
    return closed


def reopen(book: CaseBook, kept: KeptCase) -> KeptCase:
    """Open a closed case again, and delete its lesson. Raises `StoreProblem`."""
    opened = book.reopen(kept, [delete(LESSONS).where(LESSONS.c.case_id == kept.id)])
    keep_tally(book.store, book.rules.info.id)
    return opened


def relearn(book: CaseBook, assessor: Assessor) -> int:
    """Make the lessons of all proven cases again, such as after the rule base has changed.

    Returns how many teach now. Raises `StoreProblem`.
    """
    rules = assessor.rules
    of_pack = CASES.c.pack == rules.info.id
    proven = select(CASES.c.id, CASES.c.changed_at).where(of_pack, CASES.c.outcome == "proven")
    with book.store.reading() as connection:
        read = [
            (book.read_in(connection, number), changed_at)
            for number, changed_at in connection.execute(proven).all()
        ]
    lessons = {(case.id, changed_at): _lesson_again(assessor, case) for case, changed_at in read}
    try:
        with book.store.writing() as connection:
            # the lessons of cases closed or reopened meanwhile are up to date already
            now = {tuple(row) for row in connection.execute(proven.with_for_update())}
            out = set(
                connection.execute(
                    select(LESSONS.c.case_id).where(LESSONS.c.left_out != 0)
                ).scalars()
            )
            for key in lessons.keys() & now:
                connection.execute(delete(LESSONS).where(LESSONS.c.case_id == key[0]))
                if (lesson := lessons[key]) is not None:
                    connection.execute(lesson.values(left_out=int(key[0] in out)))
            taken_anew(connection, book.store.stamp())
            in_all = select(func.count()).where(LESSONS.c.pack == rules.info.id, *TEACHING)
            count = int(connection.execute(in_all).scalar_one())
    except IntegrityError as error:
        raise Clash("another terminal is learning too; try again") from error
    keep_tally(book.store, rules.info.id)
    return count


def _lesson_again(assessor: Assessor, kept: KeptCase) -> Any | None:
    """The lesson of a proven case, None where the rule base does not know its cause any more."""
    closed = kept.folded.closed
    at = kept.closed_at
    if closed is None or at is None or closed.cause not in assessor.rules.causes:
        return None
    verdict = Verdict("proven", closed.correction, closed.why)
    return _lesson(assessor, kept, Closing(verdict, closed.cause, ()), at)


def changed_besides(rules: RuleBase, kept: KeptCase, bike: Bike) -> list[str]:
    """Settings logged on the bike between the last two rides that no correction made there."""
    rides = [said.at for said in kept.folded.said if isinstance(said.event, Rode)]
    if not rides:
        return []
    start = rides[-2] if len(rides) > 1 else kept.opened_at
    done = {s.event.correction for s in kept.folded.said if isinstance(s.event, Corrected)}
    own = {
        node.partition("/")[0]
        for cause in rules.causes.values()
        if cause.correction in done
        for node in cause.shows
    }
    found: dict[str, None] = {}
    before: dict[str, object] = {}
    for setting in bike.settings:
        name, value = setting.answer.observation, (setting.answer.state, setting.answer.reading)
        changed = name in before and before[name] != value
        before[name] = value
        if setting.measured_in is not None:
            continue
        if changed and name not in own and _within(setting.recorded, start, rides[-1]):
            found[name] = None
    return list(found)


def _within(moment: datetime | None, start: datetime, end: datetime) -> bool:
    return moment is not None and start < moment <= end


def _likeliest(kept: KeptCase, correction: str, candidates: Sequence[str]) -> str | None:
    if len(candidates) == 1:
        return candidates[0]
    forecast = kept.folded.forecasts.get(correction)
    if forecast is None or not candidates:
        return None
    chances = {cause: forecast.chances.get(cause, 0.0) for cause in candidates}
    best = max(chances, key=lambda cause: chances[cause])
    return best if chances[best] >= PLAIN_SHARE * sum(chances.values()) > 0 else None


def _lesson(assessor: Assessor, kept: KeptCase, closing: Closing, at: datetime) -> Any:
    """What the case teaches: what was seen before the cause was put right.

    Where another correction had helped before, two causes were at work; then the lesson
    says only that this cause was there, not how it shows.
    """
    rules = assessor.rules
    case = fitted(rules, kept.case)
    # looked up in the original events: the rule base may no longer know the correction
    first = kept.case.events.index(Corrected(closing.verdict.correction or ""))
    seen = Case(case.machine, case.targets, case.events[:first])
    alone = not any(isinstance(e, Rode) and e.report in ("better", "gone") for e in seen.events)
    findings = assessor.model.findings.conclude(seen)
    states = {
        name: state
        for name, state in findings.states.items()
        if name in rules.nodes
        and rules.nodes[name].kind != "complaint"
        and name not in findings.not_applicable
    }
    forecast = kept.folded.first_forecast
    return insert(LESSONS).values(
        case_id=kept.id,
        pack=rules.info.id,
        cause=closing.cause,
        traits=json.dumps(machine_traits(rules, case)),
        states=json.dumps(states if alone else {}),
        chances=json.dumps(forecast.chances if forecast else {}),
        at=written(at),
        shown_by=" ".join(spoke_for(assessor.model.findings, rules, seen, closing.cause or "")),
    )
