"""Units, limits and bands: every quantity a pack gives must be readable and of the right kind."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from rules.language.schema import ANY, Band, Observation, Spec
from rules.units.quantities import (
    BadQuantity,
    Quantity,
    parse_quantity,
    parse_range,
    parse_threshold,
    unit_kind,
)

Tables = Mapping[str, Mapping[str, Any]]
Complain = Callable[[str, str, tuple[str | int, ...], str, str], None]
Path = tuple[str | int, ...]
Wrong = tuple[Path, str]
CODE = "quantity"


def check_measures(tables: Tables, complain: Complain) -> None:
    """Call `complain(section, id, path, message, code)` for each quantity that does not fit."""
    for key, spec in tables["specs"].items():
        for path, message in _wrong_in_spec(spec):
            complain("specs", key, path, message, CODE)
    for key, observation in tables["observations"].items():
        for path, message in _wrong_in_observation(observation, tables["specs"]):
            complain("observations", key, path, message, CODE)
    for key, finding in tables["findings"].items():
        if finding.computed is not None:
            computed = finding.computed
            for path, message in _wrong_in_bands(computed.bands, computed.unit, False):
                complain("findings", key, ("computed", *path), message, CODE)


def _wrong_in_spec(spec: Spec) -> Iterator[Wrong]:
    given = spec.default if isinstance(spec.default, Mapping) else {"": spec.default}
    at: Path
    where: Path
    for option, text in given.items():
        at = ("default", option) if option else ("default",)
        where = ("usual", option) if isinstance(spec.usual, Mapping) else ("usual",)
        yield from _wrong_in_figure(spec, text, spec.usual_for(option), at, where)
    for number, kind in enumerate(spec.where):
        at, where = ("where", number, "default"), ("where", number, "usual")
        yield from _wrong_in_figure(spec, kind.default, kind.usual, at, where)


def _wrong_in_figure(
    spec: Spec, text: str, usual: str | None, at: Path, where: Path
) -> Iterator[Wrong]:
    """What does not fit of a default, which stands `at`, and its usual range."""
    try:
        figure = parse_quantity(text, spec.unit)
    except BadQuantity as error:
        yield at, str(error)
        return
    if usual is not None and usual != ANY:
        yield from ((where, message) for message in _wrong_in_usual(spec, figure, usual))


def _wrong_in_usual(spec: Spec, figure: Quantity, usual: str) -> Iterator[str]:
    try:
        low, high = (end.to(spec.unit).value for end in parse_range(usual, spec.unit))
    except BadQuantity as error:
        yield str(error)
        return
    if not low <= figure.to(spec.unit).value <= high:
        yield f"the default {figure} lies outside {usual!r}"


def _wrong_in_observation(entry: Observation, specs: Mapping[str, Spec]) -> Iterator[Wrong]:
    if entry.unit is None or entry.limits is None:
        return
    try:
        low, high = (parse_quantity(text, entry.unit) for text in entry.limits)
        if low.unit != high.unit or low.value >= high.value:
            yield ("limits",), "`limits` are [lowest, highest] in one unit"
    except BadQuantity as error:
        yield ("limits",), str(error)
    spec = specs.get(entry.target or "")
    if spec is not None and unit_kind(spec.unit) != unit_kind(entry.unit):
        kinds = f"a {unit_kind(spec.unit)}, and this is a {unit_kind(entry.unit)}"
        yield ("target",), f"the target {entry.target!r} is {kinds}"
    yield from _wrong_in_bands(entry.bands, entry.unit, entry.target is not None)


def _wrong_in_bands(bands: Sequence[Band], unit: str, has_target: bool) -> Iterator[Wrong]:
    for number, band in enumerate(bands):
        word = "above" if band.above is not None else "below"
        path = ("bands", number, word)
        try:
            limit = parse_threshold(getattr(band, word), unit)
        except BadQuantity as error:
            yield path, str(error)
            continue
        if limit.uses_target and not has_target:
            yield path, "this has no `target` to start from; give a plain limit"
