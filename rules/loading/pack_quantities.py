"""Units, limits and bands: every quantity a pack gives must be readable and of the right kind."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from rules.language.schema import Band, Observation, Spec
from rules.units.quantities import BadQuantity, parse_quantity, parse_threshold, unit_kind

Tables = Mapping[str, Mapping[str, Any]]
Complain = Callable[[str, str, tuple[str | int, ...], str, str], None]
Wrong = tuple[tuple[str | int, ...], str]
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
    for option, text in given.items():
        try:
            parse_quantity(text, spec.unit)
        except BadQuantity as error:
            yield ("default", option) if option else ("default",), str(error)


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
