"""What the conditions of rules look at, and in which order rules conclude."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from graphlib import TopologicalSorter

from rules.language.schema import Condition, Rule

Path = tuple[str | int, ...]
"""Where something stands in an entry: keys and list indices from its top."""


def leaves(condition: Condition, path: Path = ("when",)) -> Iterator[tuple[Condition, Path]]:
    """The leaf conditions inside `condition`, with where each stands in the rule."""
    for name, parts in (("all", condition.all), ("any", condition.any)):
        for index, part in enumerate(parts or ()):
            yield from leaves(part, (*path, name, index))
    if condition.not_ is not None:
        yield from leaves(condition.not_, (*path, "not"))
    if condition.fact is not None or condition.reading is not None:
        yield condition, path


def alternatives(condition: Condition) -> Iterator[Condition]:
    """The leaf conditions each of which makes `condition` hold by itself."""
    if condition.fact is not None or condition.reading is not None:
        yield condition
    for part in condition.any or ():
        yield from alternatives(part)


def names_in(condition: Condition) -> Iterator[str]:
    """Every fact, reading and finding that a condition looks at; one named twice comes twice."""
    return (name for leaf, _ in leaves(condition) for name in leaf.names)


def lifting_names(condition: Condition, denied: bool = False) -> Iterator[str]:
    """Every fact and reading that a condition wants not to be known so; finding it so lifts what
    the condition brings about."""
    for part in (*(condition.all or ()), *(condition.any or ())):
        yield from lifting_names(part, denied)
    if condition.not_ is not None:
        yield from lifting_names(condition.not_, not denied)
    if denied:
        yield from condition.names


def rule_layers(rules: Mapping[str, Rule]) -> list[list[str]]:
    """Rule ids in layers: a rule stands above every rule that concludes a finding it tests.

    Raises `graphlib.CycleError` when findings depend on each other in a circle.
    """
    makers: dict[str, list[str]] = {}
    for key, rule in rules.items():
        for finding in rule.then.finding or {}:
            makers.setdefault(finding, []).append(key)
    sorter: TopologicalSorter[str] = TopologicalSorter()
    for key, rule in rules.items():
        needed = {
            maker
            for leaf, _ in leaves(rule.when)
            if leaf.fact is not None
            for maker in makers.get(leaf.fact, ())
        }
        sorter.add(key, *needed)
    sorter.prepare()
    layers = []
    while sorter.is_active():
        ready = sorted(sorter.get_ready())
        layers.append(ready)
        sorter.done(*ready)
    return layers
