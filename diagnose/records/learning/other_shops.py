"""What other shops' proven cases taught: counts only, kept apart, weighed by this shop, removable.

A file holds how many cases each cause had on each kind of bike, how often each check was found in
each state with it, and behind which complaints it was: no customers, no bikes, no dates, no words.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, Literal

import yaml
from pydantic import BeforeValidator, Field, TypeAdapter, ValidationError

from diagnose.case.files import Word
from diagnose.records.learning.lessons import ProvenLesson, read_lessons
from diagnose.records.learning.tally import Tally, kind_of_bike
from diagnose.records.store.names import good_name
from diagnose.records.store.shop_settings import put_in_shop, read_shop_under
from diagnose.records.store.store import Store
from diagnose.records.store.store_problems import DamagedStore, NotFound
from rules.language.schema import Id, Line, NodeId, StrictModel, as_tuple
from rules.problems import BadInput, FileProblems
from rules.rulebase import RuleBase
from rules.yaml_source import read_yaml_file, suggest

LONGEST_NAME = 40
USUAL_WEIGHT = 0.5
"""How much of another shop's case counts unless this shop says (memory: its bikes and riders are
others)."""
_PREFIX = "learned-from "
_Count = Annotated[int, Field(ge=1, le=1_000_000)]


class _Kind(StrictModel):
    """Cases on one kind of bike."""

    bike: dict[Id, Word]
    cases: _Count


class _Cause(StrictModel):
    """What is counted of one cause."""

    cases: Annotated[tuple[_Kind, ...], BeforeValidator(as_tuple), Field(min_length=1)]
    found: dict[NodeId, dict[Id, _Count]] = Field(default_factory=dict)
    behind: dict[NodeId, _Count] = Field(default_factory=dict)


class Counts(StrictModel):
    """The shape of a file of counts."""

    badride_learned: Literal[1]
    shop: Line
    rules: Id
    causes: dict[Id, _Cause]

    @property
    def cases(self) -> int:
        """How many proven cases were counted."""
        return sum(kind.cases for cause in self.causes.values() for kind in cause.cases)

    @property
    def tally(self) -> Tally:
        """The counts as lessons are added up."""
        machines: dict[str, dict[str, float]] = {}
        for key, cause in self.causes.items():
            kinds = machines.setdefault(key, {})
            for kind in cause.cases:
                name = kind_of_bike(kind.bike)
                kinds[name] = kinds.get(name, 0) + kind.cases
        return Tally(machines, {key: cause.found for key, cause in self.causes.items()})

    def behind(self) -> dict[str, dict[str, int]]:
        """For each complaint, how many cases each cause had."""
        found: dict[str, dict[str, int]] = {}
        for key, cause in self.causes.items():
            for complaint, cases in cause.behind.items():
                found.setdefault(complaint, {})[key] = cases
        return found


class _Kept(StrictModel):
    weight: Annotated[float, Field(ge=0, le=1, strict=False)]
    counts: Counts


@dataclass(frozen=True, slots=True)
class OtherShop:
    """Another shop's counts, and how much of each of its cases counts here (0 to 1)."""

    name: str
    weight: float
    counts: Counts


def behind_complaints(lessons: Iterable[ProvenLesson]) -> dict[str, dict[str, int]]:
    """For each complaint, how many of the lessons each cause had."""
    found: dict[str, Counter[str]] = defaultdict(Counter)
    for lesson in lessons:
        for complaint in lesson.complaints:
            found[complaint][lesson.cause] += 1
    return {complaint: dict(causes) for complaint, causes in found.items()}


def write_counts(store: Store, rules: RuleBase, shop: str) -> str:
    """The counts of this shop's own cases that teach, as a file. Raises `StoreProblem`, and
    `BadInput` where there is nothing to pass on."""
    lessons = read_lessons(store, rules.info.id, chances=False)
    if not lessons:
        raise BadInput(
            "there is nothing to pass on: no proven case in which something measured or seen spoke "
            "for the cause"
        )
    causes: dict[str, dict[str, Any]] = {}
    kinds: dict[tuple[str, str], dict[str, Any]] = {}
    for lesson in lessons:
        cause = causes.setdefault(lesson.cause, {"cases": [], "found": {}, "behind": {}})
        kind = (lesson.cause, kind_of_bike(lesson.traits))
        if kind not in kinds:
            kinds[kind] = {"bike": dict(lesson.traits), "cases": 0}
            cause["cases"].append(kinds[kind])
        kinds[kind]["cases"] += 1
        for node, state in lesson.states.items():
            states = cause["found"].setdefault(node, {})
            states[state] = states.get(state, 0) + 1
        for complaint in lesson.complaints:
            cause["behind"][complaint] = cause["behind"].get(complaint, 0) + 1
    data = {
        "badride_learned": 1,
        "shop": good_shop(shop),
        "rules": rules.info.id,
        "causes": {key: causes[key] for key in sorted(causes)},
    }
    return yaml.safe_dump(data, sort_keys=False, allow_unicode=True, width=96)


