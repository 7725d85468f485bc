"""The baseline against how the bike stands now."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from diagnose.case.events import target_of
from diagnose.records.bikes.bike import Bike, Setting
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity


@dataclass(frozen=True, slots=True)
class SettingDifference:
    """One setting: as it should stand by its baseline, if it has one, and as it is.

    `target` is what the manual (or a rule of thumb) says.
    """

    observation: str
    title: str
    baseline: Setting | None
    now: Setting
    target: Quantity | None
    rule_of_thumb: bool


def differences(rules: RuleBase, bike: Bike) -> list[SettingDifference]:
    """Every setting on record that the rule base knows, in its order."""
    return list(_differences(rules, bike))


def _differences(rules: RuleBase, bike: Bike) -> Iterator[SettingDifference]:
    for key, entry in rules.observations.items():
        if key not in bike.now:
            continue
        target, thumb = (None, False)
        if entry.target is not None:
            target, thumb = target_of(rules, bike.machine, entry.target)
        yield SettingDifference(
            key, entry.ask, bike.baseline.get(key), bike.now[key], target, thumb
        )
