"""A trainee's training on a card: what was done and how well, and plainly what it is not."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from diagnose.cards.blocks import Card, Section, card_of
from diagnose.training.course.course import Course
from diagnose.training.course.exam import SittingResult
from diagnose.training.course.progress import Mean, Progress, Ready, UnitState
from diagnose.training.customers.guide import MEASURES, Guide
from diagnose.training.desk import TraineeStanding, TrainingDesk
from diagnose.training.records.trainee_book import Trainee
from rules.rulebase import RuleBase

_NOT = (
    "This is no qualification, no licence and no certificate of competence. Nobody outside this "
    "shop has examined or approved it.",
    "It was earned on simulated bikes at a screen. It does not show that its holder can work "
    "safely with tools, springs, pressurised gas, brakes or a bike on a stand.",
    "Work that can hurt somebody stays with a qualified technician, and the owner's manual comes "
    "first.",
)
_FOOT = (
    "Scores are held against the rule base's own judgement of what to do next, which may be wrong. "
    "Intervals are 95 % bootstrap intervals over the cases done; none is given under five cases."
)


@dataclass(frozen=True, slots=True)
class TrainingFacts:
    """What the card is made from."""

    rules: RuleBase
    guide: Guide
    course: Course
    trainee: Trainee
    states: Sequence[UnitState]
    progress: Progress
    sat: Sequence[SittingResult]
    ready: Ready
    today: date


def facts_of(desk: TrainingDesk, person: TraineeStanding, today: date) -> TrainingFacts:
    """What the card of a trainee says, from how they stand at a desk."""
    return TrainingFacts(
        desk.rules,
        desk.guide,
        desk.course,
        person.trainee,
        person.states,
        person.progress,
        person.sat,
        person.ready,
        today,
    )


def training_card(facts: TrainingFacts) -> Card:
    """The card of one trainee."""
    rules = facts.rules
    done = sum(state.is_done for state in facts.states)
    head = [
        ("Name", facts.trainee.name),
        ("Course", facts.course.title),
        ("In training since", facts.trainee.since.astimezone().date().isoformat()),
        ("Card of", facts.today.isoformat()),
        ("Units done", f"{done} of {len(facts.states)}"),
        ("Cases done", f"{facts.progress.score.cases}, {facts.progress.passed} passed"),
        ("Rule base", f"{rules.info.id} {rules.info.version}"),
    ]
    sections = [
        Section("What this card is not", items=_NOT),
        _ready(facts),
        Section(
            "Course",
            head=("Unit", "Lessons passed", "Needed", "State"),
            table=tuple(_unit_row(state) for state in facts.states),
        ),
        Section(
            "Signed off at a real bike",
            head=("Unit", "Shown", "Date", "By"),
            table=tuple(_signed_rows(facts)),
        ),
        Section(
            "Exams",
            head=("Exam", "Date", "Mean score", "Pass mark", "Result"),
            table=tuple(_exam_rows(facts.sat)),
        ),
        Section(
            "What counts",
            head=("Measure", "Cases", "Points earned", "95 % interval"),
            table=tuple(
                (facts.guide.scoring.measures[key].title, *_share_cells(mean))
                for key in MEASURES
                if (mean := facts.progress.measures[key]).cases
            ),
        ),
        Section(
            "Causes found",
            head=("Group of causes", "Cases", "Right cause", "95 % interval"),
            table=tuple(
                (key.replace("-", " "), *_share_cells(mean))
                for key, mean in facts.progress.groups.items()
            ),
        ),
        Section("Sources", items=tuple(_sources(facts))),
    ]
    return card_of("workshop", f"Training record: {facts.trainee.name}", head, sections, _FOOT)


def _ready(facts: TrainingFacts) -> Section:
    wanted = facts.course.ready
    rule = (
        f"Asked for here: {wanted.units_done:.0%} of the units, a mean of {wanted.mean_score:g} "
        f"over the last {wanted.last_cases} cases with at most {wanted.unsafe_at_most} let out "
        "unsafe"
        + (", and the last exam passed." if wanted.exam_passed else ".")
        + (" Every unit is signed off by a trainer at a real bike." if wanted.signed_off else "")
    )
    if facts.ready.is_ready:
        return Section("Held ready by this shop's thresholds", (rule,))
    return Section("Not held ready yet", (rule, "Lacking:"), facts.ready.lacks)


def _unit_row(state: UnitState) -> tuple[str, str, str, str]:
    unit = state.unit
    return (
        unit.title,
        f"{state.passed} of {len(unit.lessons)}",
        f"{unit.lessons_needed} at {unit.score_needed:g}",
        unit_word(state),
    )


def _signed_rows(facts: TrainingFacts) -> Iterator[tuple[str, str, str, str]]:
    titles = {unit.id: unit.title for unit in facts.course.units}
    for entry, at in facts.trainee.signed_off(facts.rules.info.id):
        day = at.astimezone().date().isoformat()
        for line in entry.shown:
            yield titles.get(entry.unit, entry.unit), line, day, entry.by


def unit_word(state: UnitState) -> str:
    """`done`, `open` or `locked`."""
    if not state.is_open:
        return "locked"
    return "done" if state.is_done else "open"


def _exam_rows(sat: Sequence[SittingResult]) -> Iterator[tuple[str, ...]]:
    for result in sat:
        begun = result.sitting.begun
        day = result.sitting.at.astimezone().date().isoformat()
        yield begun.title, day, f"{result.mean:.0f}", f"{begun.pass_mark:g}", exam_word(result)


def exam_word(result: SittingResult) -> str:
    """How a sitting stands, in a word or two."""
    if not result.complete and result.sitting.ended is None:
        return "open"
    if result.passed:
        return "passed"
    return "failed: let out unsafe" if result.failed else "not passed"


def _share_cells(mean: Mean) -> tuple[str, str, str]:
    return str(mean.cases), f"{mean.mean:.0%}", span_text(mean)


def span_text(mean: Mean) -> str:
    """The interval of a share, or a dash."""
    span = mean.span()
    return "-" if span is None else f"{span[0]:.0%} to {span[1]:.0%}"


def _sources(facts: TrainingFacts) -> Iterator[str]:
    named = dict.fromkeys(facts.course.ready.source + facts.guide.scoring.source)
    for measure in facts.guide.scoring.measures.values():
        named.update(dict.fromkeys(measure.source))
    for name in named:
        yield str(facts.course.sources[name])
