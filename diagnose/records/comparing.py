"""The baseline against how the bike stands now, with the way back."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from diagnose.case import Answered, target_of
from diagnose.records.bikes import Bike, Setting
from rules.quantities import BadQuantity, Quantity
from rules.rulebase import RuleBase


@dataclass(frozen=True, slots=True)
class Difference:
    """One setting: as it was, as it is, and what takes it back.

    `back` is now to baseline in the baseline's unit, None for a state and where nothing differs.
    `target` is what the manual (or a rule of thumb) says.
    """

    observation: str
    title: str
    baseline: Setting
    now: Setting
    back: Quantity | None
    target: Quantity | None
    rule_of_thumb: bool

    @property
    def differs(self) -> bool:
        """Whether it stands otherwise than in the baseline."""
        if self.back is not None:
            return True
        return self.baseline.answer.state != self.now.answer.state


def differences(rules: RuleBase, bike: Bike) -> list[Difference]:
    """Every setting on record that the rule base knows, in its order."""
    return list(_differences(rules, bike))


def _differences(rules: RuleBase, bike: Bike) -> Iterator[Difference]:
    for key, entry in rules.observations.items():
        if key not in bike.now:
            continue
        before, now = bike.baseline[key], bike.now[key]
        target, thumb = (None, False)
        if entry.target is not None:
            target, thumb = target_of(rules, bike.machine, entry.target)
        yield Difference(
            key, entry.ask, before, now, _back(before.answer, now.answer), target, thumb
        )


def _back(before: Answered, now: Answered) -> Quantity | None:
    if before.reading is None or now.reading is None:
        return None
    try:
        step = before.reading.value - now.reading.to(before.reading.unit).value
    except BadQuantity:
        return None
    step = round(step, 6)
    return Quantity(step, before.reading.unit) if step else None


def back_words(difference: Difference) -> str:
    """`3 clicks more` or `2 mm less` than it stands at now; nothing where it stands the same."""
    if difference.back is None:
        return "set back" if difference.differs else ""
    step = difference.back
    return f"{Quantity(abs(step.value), step.unit)} {'more' if step.value > 0 else 'less'}"
