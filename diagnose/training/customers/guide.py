"""What a pack says about training: themes, customers, instruments, and what counts for how much."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Literal, Self

from pydantic import Field, ValidationError, model_validator

from diagnose.simulation.instruments import Instrument
from rules.language.schema import Id, Ids, Line, Lines, Share, Source, Sourced, StrictModel, Text
from rules.loading.pack_files import TRAINING
from rules.problems import BadInput, FileProblems, Problem
from rules.rulebase import RuleBase
from rules.units.quantities import unit_kind
from rules.yaml_source import Location, YamlText, read_yaml_file, suggest

GUIDE_FILE = "guide.yaml"
MeasureId = Literal[
    "right-cause", "proven", "expected-cost", "order", "information", "closure", "cautions"
]
MEASURES: tuple[MeasureId, ...] = (
    "right-cause", "proven", "expected-cost", "order", "information", "closure", "cautions",
)  # fmt: skip
Grade = Literal["area", "kind", "step"]
GRADES: tuple[Grade, ...] = ("area", "kind", "step")
"""How much a hint gives away, least first."""

Points = Annotated[float, Field(ge=0, le=100, strict=False)]


class Some(Sourced):
    """Some causes: those of the groups and those named."""

    groups: Ids = ()
    causes: Ids = ()

    @model_validator(mode="after")
    def _not_empty(self) -> Self:
        if not (self.groups or self.causes):
            raise ValueError("name `groups` or `causes`")
        return self


class Theme(Some):
    """What a trainee can be drilled in."""

    title: Line
    about: Text


class CustomerNotes(Sourced):
    """Invented customers, and how their bikes are drawn."""

    riders: Annotated[Lines, Field(min_length=1)]
    told: Annotated[int, Field(ge=0, le=10)]
    usual_machine: Share


class CustomerWords(Sourced):
    """How customers put complaints and what happened, in whole sentences: `{place}` stands for one
    of `places`, `{cause}` for a cause of which they guess. What is not here is said as it is asked.
    """

    places: dict[Id, str] = Field(default_factory=dict)
    complaints: dict[Id, Lines] = Field(default_factory=dict)
    history: dict[Id, dict[Id, Line]] = Field(default_factory=dict)
    guess_share: Share = 0.0
    guesses: Lines = ()
    temper_share: Share = 0.0
    tempers: Lines = ()


class Precision(StrictModel):
    """Finest step read off and greatest error, in the unit it stands under."""

    step: Annotated[float, Field(gt=0, strict=False)]
    noise: Annotated[float, Field(ge=0, strict=False)]


class Instruments(Sourced):
    """Precision by unit of the measurement."""

    units: dict[str, Precision]


class FixedList(Sourced):
    """Observations that one habit makes on every bike, in this order."""

    observations: Ids


class Cures(Sourced):
    """Checks that put something right as they are made, with the correction they amount to."""

    checks: dict[Id, Id]


class WrongWork(Sourced):
    """How often work that was not needed leaves something worse, and what it can leave, by the
    group of the cause it was meant for."""

    chance: Share
    leaves: dict[Id, Ids]


class MeasureNote(Sourced):
    """One thing that counts: its points of the hundred, and what it means."""

    title: Line
    points: Points
    meaning: Text


class Scoring(Sourced):
    """What counts for how much. Minutes, decibans and points as the fields say."""

    measures: dict[MeasureId, MeasureNote]
    pass_mark: Points
    guess_cap: Points
    cost_power: Annotated[float, Field(ge=1, le=5, strict=False)]
    no_use_below: Annotated[float, Field(ge=0, strict=False)]
    turns_from: Share = 0.01
    speaks_from: Annotated[float, Field(ge=0, strict=False)]
    hints: dict[Grade, Points]

    @model_validator(mode="after")
    def _complete(self) -> Self:
        for wanted, given, name in (
            (MEASURES, self.measures, "measures"),
            (GRADES, self.hints, "hints"),
        ):
            missing = [key for key in wanted if key not in given]
            if missing:
                raise ValueError(f"`{name}` lacks {', '.join(missing)}")
        if self.guess_cap >= self.pass_mark:
            raise ValueError(f"`guess_cap` must be below `pass_mark`, {self.pass_mark:g}")
        total = sum(note.points for note in self.measures.values())
        if abs(total - 100) > 1e-9:
            raise ValueError(f"the points add up to {total:g}, not to 100")
        return self


class GuideFile(StrictModel):
    """The shape of `training/guide.yaml`."""

    training: Literal[1]
    sources: dict[Id, Source] = Field(default_factory=dict)
    themes: dict[Id, Theme] = Field(min_length=1)
    not_suspension: Some
    customer: CustomerNotes
    words: CustomerWords | None = None
    instruments: Instruments
    checklist: FixedList
    cures: Cures | None = None
    wrong_work: WrongWork | None = None
    standing_cautions: Ids = ()
    scoring: Scoring


@dataclass(frozen=True, slots=True)
class Guide:
    """A pack's training guide, checked. `sources` holds the pack's and the guide's own, `cures`
    the correction that a check amounts to, by observation. A check with no other cautions than the
    `standing_cautions`, which hold for all work, has nothing to stop for."""

    themes: Mapping[str, Theme]
    not_suspension: Some
    customer: CustomerNotes
    words: CustomerWords | None
    instruments: Mapping[str, Instrument]
    checklist: FixedList
    cures: Mapping[str, str]
    wrong_work: WrongWork | None
    standing_cautions: frozenset[str]
    scoring: Scoring
    sources: Mapping[str, Source]


def load_guide(rules: RuleBase, pack: Path) -> Guide:
    """The guide of the pack in folder `pack`, less what is switched off. Raises `FileProblems`."""
    path = pack / TRAINING / GUIDE_FILE
    name = f"{pack.name}/{TRAINING}/{GUIDE_FILE}"
    if not path.is_file():
        message = "this rule base has no training guide, so nobody can be trained on it"
        raise FileProblems([Problem(name, 1, 1, "missing", "", message)])
    document = read_yaml_file(path, name)
    try:
        shape = GuideFile.model_validate(document.data)
    except ValidationError as error:
        raise FileProblems(document.from_validation(error)) from error
    shape = _without(rules, shape)
    problems = list(_problems(rules, document, shape))
    if problems:
        raise FileProblems(problems)
    instruments = {
        unit: Instrument(precision.step, precision.noise)
        for unit, precision in shape.instruments.units.items()
    }
    return Guide(
        shape.themes,
        shape.not_suspension,
        shape.customer,
        shape.words,
        instruments,
        shape.checklist,
        shape.cures.checks if shape.cures else {},
        shape.wrong_work,
        frozenset(shape.standing_cautions),
        shape.scoring,
        {**rules.sources, **shape.sources},
    )


def _without(rules: RuleBase, shape: GuideFile) -> GuideFile:
    """The guide without what a pack has switched off, and without themes that are left empty."""
    if not rules.off:
        return shape
    groups = {cause.group for cause in rules.causes.values()}
    lost = any(section == "causes" for section, _ in rules.off)

    def still(section: str, names: Ids) -> Ids:
        return tuple(name for name in names if (section, name) not in rules.off)

    def less(some: Some) -> dict[str, Ids]:
        kept = tuple(group for group in some.groups if group in groups or not lost)
        return {"groups": kept, "causes": still("causes", some.causes)}

    themes = {key: theme.model_copy(update=less(theme)) for key, theme in shape.themes.items()}
    listed = still("observations", shape.checklist.observations)
    changes: dict[str, object] = {
        "themes": {key: theme for key, theme in themes.items() if theme.groups or theme.causes},
        "not_suspension": shape.not_suspension.model_copy(update=less(shape.not_suspension)),
        "checklist": shape.checklist.model_copy(update={"observations": listed}),
    }
    if shape.cures:
        checks = {
            check: work
            for check, work in shape.cures.checks.items()
            if not {("observations", check), ("corrections", work)} & rules.off.keys()
        }
        changes["cures"] = shape.cures.model_copy(update={"checks": checks})
    if shape.words:
        kept = {
            "complaints": {
                key: said
                for key, said in shape.words.complaints.items()
                if ("complaints", key) not in rules.off
            },
            "history": {
                key: said
                for key, said in shape.words.history.items()
                if ("observations", key) not in rules.off
            },
        }
        changes["words"] = shape.words.model_copy(update=kept)
    if shape.wrong_work:
        leaves = {
            group: still("causes", left)
            for group, left in shape.wrong_work.leaves.items()
            if group in groups or not lost
        }
        changes["wrong_work"] = shape.wrong_work.model_copy(update={"leaves": leaves})
    return shape.model_copy(update=changes)


def causes_of(rules: RuleBase, some: Some) -> frozenset[str]:
    """The causes that `some` stands for."""
    return frozenset(
        key for key, cause in rules.causes.items() if cause.group in some.groups
    ) | frozenset(some.causes)


def theme_named(guide: Guide, name: str) -> Theme:
    """A theme. Raises `BadInput` naming those there are."""
    if name not in guide.themes:
        known = list(guide.themes)
        raise BadInput(
            f"{name!r} is not a theme{suggest(name, known)}; there are {', '.join(known)}"
        )
    return guide.themes[name]


def _problems(rules: RuleBase, document: YamlText, shape: GuideFile) -> Iterator[Problem]:
    groups = dict.fromkeys(cause.group for cause in rules.causes.values())
    sources = {**rules.sources, **shape.sources}

    def unknown(
        location: Location, names: Ids, known: Mapping[str, object], what: str
    ) -> Iterator[Problem]:
        for name in names:
            if name not in known:
                hint = suggest(name, list(known))
                yield document.problem("reference", location, f"{name!r} is not {what}{hint}")

    some: list[tuple[Location, Some]] = [(("not_suspension",), shape.not_suspension)]
    some += [(("themes", key), theme) for key, theme in shape.themes.items()]
    for location, entry in some:
        yield from unknown((*location, "groups"), entry.groups, groups, "a group of causes")
        yield from unknown((*location, "causes"), entry.causes, rules.causes, "a cause")
    sourced: list[tuple[Location, Sourced]] = [
        *some,
        (("customer",), shape.customer),
        (("instruments",), shape.instruments),
        (("checklist",), shape.checklist),
        (("scoring",), shape.scoring),
        *((("scoring", "measures", key), note) for key, note in shape.scoring.measures.items()),
    ]
    for location, item in sourced:
        yield from unknown((*location, "source"), item.source, sources, "a source")
    names = shape.checklist.observations
    yield from unknown(("checklist", "observations"), names, rules.observations, "an observation")
    if shape.cures:
        at = ("cures", "checks")
        checks, works = tuple(shape.cures.checks), tuple(shape.cures.checks.values())
        yield from unknown(at, checks, rules.observations, "an observation")
        yield from unknown(at, works, rules.corrections, "a correction")
        yield from unknown(("cures", "source"), shape.cures.source, sources, "a source")
    if shape.words:
        at = ("words", "complaints")
        yield from unknown(at, tuple(shape.words.complaints), rules.complaints, "a complaint")
        at = ("words", "history")
        yield from unknown(at, tuple(shape.words.history), rules.observations, "an observation")
        for name, said in shape.words.history.items():
            states = rules.observations[name].states if name in rules.observations else said
            yield from unknown((*at, name), tuple(said), states, "a state of it")
        yield from unknown(("words", "source"), shape.words.source, sources, "a source")
    always = shape.standing_cautions
    yield from unknown(("standing_cautions",), always, rules.cautions, "a caution")
    if shape.wrong_work:
        at = ("wrong_work", "leaves")
        yield from unknown(at, tuple(shape.wrong_work.leaves), groups, "a group of causes")
        for group, left in shape.wrong_work.leaves.items():
            yield from unknown((*at, group), left, rules.causes, "a cause")
        yield from unknown(("wrong_work", "source"), shape.wrong_work.source, sources, "a source")
    for unit in shape.instruments.units:
        try:
            unit_kind(unit)
        except BadInput as error:
            yield document.problem("unit", ("instruments", "units", unit), str(error))
