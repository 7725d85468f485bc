"""The values of a bike as the harshness screen holds them: stepped, typed and taken back."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

from diagnose.case.events import Case, machine_traits, standing
from diagnose.case.figures import figure_of
from diagnose.harshness.budget_evidence import VALUE_OF_ROLE
from diagnose.harshness.compared_bike import build_case
from diagnose.harshness.stand_in import stand_in
from diagnose.harshness.values import VALUES, End, KnownValues, Value, read_value
from diagnose.records.cases.known import NOTED
from rules.loading.pack_defaults import FULL_SIZE
from rules.problems import BadInput
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity, parse_quantity, with_unit

# how far one key press changes a value, in the unit that it is written in
_STEPS: Mapping[str, float] = {
    "psi": 1.0, "bar": 0.05, "kPa": 5.0, "clicks": 1.0, "turns": 0.25,
    "mm": 5.0, "cm": 0.5, "in": 0.25, "kgf/mm": 0.01, "lbf/in": 1.0,
}  # fmt: skip
_SPRING_STEPS = {"fork-spring": 0.1, "shock-spring": 2.0}


def label(name: str) -> str:
    """What a value is called in a list of one end."""
    return VALUES[name].label


@dataclass(frozen=True, slots=True)
class Sheet:
    """What is known of the bike, and which end is looked at.

    `thumb` holds the rules of thumb of the rule base. `read` are the readings that a case or the
    bike's record holds; every other one is only tried, or was told. `asked_by` has the observation
    of each value that the rule base asks for.
    Every change gives a new sheet, or raises `BadInput` with what would be accepted.
    """

    known: KnownValues = field(default_factory=KnownValues)
    end: End = End.FRONT
    thumb: Mapping[str, Quantity] = field(default_factory=dict)
    read: Mapping[str, Quantity] = field(default_factory=dict)
    asked_by: Mapping[str, str] = field(default_factory=dict)

    @property
    def names(self) -> tuple[str, ...]:
        """The values of the end looked at that a bike of this kind has."""
        here = (value for value in VALUES.values() if value.end is self.end)
        return tuple(value.name for value in here if value.is_on(self.known.traits))

    def measured(self, name: str) -> Quantity | None:
        """The reading of a value; None where it was not measured."""
        return self.known.measured.get(name)

    def is_read(self, name: str) -> bool:
        """Whether the reading of a value is one that the case or the bike's record holds."""
        return name in self.read and self.read[name] == self.measured(name)

    def target(self, name: str) -> Quantity:
        """What a value should be: by the manual, the rule of thumb or the stand-in bike."""
        value = VALUES[name]
        return self.known.targets.get(name) or parse_quantity(value.standard, value.unit)

    def is_thumb(self, name: str) -> bool:
        """Whether what it should be is a rule of thumb."""
        return not self.known.is_given(name)

    def stepped(self, name: str, by: int) -> Sheet:
        """The sheet with a reading `by` steps on from the one before or what should be."""
        value = VALUES[name]
        now = self.measured(name) or self.target(name)
        if now.unit not in _STEPS or now.kind == "spring rate":
            now = now.to(value.unit)
        size = _SPRING_STEPS.get(name, _STEPS.get(now.unit, 1.0))
        return self._with_measured(name, f"{now.value + by * size:.6f} {now.unit}")

    def typed(self, name: str, text: str) -> Sheet:
        """The sheet with a reading as written; a bare number has the unit of what should be."""
        return self._with_measured(name, self._with_unit(name, text))

    def kept(self, name: str) -> Sheet:
        """The sheet once the reading of a value is the case's."""
        return replace(self, read={**self.read, name: self.known.measured[name]})

    def typed_target(self, name: str, text: str) -> Sheet:
        """The sheet with the manual's figure as written; a bare number is in the unit of the figure
        before."""
        figure = read_value(name, self._with_unit(name, text))
        targets = {**self.known.targets, name: figure}
        thumbs = self.known.thumbs - {name}
        return replace(self, known=replace(self.known, targets=targets, thumbs=thumbs))

    def unmeasured(self, name: str) -> Sheet:
        """The sheet without the reading of a value."""
        measured = {key: item for key, item in self.known.measured.items() if key != name}
        return replace(self, known=replace(self.known, measured=measured))

    def by_thumb(self, name: str) -> Sheet:
        """The sheet with the rule of thumb in place of the manual's figure."""
        targets = {key: item for key, item in self.known.targets.items() if key != name}
        if name in self.thumb:
            targets[name] = self.thumb[name]
        thumbs = (self.known.thumbs - {name}) | (self.thumb.keys() & {name})
        return replace(self, known=replace(self.known, targets=targets, thumbs=thumbs))

    def at_other_end(self) -> Sheet:
        """The other end of the same bike."""
        return replace(self, end=End.REAR if self.end is End.FRONT else End.FRONT)

    def _with_unit(self, name: str, text: str) -> str:
        return with_unit(text, self.target(name).unit)

    def _with_measured(self, name: str, text: str) -> Sheet:
        measured = {**self.known.measured, name: read_value(name, text)}
        return replace(self, known=replace(self.known, measured=measured))


