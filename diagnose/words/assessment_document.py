"""The assessment of a case as one stable document, for other programs to read."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from diagnose.advice.assessor import Assessment
from diagnose.advice.planning import Step
from diagnose.advice.pricing import Option
from diagnose.advice.sheet import SheetRow
from diagnose.advice.taking_along import TakeAlong
from diagnose.case.events import Case, machine_traits, standing
from diagnose.case.figures import figure_of
from diagnose.findings.concluding import Raised
from diagnose.inference.bans import Ban, Danger
from diagnose.inference.found_faults import FoundFault
from diagnose.inference.posterior import RankedCause, Weight
from diagnose.listening.heard import Story
from diagnose.listening.story_case import told_in
from diagnose.words.ban_words import ban_text
from diagnose.words.chances import how_likely
from diagnose.words.evidence_words import evidence_text
from diagnose.words.heard_document import QuestionItem, question_items
from diagnose.words.sources import source_text
from diagnose.words.step_words import caution_texts, step_entry, step_text, why_text
from diagnose.words.take_along_words import (
    answer_lines,
    check_text,
    done_lines,
    found_text,
    on_the_way_lines,
)
from rules.rulebase import RuleBase


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True)


class EvidenceItem(_Part):
    """One fact and what it does to a cause, in decibans (ten log10 of the odds factor)."""

    fact: str
    state: str
    text: str
    decibans: float


class CauseItem(_Part):
    """A ranked cause. `relevant` is False where it can produce none of the complaints.

    `pack` is the id of the pack it comes from, `changed_by` those of the packs that changed it.
    """

    id: str
    name: str
    group: str
    probability: float
    prior: float
    corrected: bool
    relevant: bool
    evidence_for: list[EvidenceItem]
    evidence_against: list[EvidenceItem]
    correction: str
    sources: list[str]
    pack: str
    changed_by: list[str]


class FindingItem(_Part):
    """What is known: an observation's or finding's state, and the rules that concluded it."""

    id: str
    state: str
    rules: list[str]


class FaultItem(_Part):
    """A cause that was seen itself, what shows it, and whether it has been put right since."""

    cause: str
    title: str
    observation: str
    state: str
    text: str
    chance: float
    put_right: bool


class ShouldBeItem(_Part):
    """What a reading of the case should be: whose figure that is (`manual`, `shop`, `published` for
    the kind of bike, `thumb`), the range that such bikes are built to, and whether the reading can
    be judged by it. `value` is empty where no rule of thumb will do."""

    observation: str
    spec: str
    value: str
    rank: str
    usual: str
    judges: bool


class RaisedItem(_Part):
    """A caution, with the rule that raised it."""

    text: str
    rule: str


class BanItem(_Part):
    """A reason not to ride: the rule that forbids it, or the unsafe causes that were found or that
    together are too likely."""

    text: str
    rule: str = ""
    causes: list[str] = Field(default_factory=list)


class ContradictionItem(_Part):
    """Answers that cannot all be true: the rule that says so, and the answers to `check` again."""

    rule: str
    text: str
    check: list[str]


class StepItem(_Part):
    """What to do now. `target` is an observation, correction or rule id, by `kind`."""

    kind: str
    target: str
    text: str
    why: str
    minutes: float
    constraint: str
    cautions: list[str]
    how: list[str]
    sources: list[str]
    pack: str | None


class PlanItem(_Part):
    """A correction in the order to try them, and the chance that its cause is there.

    `look_minutes` is what the check takes that goes before it; null where none would pay.
    """

    correction: str
    title: str
    chance: float
    look_minutes: float | None


class TellingItem(_Part):
    """The open observation most likely to put another cause first."""

    observation: str
    chance_first_changes: float


class CheckItem(_Part):
    """A check to be made in a workshop: what it needs, the suspects it can settle or confirm, and
    what to mind."""

    observation: str
    title: str
    minutes: float
    needs: str
    settles: list[str]
    cautions: list[str]


class SuspectItem(_Part):
    """A cause that is suspected, how likely it is, in figures and words, and what puts it right."""

    cause: str
    title: str
    chance: float
    how_likely: str
    put_right_by: str


class TakeAlongItem(_Part):
    """What a rider takes to a workshop: what is known, what is suspected, and what to check there,
    in order. Why the bike must not be ridden stands in `do_not_ride` of the document."""

    story: str = Field(description="the rider's words, letter for letter")
    found: list[str] = Field(description="faults found, as they are and as they should be")
    put_right: list[str] = Field(description="what was put right, with the rides after it")
    answers: list[str] = Field(description="what speaks for or against the suspects")
    suspected: list[SuspectItem]
    nothing_listed: float
    checks: list[CheckItem]
    on_the_way: list[str] = Field(description="what is looked at while likely work has it open")
    rides_after: list[CheckItem] = Field(description="ride tests, not before it may be ridden")


class PackItem(_Part):
    """A pack of the rule base that made the assessment."""

    id: str
    version: str


class AssessmentDocument(_Part):
    """The whole document. Fields are only ever added within one `version`."""

    format: Literal["badride-assessment"] = "badride-assessment"
    version: Literal[1] = 1
    pack: PackItem = Field(description="the pack at the bottom")
    packs: list[PackItem] = Field(description="all packs, from the bottom up")
    machine: dict[str, str]
    causes: list[CauseItem]
    expected_faults: float = Field(description="how many causes are expected to be there still")
    exact: bool = Field(
        description="whether the chances are exact; else the pieces that tell least were folded in"
    )
    faults_found: list[FaultItem] = Field(description="causes that a check has settled")
    figures: list[ShouldBeItem] = Field(description="what the readings should be, and by whom")
    nothing_listed: float
    findings: list[FindingItem]
    cautions: list[RaisedItem]
    do_not_ride: list[BanItem]
    contradictions: list[ContradictionItem]
    next_step: StepItem
    plan: list[PlanItem]
    expected_minutes: float
    most_telling: TellingItem | None
    sources: dict[str, str] = Field(description="source id -> citation, for every id used above")
    did_you_mean: list[QuestionItem] = Field(
        default_factory=list, description="what the rider's story leaves to be asked"
    )
    take_along: TakeAlongItem | None = Field(
        default=None, description="where a rider is to go to a workshop now: the list for it"
    )


def _ban(rules: RuleBase, case: Case, ban: Ban) -> BanItem:
    text = ban_text(rules, case, ban)
    match ban:
        case Raised(rule=rule):
            return BanItem(text=text, rule=rule)
        case FoundFault(cause=cause):
            return BanItem(text=text, causes=[cause])
        case Danger(causes=causes):
            return BanItem(text=text, causes=list(causes))


def document(
    rules: RuleBase,
    case: Case,
    assessment: Assessment,
    story: Story | None = None,
    along: TakeAlong | None = None,
) -> AssessmentDocument:
    """The document of an assessed case, ready for `model_dump_json`; `story` is what its rider's
    words came to, where it has any, and `along` what the rider takes to a workshop."""
    belief, ranking, step = assessment.belief, assessment.ranking, assessment.step
    plan = assessment.plan
    words = step_text(rules, case, step, assessment.cautions)
    causes = [_cause(rules, case, item) for item in ranking.causes]
    telling = most_telling(assessment.options)
    used = {source for cause in causes for source in cause.sources} | set(words.sources)
    return AssessmentDocument(
        pack=PackItem(id=rules.info.id, version=rules.info.version),
        packs=[PackItem(id=info.id, version=info.version) for info in rules.packs],
        machine=machine_traits(rules, case),
        causes=causes,
        expected_faults=round(assessment.expected_faults, 2),
        exact=assessment.belief.chances.is_exact,
        faults_found=[
            FaultItem(
                cause=fault.cause,
                title=rules.causes[fault.cause].title,
                observation=fault.shown_by.key,
                state=fault.shown_by.state,
                text=evidence_text(rules, fault.shown_by, case),
                chance=_rounded(fault.chance),
                put_right=fault.put_right,
            )
            for fault in assessment.faults
        ],
        figures=list(_figures(rules, case)),
        nothing_listed=_rounded(ranking.nothing_listed),
        findings=[
            FindingItem(
                id=name, state=state, rules=list(belief.findings.rules_behind.get(name, ()))
            )
            for name, state in belief.findings.states.items()
            if name not in rules.traits
        ],
        cautions=[
            RaisedItem(text=caution_texts(rules, [item.text])[0], rule=item.rule)
            for item in belief.findings.cautions
        ],
        do_not_ride=[_ban(rules, case, ban) for ban in assessment.bans],
        contradictions=[
            ContradictionItem(rule=item.rule, text=item.text, check=list(item.check))
            for item in belief.findings.contradictions
        ],
        next_step=StepItem(
            kind=step.kind,
            target=step.target,
            text=words.heading,
            why=why_text(rules, step),
            minutes=step.minutes,
            constraint=step.constraint,
            cautions=list(words.cautions),
            how=list(words.how),
            sources=list(words.sources),
            pack=_step_pack(rules, step),
        ),
        plan=[
            PlanItem(
                correction=name,
                title=rules.corrections[name].title,
                chance=_rounded(chance),
                look_minutes=look,
            )
            for name, chance, look in zip(plan.corrections, plan.chances, plan.checks, strict=True)
        ],
        expected_minutes=round(assessment.plan.expected_minutes, 1),
        most_telling=telling,
        sources={source: source_text(rules, source) for source in sorted(used)},
        did_you_mean=[] if story is None else question_items(rules, story),
        take_along=None if along is None else _take_along(rules, case, along),
    )


def _take_along(rules: RuleBase, case: Case, along: TakeAlong) -> TakeAlongItem:
    return TakeAlongItem(
        story=told_in(case),
        found=[found_text(rules, case, fault) for fault in along.found],
        put_right=done_lines(rules, case),
        answers=answer_lines(rules, case, along),
        suspected=[
            SuspectItem(
                cause=cause,
                title=rules.causes[cause].title,
                chance=_rounded(chance),
                how_likely=how_likely(chance),
                put_right_by=rules.causes[cause].correction,
            )
            for repair in along.repairs
            for cause, chance in repair.causes
        ],
        nothing_listed=_rounded(along.nothing_listed),
        checks=_checks(rules, along.checks),
        on_the_way=on_the_way_lines(rules, along),
        rides_after=_checks(rules, along.after),
    )


def _checks(rules: RuleBase, rows: Sequence[SheetRow]) -> list[CheckItem]:
    return [
        CheckItem(
            observation=row.about,
            title=(words := check_text(rules, row)).title,
            minutes=row.minutes,
            needs=words.needs,
            settles=[cause for cause, _ in row.settles],
            cautions=list(caution_texts(rules, row.cautions)),
        )
        for row in rows
    ]


def _figures(rules: RuleBase, case: Case) -> Iterator[ShouldBeItem]:
    for name, answer in standing(case).answers.items():
        spec = rules.observations[name].target
        if answer.reading is None or spec is None:
            continue
        figure = figure_of(rules, case, spec)
        yield ShouldBeItem(
            observation=name,
            spec=spec,
            value=str(figure.value) if figure.says_anything else "",
            rank=figure.rank,
            usual=" to ".join(str(end) for end in figure.usual or ()),
            judges=figure.judges(answer.reading),
        )


def most_telling(options: tuple[Option, ...]) -> TellingItem | None:
    """The observation that would most probably change which cause stands first."""
    if not options:
        return None
    best = max(options, key=lambda o: (o.changes_first, o.net, o.observation))
    return TellingItem(
        observation=best.observation, chance_first_changes=_rounded(best.changes_first)
    )


def _cause(rules: RuleBase, case: Case, item: RankedCause) -> CauseItem:
    entry = rules.causes[item.cause]
    return CauseItem(
        id=item.cause,
        name=entry.title,
        group=entry.group,
        probability=_rounded(item.probability),
        prior=_rounded(item.prior),
        corrected=item.corrected,
        relevant=item.relevant,
        evidence_for=[_evidence(rules, case, weight) for weight in item.supporting],
        evidence_against=[_evidence(rules, case, weight) for weight in item.opposing],
        correction=entry.correction,
        sources=sorted(entry.sources),
        pack=rules.origins[("causes", item.cause)].pack,
        changed_by=[change.pack for change in rules.changes("causes", item.cause)],
    )


def _step_pack(rules: RuleBase, step: Step) -> str | None:
    origin = rules.origins.get(step_entry(step))
    return origin.pack if origin is not None else None


def _evidence(rules: RuleBase, case: Case, weight: Weight) -> EvidenceItem:
    item = weight.evidence
    return EvidenceItem(
        fact=item.key,
        state=item.state,
        text=evidence_text(rules, item, case),
        decibans=round(weight.decibans, 1),
    )


def _rounded(share: float) -> float:
    return round(share, 4)
