"""From the steps of a case to points out of a hundred, measure by measure.

What each measure means, and what it is worth, stands in the pack's training guide. Measures look
at what was known when a choice was made; only 'right cause' and 'proven' look at how it came out.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from diagnose.training.customers.guide import MEASURES, MeasureId
from diagnose.training.play.encounter import Encounter, Taken
from diagnose.training.play.faults import Kind, opens, rides
from diagnose.training.play.judging import View
from diagnose.training.play.moves import Correct, HandBack, HandOver, Observe, RideMove
from rules.rulebase import RuleBase


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
    values: dict[MeasureId, tuple[float, float, tuple[int, ...]]] = {
        "right-cause": _plain(agreement(encounter.assessor.rules, named, behind)),
        "proven": _plain(float(well_ended)),
        "expected-cost": (ratio, 1 / ratio, _steps(s for s in encounter.steps if s.loss > 0)),
        "order": _free_of("order", _in_order(encounter), well_ended),
        "information": _free_of("information", _observing(encounter), well_ended),
        "closure": _free_of("closure", _closing(encounter), well_ended),
        "cautions": _free_of("cautions", _hazardous(encounter), well_ended),
    }
    measures = []
    for key in MEASURES:
        note = scoring.measures[key]
        value, share, steps = values[key]
        measures.append(
            ScoreMeasure(
                key,
                note.title,
                value,
                share,
                share * note.points,
                note.points,
                note.meaning,
                note.source,
                steps,
            )
        )
    hints = [hint for step in encounter.steps for hint in step.hints]
    taken_off = sum(hint.points for hint in hints)
    total = max(0.0, sum(measure.points for measure in measures) - taken_off)
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
    )


def cost_ratio(encounter: Encounter) -> float:
    """Expected cost of the trainee's way over the least there is to know of, 1 or more.

    The least is the expected cost at the start; the trainee's way adds what each choice threw away.
    """
    least = encounter.expected_at_start
    lost = sum(step.loss for step in encounter.steps)
    return (least + lost) / least if least > 0 else 1.0


def named_causes(encounter: Encounter) -> tuple[str, ...]:
    """Every cause the trainee has committed to."""
    named: dict[str, None] = {}
    for step in encounter.steps:
        if isinstance(step.move, Correct | HandOver):
            named.update(dict.fromkeys(step.move.causes))
    return tuple(named)


def agreement(rules: RuleBase, named: tuple[str, ...], true: tuple[str, ...]) -> float:
    """Twice the causes in both over those named and those true (Dice, 1945, from memory).

    Causes that the pack says cannot be told apart count as the same.
    """
    if not named or not true:
        return 0.0

    def same(one: str, other: str) -> bool:
        return (
            one == other
            or other in rules.causes[one].not_separable_from
            or one in rules.causes[other].not_separable_from
        )

    right = sum(any(same(cause, other) for other in true) for cause in named)
    found = sum(any(same(cause, other) for other in named) for cause in true)
    return (right + found) / (len(named) + len(true))


def _ended_well(encounter: Encounter) -> bool:
    """Proven and handed back, or handed over where that was advised."""
    if not encounter.finished or encounter.failed:
        return False
    last = encounter.steps[-1]
    if isinstance(last.move, HandBack):
        return last.advised.kind == "close"
    return isinstance(last.move, HandOver) and last.advised.kind == "hand-over"


def _plain(share: float) -> tuple[float, float, tuple[int, ...]]:
    return share, share, ()


def _free_of(
    kind: Kind, steps: list[Taken], well_ended: bool
) -> tuple[float, float, tuple[int, ...]]:
    """Share of steps without a fault of this kind. Doing nothing of the sort earns the points only
    where the case ended well without it."""
    bad = [step for step in steps if step.faults_of(kind)]
    share = 1 - len(bad) / len(steps) if steps else float(well_ended)
    return share, share, _steps(bad)


def _steps(steps: Iterable[Taken]) -> tuple[int, ...]:
    return tuple(step.number for step in steps)


def _in_order(encounter: Encounter) -> list[Taken]:
    """Corrections, openings and rides."""
    view: View = encounter.view()
    return [
        step
        for step in encounter.steps
        if isinstance(step.move, Correct) or opens(view, step.move) or rides(view, step.move)
    ]


def _observing(encounter: Encounter) -> list[Taken]:
    return [step for step in encounter.steps if isinstance(step.move, Observe)]


def _closing(encounter: Encounter) -> list[Taken]:
    return [s for s in encounter.steps if isinstance(s.move, Correct | HandOver | HandBack)]


def _hazardous(encounter: Encounter) -> list[Taken]:
    return [s for s in encounter.steps if s.cautions or isinstance(s.move, RideMove)]
