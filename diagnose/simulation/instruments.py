"""What instruments show on a simulated bike, so that readings and findings fit together.

The model draws a state for every measurement that is evidence and for every finding. Readings are
then chosen within those states such that the pack's rules conclude from them what was drawn. A
measurement that only feeds rules has no state of its own: it is free, and starts from normal or
from the reading it is held against.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from diagnose.case.events import Case
from diagnose.case.figures import figure_of
from diagnose.findings.bands import reading_bands, state_of_reading
from diagnose.findings.concluding import finding_inputs, most_telling
from diagnose.findings.plain_reasoning import holds
from diagnose.simulation.chance import Dice
from rules.language.conditions import leaves, names_in
from rules.language.schema import Observation, Rule
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity, parse_quantity

StateOf = Callable[[str], str]
MakeDice = Callable[..., Dice]

_MOST_TRIES = 250


@dataclass(frozen=True, slots=True)
class Instrument:
    """How finely an instrument is read and how far off it may be, in one unit."""

    step: float
    noise: float


_FINE = Instrument(0.001, 0.0)


@dataclass(frozen=True, slots=True)
class _Group:
    """Measurements tied together by the findings that rules draw from them.

    `rules` conclude these findings, or contradict these measurements alone; `others` are the other
    observations that those rules look at.
    """

    measurements: tuple[str, ...]
    findings: tuple[str, ...]
    rules: tuple[Rule, ...]
    others: tuple[str, ...]


class Readings:
    """The readings of one bike. The same states give the same readings."""

    def __init__(
        self,
        rules: RuleBase,
        case: Case,
        dice: MakeDice,
        instruments: Mapping[str, Instrument] | None = None,
    ) -> None:
        self._rules = rules
        self._dice = dice
        self._instruments = instruments or {}
        self._targets = {
            name: figure_of(rules, case, spec).value
            for name, entry in rules.observations.items()
            if (spec := entry.target or entry.enters) is not None
        }
        self._group_of = {name: group for group in _groups(rules) for name in group.measurements}
        self._chosen: dict[tuple[str, ...], dict[str, float]] = {}

    def read(self, name: str, state_of: StateOf) -> Quantity:
        """What the instrument shows; `state_of` gives the drawn state of any node."""
        entry = self._rules.observations[name]
        assert entry.unit is not None
        group = self._group_of.get(name, _Group((name,), (), (), ()))
        key = (*group.measurements, *(self._states(group, state_of)))
        if key not in self._chosen:
            self._chosen[key] = self._choose(group, state_of)
        return Quantity(self._chosen[key][name], entry.unit)

    def _states(self, group: _Group, state_of: StateOf) -> list[str]:
        nodes = self._rules.nodes
        names = [*group.measurements, *group.findings, *group.others]
        return [state_of(name) for name in names if name in nodes]

    def _choose(self, group: _Group, state_of: StateOf) -> dict[str, float]:
        """The first readings tried that say what was drawn; the nearest to it if none does.

        The first try is the same for as long as a measurement's own state is, and a later try
        moves only some of the readings: what a correction did not touch seldom reads otherwise.
        """
        best: tuple[int, dict[str, float]] | None = None
        dice = self._dice("readings", *group.measurements)
        for attempt in range(_MOST_TRIES if group.findings else 1):
            readings: dict[str, float] = {}
            for name in group.measurements:
                moved = attempt > 0 and dice.unit() < 0.5
                number = 1 + int(dice.unit() * 50) if moved else 0
                readings[name] = self._candidate(name, number, readings, state_of)
            wrong = self._disagreements(group, readings, state_of)
            if best is None or wrong < best[0]:
                best = (wrong, readings)
            if wrong == 0:
                break
        assert best is not None
        return best[1]

    # -- single readings -------------------------------------------------------------------------

    def _candidate(
        self, name: str, number: int, readings: Mapping[str, float], state_of: StateOf
    ) -> float:
        entry = self._rules.observations[name]
        if entry.enters is not None and entry.unit is not None:
            return self._targets[name].to(entry.unit).value
        dice = self._dice("reading", name, str(number))
        if name in self._rules.nodes:
            return self._in_band(name, entry, state_of(name), number)
        if entry.bands:
            state = dice.choose(list(entry.states)) if number else entry.normal
            return self._in_band(name, entry, state, number)
        low, high = _limits(entry)
        partner = next(
            ((other, by) for other, by in _partners(self._rules, name) if other in readings), None
        )
        if partner is not None:
            other, by = partner
            apart = by * dice.choose((0.0, 1.3, 2.0, 3.0)) * dice.choose((-1, 1)) if number else 0.0
            spot = readings[other] + apart
        elif name in self._targets:
            assert entry.unit is not None
            spot = self._targets[name].to(entry.unit).value
        else:
            spot = low + (0.3 + 0.2 * dice.unit()) * (high - low)
        instrument = self._instruments.get(entry.unit or "", _FINE)
        shown = _snapped(spot + dice.around(instrument.noise), instrument.step)
        return min(max(shown, low), high)

    def _in_band(self, name: str, entry: Observation, state: str, number: int) -> float:
        """A reading in the state's band, as near its limits as readings of a fault often are."""
        assert entry.unit is not None
        target = self._targets.get(name)
        least, most = _limits(entry)
        low, high = next(
            (max(low, least), min(high, most))
            for _, banded, low, high in reading_bands(entry, target)
            if banded == state
        )
        # readings crowd near the limit rather than spread to the ends of the instrument
        span = min(high - low, max(abs(target.to(entry.unit).value), 1.0) if target else high - low)
        near = low if low > least else high - span
        words = ("reading", name, state) if number == 0 else ("reading", name, state, str(number))
        dice = self._dice(*words)
        spot = near + (0.15 + 0.7 * dice.unit()) * span
        instrument = self._instruments.get(entry.unit, _FINE)
        noisy = spot + dice.around(instrument.noise)
        # what the reading shows is what the model drew, its error included
        for value in (_snapped(noisy, instrument.step), _snapped(spot, instrument.step)):
            if least <= value <= most and state_of_reading(entry, target, value) == state:
                return value
        return round(spot, 3)

    # -- what rules make of them -----------------------------------------------------------------

    def _disagreements(
        self, group: _Group, readings: Mapping[str, float], state_of: StateOf
    ) -> int:
        """How many findings come out other than drawn, and contradictions stand."""
        rules = self._rules
        if not group.findings:
            return 0
        states = {name: state_of(name) for name in group.others if name in rules.nodes}
        for name, value in readings.items():
            entry = rules.observations[name]
            if entry.bands:
                states[name] = state_of_reading(entry, self._targets.get(name), value)
        concluded: dict[str, list[str]] = {finding: [] for finding in group.findings}
        wrong = 0
        for rule in group.rules:
            if not holds(rules, rule.when, states, readings, self._targets):
                continue
            if rule.then.finding is None:
                wrong += 1
            for finding, state in (rule.then.finding or {}).items():
                concluded[finding].append(state)
        for finding, found in concluded.items():
            wrong += most_telling(rules, finding, found) != state_of(finding)
        return wrong