def sheet_of(rules: RuleBase, case: Case, hidden: frozenset[str] = frozenset()) -> Sheet:
    """The readings of a case that the harshness budget takes, and what they should be.

    They are those that the rule base puts into its computed findings; `hidden` names observations
    that do not apply. What nobody read is taken as it was told, where the rule base asks for that.
    """
    now = standing(case)
    read: dict[str, Quantity] = {}
    told: dict[str, Quantity] = {}
    asked_by: dict[str, str] = {}
    targets: dict[str, Quantity] = {}
    thumb: dict[str, Quantity] = {}
    thumbs: set[str] = set()
    usual: dict[str, tuple[Quantity, Quantity]] = {}
    bare = Case(case.machine)
    for name, observation in _observations(rules):
        entry = rules.observations[observation]
        if entry.target is not None and name in VALUES:
            found = figure_of(rules, case, entry.target)
            figure, by_thumb = found.value, not found.is_own
            # of what all kinds are built to alike, a fault is no surprise
            if found.usual is not None and rules.specs[entry.target].by is not None:
                usual[name] = found.usual
            rule, standard = figure_of(rules, bare, entry.target).value, _standard(VALUES[name])
            if _can_be(name, rule) and rule != standard:
                thumb[name] = rule
            if _can_be(name, figure) and (not by_thumb or figure != standard):
                targets[name] = figure
                thumbs |= {name} if by_thumb else set()
        if observation in hidden:
            continue
        asked_by[name] = observation
        for source, by_value in ((observation, read), (f"{observation}{NOTED}", told)):
            answer = now.answers.get(source)
            if answer and answer.reading and _can_be(name, answer.reading):
                by_value[name] = answer.reading
    traits = machine_traits(rules, case)
    for name, figure in _springs(traits.get("class", FULL_SIZE)).items():
        thumb[name] = targets[name] = figure
        thumbs.add(name)
    known = KnownValues(_with_air({**told, **read}), targets, usual, traits, frozenset(thumbs))
    front = {complained.place for complained in now.complaints} != {"rear"}
    ends = {VALUES[name].end for name in known.measured if name in VALUES}
    if ends == {End.REAR}:
        front = False
    end = End.FRONT if front else End.REAR
    return Sheet(known, end, thumb, _with_air(read), asked_by)


def _observations(rules: RuleBase) -> Iterator[tuple[str, str]]:
    """(value, observation) of everything that the rule base puts into a harshness budget."""
    for finding in rules.findings.values():
        asked = finding.computed
        for end, names in VALUE_OF_ROLE.items():
            if asked is not None and asked.by.startswith(f"{end}-harshness"):
                yield from ((names[role], name) for role, name in asked.inputs.items())


def _springs(kind: str) -> dict[str, Quantity]:
    """Rates of the springs that a kind of bike other than full-size would have, by its stand-in."""
    bike, full = stand_in(kind), stand_in()
    if bike == full:
        return {}
    rates = {
        "fork-spring": bike.front.spring_rate / full.front.spring_rate,
        "shock-spring": bike.rear.spring_rate / full.rear.spring_rate,
    }
    standards = {name: _standard(VALUES[name]) for name in rates}
    return {
        name: Quantity(float(f"{share * standards[name].value:.2g}"), standards[name].unit)
        for name, share in rates.items()
    }


def _with_air(measured: Mapping[str, Quantity]) -> dict[str, Quantity]:
    """The air that a climb since the last bleed has trapped, as a pressure to be stepped."""
    if "ridden-at" not in measured:
        return dict(measured)
    climb = {"bled-at": Quantity(0.0, "m"), "ridden-at": measured["ridden-at"]}
    air = build_case(KnownValues(climb)).used_value("trapped-air").measured
    assert air is not None
    return {**measured, "trapped-air": air}


def _standard(value: Value) -> Quantity:
    return parse_quantity(value.standard, value.unit)


def _can_be(name: str, figure: Quantity) -> bool:
    try:
        read_value(name, f"{figure.value:.6f} {figure.unit}")
    except BadInput:
        return False
    return True
