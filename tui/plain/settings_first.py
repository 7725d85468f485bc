"""Readings in the order that a workshop looks for them."""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.case.set_figures import figures_set_by
from rules.rulebase import RuleBase

_UNITS = ("clicks", "turns", "psi", "bar")


def settings_of(rules: RuleBase) -> frozenset[str]:
    """The readings that work which only sets something brings to their figure."""
    work = (name for name, entry in rules.corrections.items() if entry.setting)
    return frozenset(name for correction in work for name in figures_set_by(rules, correction))


def settings_first(rules: RuleBase, names: Iterable[str]) -> list[str]:
    """Clickers, pressures, sag and what else is set, then the rest, each in the pack's order."""
    settings = settings_of(rules)
    places = {name: place for place, name in enumerate(rules.observations)}

    def rank(name: str) -> tuple[bool, int, int]:
        unit = rules.observations[name].unit if name in places else None
        by_unit = _UNITS.index(unit) if unit in _UNITS else len(_UNITS)
        return name not in settings, by_unit, places.get(name, len(places))

    return sorted(names, key=rank)
