"""From the steps of a case to points out of a hundred, measure by measure.

What each measure means, and what it is worth, stands in the pack's training guide. Measures look
at what was known when a choice was made; only 'right cause' and 'proven' look at how it came out.
A measure that had nothing to measure is left out, and the others share its points.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from diagnose.training.customers.guide import MEASURES, MeasureId
from diagnose.training.play.encounter import Encounter, Taken
from diagnose.training.play.faults import Kind, opens, rides
from diagnose.training.play.judging import View
from diagnose.training.play.moves import Correct, HandBack, HandOver, Observe, RideMove
from rules.rulebase import RuleBase

# a measure's own number, the share of its points, and the steps that lost some
_Value = tuple[float, float, tuple[int, ...]]


@dataclass(frozen=True, slots=True)
class ScoreMeasure:
    """One thing that counts.

    Attributes:
        value: the measure's own number: a share, or for the expected cost the ratio to the least.
        share: what of the points is earned, 0 to 1.
        points, out_of: points earned and points to earn.
        steps: numbers of the steps that lost some.
        sources: source ids of the guide.
    """

    id: MeasureId
    title: str
    value: float
    share: float
    points: float
    out_of: float
    meaning: str
    sources: tuple[str, ...]
    steps: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Score:
    """What a case was worth. `total` is 0 to 100; `failed` says why a case was failed, if it was.
    `guessed` are the steps that put right what nothing spoke for; they cap the total.

    `cost_ratio` is the expected cost of the trainee's way over that of the advised one (1 or more);
    `minutes` what was really spent. `behind` are the causes that made the complaint.
    """

    total: float
    passed: bool
    failed: str
    measures: tuple[ScoreMeasure, ...]
    true_causes: tuple[str, ...]
    behind: tuple[str, ...]
    named: tuple[str, ...]
    minutes: float
    cost_ratio: float
    hints: int
    hint_points: float
    guessed: tuple[int, ...]

    def find(self, measure: str) -> ScoreMeasure:
        """The measure of this id. Raises `KeyError` where the score has none."""
        for item in self.measures:
            if item.id == measure:
                return item
        raise KeyError(measure)


def score(encounter: Encounter) -> Score:
    """The score of a case so far; its true worth once it has ended."""
    scoring = encounter.guide.scoring
    ratio = cost_ratio(encounter)
    named = named_causes(encounter)
    behind = tuple(c for c in encounter.scenario.truth.causes if c in encounter.bike.behind)
    well_ended = _ended_well(encounter)
    given_up = encounter.finished and not well_ended
    # undoing what one's own work has left is no naming of causes
    meant = tuple(cause for cause in named if cause not in encounter.bike.harmed)
    right = agreement(encounter.assessor.rules, meant, behind, _found(encounter))
    dear = _steps(s for s in encounter.steps if s.loss > 0)
    values: dict[MeasureId, _Value | None] = {
        "right-cause": (right, right, ()),
        "proven": (float(well_ended), float(well_ended), ()),
        # minutes saved by leaving a case undone are no saving
        "expected-cost": (ratio, 0.0 if given_up else ratio**-scoring.cost_power, dear),
        "order": _free_of("order", _in_order(encounter)),
        "information": _free_of("information", _observing(encounter)),
        "closure": _free_of("closure", _closing(encounter)),
        "cautions": _free_of("cautions", _hazardous(encounter)),
    }
    measured = {key: found for key in MEASURES if (found := values[key]) is not None}
    whole = sum(scoring.measures[key].points for key in measured)
    measures = []
    for key, (value, share, steps) in measured.items():
        note = scoring.measures[key]
        out_of = 100 * note.points / whole
        measures.append(
            ScoreMeasure(
                key,
                note.title,
                value,
                share,
                share * out_of,
                out_of,
                note.meaning,
                note.source,
                steps,
            )
        )
    hints = [hint for step in encounter.steps for hint in step.hints]
    taken_off = sum(hint.points for hint in hints)
    guessed = _steps(step for step in encounter.steps if step.is_guess)
    total = max(0.0, sum(measure.points for measure in measures) - taken_off)
    if guessed:
        total = min(total, scoring.guess_cap)
    total = 0.0 if encounter.failed else total
    return Score(
        total,
        total >= scoring.pass_mark and not encounter.failed,
        encounter.failed,
        tuple(measures),
        encounter.scenario.truth.causes,
        behind,
        named,
        encounter.minutes,
        ratio,
        len(hints),
        taken_off,
        guessed,
    )


def cost_ratio(encounter: Encounter) -> float:
    """Expected cost of the trainee's way over the least there is to know of, 1 or more.

    The least is the expected cost at the start; the trainee's way adds what each choice threw away.
    """
    least = encounter.expected_at_start
    lost = sum(step.loss for step in encounter.steps)
    return (least + lost) / least if least > 0 else 1.0


def named_causes(encounter: Encounter) -> tuple[str, ...]:
    """Every cause the trainee has committed to, or has put right by a check that cures."""
    named: dict[str, None] = {}
    for step in _own(encounter):
        named.update(dict.fromkeys(_committed(step)))
    return tuple(named)


def _found(encounter: Encounter) -> frozenset[str]:
    """The causes committed to with something found for them, and not by a guess alone."""
    return frozenset(
        cause for step in _own(encounter) if not step.is_guess for cause in _committed(step)
    )


def _own(encounter: Encounter) -> list[Taken]:
    """The trainee's own steps, without those that a technician showed."""
    return [step for step in encounter.steps if not step.shown]


