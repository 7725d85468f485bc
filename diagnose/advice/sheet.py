"""The case as a list to work down: faults found, the next step, checks that settle a suspect, other
checks that pay, and what was said."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from diagnose.advice.assessor import Assessment, Assessor
from diagnose.advice.planning import OBSERVING, Step, takes_a_ride
from diagnose.case.events import Standing, standing
from diagnose.case.revising import latest_answer
from diagnose.inference.found_faults import FoundFault

RowKind = Literal["found", "next", "settles", "useful", "said"]
_ORDER: tuple[RowKind, ...] = ("found", "next", "settles", "useful", "said")


@dataclass(frozen=True, slots=True)
class SheetRow:
    """A line of the sheet, about a correction where it `is_work`, else about an observation.

    `settles` are the suspects that a check can confirm, with their chances, the likeliest first;
    `net` is what it is expected to save beyond its own minutes. `cautions` are the ids of those to
    be read before it. `faults` are what was found and a correction puts right. `event` is the place
    in the case of what was said.
    """

    kind: RowKind
    about: str
    minutes: float
    net: float = 0.0
    settles: tuple[tuple[str, float], ...] = ()
    opens: bool = False
    cautions: tuple[str, ...] = ()
    is_work: bool = False
    faults: tuple[FoundFault, ...] = ()
    event: int = -1


@dataclass(frozen=True, slots=True)
class CaseSheet:
    """The rows in the order they are worked down. What comes next is in the first part or is
    the second, unless it is neither work nor a check."""

    rows: tuple[SheetRow, ...]

    @property
    def start(self) -> int:
        """Where to begin: what comes next, or the first row."""
        kinds = [row.kind for row in self.rows]
        return kinds.index("next") if "next" in kinds else 0

    def find(self, about: str, *, said: bool = False) -> int | None:
        """Where a row stands that is still to be worked on, or one of what was `said`."""
        places = (n for n, row in enumerate(self.rows) if row.about == about)
        return next((n for n in places if (self.rows[n].kind == "said") is said), None)

    def place_after(self, earlier: CaseSheet, place: int) -> int:
        """Where the mark goes that stood at `place` of an earlier sheet of the case: it stays with
        its row; from one that was worked on it goes to what comes next where it was that before,
        else to the row that followed."""
        marked = earlier.rows[place]
        here = self.find(marked.about, said=marked.kind == "said")
        if here is not None:
            return here
        following = () if marked.kind in ("next", "said") else earlier.rows[place + 1 :]
        places = (self.find(row.about) for row in following if row.kind != "said")
        return next((n for n in places if n is not None), self.start)


def sheet(assessor: Assessor, assessment: Assessment) -> CaseSheet:
    """The sheet of a case. Checks that open something stand below those that do not (outside before
    inside: common workshop practice)."""
    now = standing(assessment.belief.case)
    attention = assessor.rules.policy.attention_minutes
    raised = {
        kind: assessor.planner.cautions(assessment.belief, Step(kind, "", None, 0.0))
        for kind in ("inspect", "correct")
    }

    def place(row: SheetRow) -> tuple[float | str, ...]:
        """Work by its minutes; checks by what they save, those that save nothing by the share of a
        suspect that they settle in a minute."""
        part = (_ORDER.index(row.kind), row.opens and not row.is_work)
        if row.is_work:
            return *part, row.about != assessment.step.target, row.minutes, row.about
        share = row.settles[0][1] if row.settles else 0.0
        return *part, -max(row.net, 0.0), -share / (row.minutes + attention), row.about

    rows = [
        *_work(assessment, now, raised["correct"]),
        *_checks(assessor, assessment, raised["inspect"]),
    ]
    return CaseSheet((*sorted(rows, key=place), *_said(assessment, now)))


def _work(assessment: Assessment, now: Standing, raised: tuple[str, ...]) -> Iterator[SheetRow]:
    """A row for each correction that puts right what was found, unless it is declined, and for the
    one that comes next."""
    rules, step = assessment.model.rules, assessment.step
    wanted: dict[str, list[FoundFault]] = {}
    for fault in assessment.faults:
        correction = rules.causes[fault.cause].correction
        if not fault.put_right and correction not in now.declined:
            wanted.setdefault(correction, []).append(fault)
    if step.kind == "correct":
        wanted.setdefault(step.target, [])
    for correction, faults in wanted.items():
        entry = rules.corrections[correction]
        yield SheetRow(
            "found" if faults else "next",
            correction,
            entry.minutes,
            opens=entry.opens,
            cautions=tuple(dict.fromkeys((*raised, *entry.cautions))),
            is_work=True,
            faults=tuple(faults),
        )


def _checks(
    assessor: Assessor, assessment: Assessment, raised: tuple[str, ...]
) -> Iterator[SheetRow]:
    """A row for each open observation that settles a suspect, pays, or comes next; none that takes
    a ride while riding is forbidden."""
    rules, step = assessor.rules, assessment.step
    confirms = assessment.model.confirms
    suspects = _suspects(assessment)
    best = dict(assessment.worth)
    settled: dict[str, dict[str, float]] = {}
    following = step.target if step.kind in OBSERVING.values() else ""
    if following:
        best[following] = max(best.get(following, 0.0), 0.0)
    for option in assessment.options:
        shown = (cause for cause in confirms.get(option.node, ()) if cause in suspects)
        settled.setdefault(option.observation, {}).update(
            (cause, suspects[cause]) for cause in shown
        )
    for name, net in best.items():
        entry = rules.observations[name]
        causes = sorted(settled.get(name, {}).items(), key=lambda item: (-item[1], item[0]))
        is_worth_it = bool(causes or net > 0) and not (
            assessment.bans and takes_a_ride(rules, name)
        )
        if not is_worth_it and name != following:
            continue
        # a question is no work at the bike, which is what rules caution against
        before = () if OBSERVING[entry.kind] == "ask" else raised
        yield SheetRow(
            "next" if name == following else "settles" if causes else "useful",
            name,
            entry.minutes,
            net,
            tuple(causes),
            opens=entry.opens,
            cautions=tuple(dict.fromkeys((*before, *entry.cautions))),
        )


def _suspects(assessment: Assessment) -> dict[str, float]:
    """The causes that are likely enough to be worth settling and not settled yet."""
    policy = assessment.model.rules.policy
    found = {fault.cause for fault in assessment.faults if not fault.put_right}
    chances = zip(
        assessment.model.network.causes, assessment.belief.open_marginal.tolist(), strict=True
    )
    return {
        cause: chance
        for cause, chance in chances
        if policy.outside_floor <= chance < policy.settled and cause not in found
    }


def _said(assessment: Assessment, now: Standing) -> Iterator[SheetRow]:
    """What was answered, the latest first, and below it what nobody knew."""
    case, observations = assessment.belief.case, assessment.model.rules.observations
    latest_first = reversed(list(now.answers.items()))
    for name, _ in sorted(latest_first, key=lambda item: not item[1].is_known):
        place = latest_answer(case, name)
        assert place is not None
        yield SheetRow("said", name, observations[name].minutes, event=place)
