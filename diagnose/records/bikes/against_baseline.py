"""A bike's settings against its baseline and its targets."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.case.figures import Figure, figure_of
from diagnose.records.bikes.bike import Bike, Setting
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity


@dataclass(frozen=True, slots=True)
class SettingDifference:
    """One setting: its baseline, if it has one, and how it is now.

    `figure` is what it should be, where the rule base has that.
    """

    observation: str
    title: str
    baseline: Setting | None
    now: Setting
    figure: Figure | None

    @property
    def target(self) -> Quantity | None:
        """What it should be, as far as that may be shown."""
        return self.figure.value if self.figure and self.figure.says_anything else None

    @property
    def is_own(self) -> bool:
        """Whether that is this bike's own figure."""
        return self.figure is not None and self.figure.is_own


def differences(rules: RuleBase, bike: Bike) -> list[SettingDifference]:
    """Every setting on record that the rule base knows, in its order."""
    found = []
    for key, entry in rules.observations.items():
        if key not in bike.now:
            continue
        figure = None if entry.target is None else figure_of(rules, bike.machine, entry.target)
        baseline, now = bike.baseline.get(key), bike.now[key]
        found.append(SettingDifference(key, entry.ask, baseline, now, figure))
    return found