def read_counts(rules: RuleBase, path: Path) -> Counts:
    """A file of counts that another shop wrote. Raises `BadInput` with file, line and field."""
    document = read_yaml_file(path)
    try:
        counts = Counts.model_validate(document.data)
    except ValidationError as error:
        raise FileProblems(document.from_validation(error)) from error
    if counts.rules != rules.info.id:
        told = (
            f"these counts are about the rule base {counts.rules!r}, and this shop works with "
            f"{rules.info.id!r}; `--pack` takes another"
        )
        raise FileProblems([document.problem("learned", ("rules",), told)])
    good_shop(counts.shop)
    return counts


def unknown_in(rules: RuleBase, counts: Counts) -> list[str]:
    """The causes that these counts name and this rule base does not have; they are not used."""
    return [cause for cause in counts.causes if cause not in rules.causes]


def keep_counts(store: Store, name: str, counts: Counts, weight: float) -> OtherShop:
    """Keep another shop's counts in place of those it gave before. Raises `BadInput`,
    `StoreProblem`."""
    shop = OtherShop(good_shop(name), good_weight(weight), counts)
    kept = _Kept(weight=shop.weight, counts=counts)
    put_in_shop(store, _PREFIX + shop.name, kept.model_dump_json())
    return shop


def weigh(store: Store, name: str, weight: float) -> OtherShop:
    """Let each case of another shop count so much, 0 to 1. Raises `NotFound`, `BadInput`."""
    shop = _named(store, name)
    return keep_counts(store, shop.name, shop.counts, weight)


def remove(store: Store, name: str) -> OtherShop:
    """Forget another shop's counts. Raises `NotFound`, `StoreProblem`."""
    shop = _named(store, name)
    put_in_shop(store, _PREFIX + shop.name, None)
    return shop


def other_shops(store: Store, pack: str | None = None) -> list[OtherShop]:
    """The shops whose counts are kept, by name; those about one rule base where `pack` says which.

    Raises `DamagedStore` naming one that cannot be read, and other `StoreProblem`s.
    """
    found = []
    for key, text in sorted(read_shop_under(store, _PREFIX).items()):
        name = key.removeprefix(_PREFIX)
        try:
            kept = _SHAPE.validate_json(text)
        except ValidationError as error:
            raise DamagedStore(
                f"what was learned from {name!r} cannot be read; `badride learned remove` takes it "
                "out, and importing its file again brings it back"
            ) from error
        if pack in (None, kept.counts.rules):
            found.append(OtherShop(name, kept.weight, kept.counts))
    return found


_SHAPE: TypeAdapter[_Kept] = TypeAdapter(_Kept)


def good_shop(name: str) -> str:
    """A shop's name. Raises `BadInput` for one that is too long or cannot be printed."""
    clean = good_name(name)
    if len(clean) > LONGEST_NAME:
        raise BadInput(f"{clean!r} is too long for the name of a shop; {LONGEST_NAME} letters do")
    return clean


def good_weight(weight: float) -> float:
    """How much a case of another shop counts. Raises `BadInput` outside 0 to 1."""
    if not 0 <= weight <= 1:
        raise BadInput(
            f"{weight:g} is no weight: 0 (a case of theirs counts nothing) to 1 (as much as ours)"
        )
    return weight


def _named(store: Store, name: str) -> OtherShop:
    shops = {shop.name: shop for shop in other_shops(store)}
    for known, shop in shops.items():
        if known.casefold() == name.strip().casefold():
            return shop
    hint = suggest(name, list(shops)) or "; `badride learned` shows those there are"
    raise NotFound(f"nothing was learned from a shop {name!r}{hint}")


def weighed(own: Tally, others: Iterable[OtherShop]) -> Tally:
    """The shop's own sum with those of others, each case of theirs as much as its weight."""
    machines: dict[str, dict[str, float]] = {c: dict(kinds) for c, kinds in own.machines.items()}
    states: dict[str, dict[str, dict[str, float]]] = {
        cause: {check: dict(found) for check, found in checks.items()}
        for cause, checks in own.states.items()
    }
    for shop in others:
        if not shop.weight:
            continue
        theirs = shop.counts.tally
        for cause, kinds in theirs.machines.items():
            _add(machines.setdefault(cause, {}), kinds, shop.weight)
        for cause, checks in theirs.states.items():
            for check, found in checks.items():
                into = states.setdefault(cause, {}).setdefault(check, {})
                _add(into, found, shop.weight)
    return Tally(machines, states)


def _add(into: dict[str, float], counts: Mapping[str, float], weight: float) -> None:
    for key, count in counts.items():
        into[key] = into.get(key, 0) + weight * count