def _snapped(value: float, step: float) -> float:
    return round(round(value / step) * step, 3)


def _limits(entry: Observation) -> tuple[float, float]:
    assert entry.unit is not None and entry.limits is not None
    low, high = (parse_quantity(text, entry.unit).to(entry.unit).value for text in entry.limits)
    return low, high


def _partners(rules: RuleBase, name: str) -> Iterator[tuple[str, float]]:
    """The measurements that rules hold this one against, and by how much they may differ."""
    for rule in rules.rules.values():
        for leaf, _ in leaves(rule.when):
            other = leaf.exceeds or leaf.differs_from
            if rule.then.finding and leaf.reading is not None and other is not None:
                assert leaf.by is not None
                unit = rules.observations[leaf.reading].unit
                assert unit is not None
                by = abs(parse_quantity(leaf.by, unit).to(unit).value)
                if name == leaf.reading:
                    yield other, by
                elif name == other:
                    yield leaf.reading, by


def _groups(rules: RuleBase) -> list[_Group]:
    """Measurements that share a finding belong together, those with a state of their own first."""
    tied: list[tuple[set[str], list[str]]] = []
    for finding, names in finding_inputs(rules).items():
        measured = {n for n in names if n in rules.observations and rules.observations[n].unit}
        if not measured or rules.findings[finding].computed is not None:
            continue
        merged: tuple[set[str], list[str]] = (measured, [finding])
        for other in [item for item in tied if item[0] & measured]:
            tied.remove(other)
            merged[0].update(other[0])
            merged[1].extend(other[1])
        tied.append(merged)
    return [_group(rules, names, frozenset(found)) for names, found in tied]


def _group(rules: RuleBase, names: set[str], findings: frozenset[str]) -> _Group:
    bearing, others = [], dict[str, None]()
    for rule in rules.rules.values():
        looked_at = set(names_in(rule.when))
        concludes = findings & set(rule.then.finding or {})
        if concludes:
            seen = [n for n in sorted(looked_at - names) if n in rules.observations]
            others.update(dict.fromkeys(seen))
        if concludes or (rule.then.contradiction is not None and looked_at <= names):
            bearing.append(rule)
    return _Group(_free_last(rules, names), tuple(sorted(findings)), tuple(bearing), tuple(others))


def _free_last(rules: RuleBase, names: set[str]) -> tuple[str, ...]:
    def rank(name: str) -> tuple[bool, bool, str]:
        entry = rules.observations[name]
        return (not entry.is_evidence, not entry.bands, name)

    ordered: Sequence[str] = sorted(names, key=rank)
    return tuple(ordered)