def _committed(step: Taken) -> tuple[str, ...]:
    cured = (step.cured,) if step.cured else ()
    return step.move.causes if isinstance(step.move, Correct | HandOver) else cured


def agreement(
    rules: RuleBase, named: tuple[str, ...], true: tuple[str, ...], found: Collection[str]
) -> float:
    """Twice the causes in both over those named and those true (Dice, 1945, from memory).

    Of those named only the ones `found` can be right. Causes that the pack says cannot be told
    apart count as the same.
    """
    if not named or not true:
        return 0.0

    def same(one: str, other: str) -> bool:
        return (
            one == other
            or other in rules.causes[one].not_separable_from
            or one in rules.causes[other].not_separable_from
        )

    earned = [cause for cause in named if cause in found]
    right = sum(any(same(cause, other) for other in true) for cause in earned)
    hit = sum(any(same(cause, other) for other in earned) for cause in true)
    return (right + hit) / (len(named) + len(true))


def _ended_well(encounter: Encounter) -> bool:
    """Proven and handed back, or handed over where that was advised."""
    if not encounter.finished or encounter.failed:
        return False
    last = encounter.steps[-1]
    if isinstance(last.move, HandBack):
        return last.advised.kind == "close"
    return isinstance(last.move, HandOver) and last.advised.kind == "hand-over"


def _free_of(kind: Kind, steps: list[Taken]) -> _Value | None:
    """Share of steps without a fault of this kind; None where there were no such steps."""
    if not steps:
        return None
    bad = [step for step in steps if step.faults_of(kind)]
    share = 1 - len(bad) / len(steps)
    return share, share, _steps(bad)


def _steps(steps: Iterable[Taken]) -> tuple[int, ...]:
    return tuple(step.number for step in steps)


def _in_order(encounter: Encounter) -> list[Taken]:
    """Corrections, openings and rides."""
    view: View = encounter.view()
    return [
        step
        for step in _own(encounter)
        if isinstance(step.move, Correct) or opens(view, step.move) or rides(view, step.move)
    ]


def _observing(encounter: Encounter) -> list[Taken]:
    return [step for step in _own(encounter) if isinstance(step.move, Observe)]


def _closing(encounter: Encounter) -> list[Taken]:
    return [s for s in _own(encounter) if isinstance(s.move, Correct | HandOver | HandBack)]


def _hazardous(encounter: Encounter) -> list[Taken]:
    return [s for s in _own(encounter) if s.cautions or isinstance(s.move, RideMove)]
