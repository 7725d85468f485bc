"""How proven cases change the rule base: Beta and Dirichlet counts with the pack as prior weight.

A cause's prior is a Beta whose mean is the pack's figure and whose weight is `PRIOR_CASES` cases;
every proven case on a bike that can have the cause counts for or against it. How a cause shows
in a check is a Dirichlet over the check's states with the weight of `LINK_CASES`; every proven case
of that cause in which the check was made counts. Means: (a + n) / (a0 + N) (standard conjugate
results, for example Gelman and others, Bayesian Data Analysis; from memory).

What is not learned: how a cause shows in complaints (a case exists because of its complaint, so the
ones without it are never seen), and anything from cases that are not proven.
"""

from __future__ import annotations

import itertools
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from diagnose.records.bikes.service import fits
from diagnose.records.learning.lessons import ProvenLesson, learning_state, read_lessons
from diagnose.records.learning.other_shops import OtherShop, other_shops, weighed
from diagnose.records.learning.tally import Tally, add_up, tally_in_use
from diagnose.records.store.store import Store
from diagnose.records.store.times import written
from rules.rulebase import Link, RuleBase

PRIOR_CASES = 40.0
LINK_CASES = 20.0
"""How many cases the pack's own figures weigh (memory: a shop's second season begins to tell)."""


@dataclass(frozen=True, slots=True)
class CauseShare:
    """A Beta distribution: prior or counts of cases with and without."""

    with_it: float
    without: float

    @property
    def mean(self) -> float:
        """The mean of the distribution."""
        return self.with_it / (self.with_it + self.without)

    @property
    def variance(self) -> float:
        """The variance of the distribution."""
        weight = self.with_it + self.without
        return self.mean * (1 - self.mean) / (weight + 1)

    def interval(self, mass: float = 0.9) -> tuple[float, float]:
        """The central interval that holds `mass` of the distribution."""
        from scipy.special import betaincinv  # noqa: PLC0415  # slow to import

        low, high = betaincinv(self.with_it, self.without, ((1 - mass) / 2, (1 + mass) / 2))
        return float(low), float(high)


@dataclass(frozen=True, slots=True)
class MovedPrior:
    """A cause's prior: the pack's share and the learned one; `cases` of `of` proven ones had it,
    those of other shops counted by their weight."""

    cause: str
    pack: float
    learned: CauseShare
    cases: float
    of: float


@dataclass(frozen=True, slots=True)
class MovedLink:
    """How a cause shows in a check, per state: by the pack and learned from `cases`."""

    cause: str
    node: str
    pack: tuple[float, ...]
    learned: tuple[float, ...]
    cases: float


@dataclass(frozen=True, slots=True)
class Learned:
    """The rule base with learned figures, how many cases of the shop and of others (by their
    weight) taught them, and which ones changed."""

    rules: RuleBase
    cases: int
    priors: tuple[MovedPrior, ...]
    links: tuple[MovedLink, ...]
    others: float = 0.0

    @property
    def is_any(self) -> bool:
        """Whether anything was learned."""
        return bool(self.priors)


def learn(
    rules: RuleBase,
    lessons: Iterable[ProvenLesson],
    prior_cases: float = PRIOR_CASES,
    link_cases: float = LINK_CASES,
) -> Learned:
    """The rule base as changed by `lessons`; only priors and link strengths change."""
    return learn_counted(rules, add_up(lessons), prior_cases, link_cases)


def learn_in_use(rules: RuleBase, store: Store, until: datetime | None = None) -> Learned:
    """The rule base as changed by the lessons that count in this store, and by those of other
    shops. With `until` only by the shop's lessons from before: a case closed at that moment is then
    judged as it was, without what itself and later ones taught; what other shops taught has no
    date. Raises `StoreProblem`."""
    state, pack = learning_state(store), rules.info.id
    if not state.on:
        return Learned(rules, 0, (), ())
    if until is None:
        tally = tally_in_use(store, pack)
    else:
        lessons = read_lessons(store, pack, state.since, chances=False)
        tally = add_up(lesson for lesson in lessons if lesson.at < written(until))
    return learn_counted(rules, tally, others=other_shops(store, pack))


def learn_counted(
    rules: RuleBase,
    tally: Tally,
    prior_cases: float = PRIOR_CASES,
    link_cases: float = LINK_CASES,
    others: Sequence[OtherShop] = (),
) -> Learned:
    """`learn` from lessons that have been added up, and those of `others` by their weight."""
    known = {cause: n for cause, n in tally.machines.items() if cause in rules.causes}
    cases = int(Tally(known).cases)
    tally = weighed(tally, others) if others else tally
    machines = {cause: n for cause, n in tally.machines.items() if cause in rules.causes}
    if not machines:
        return Learned(rules, 0, (), ())
    priors = tuple(_priors(rules, machines, prior_cases))
    links = _links(rules, tally.states, link_cases)
    causes = dict(rules.causes)
    for moved in priors:
        per_100 = {"per_100": 100 * moved.learned.mean}
        causes[moved.cause] = causes[moved.cause].model_copy(update=per_100)
    changed = replace(
        rules,
        causes=causes,
        links=tuple(
            replace(link, chances=links[link.cause, link.node].learned)
            if (link.cause, link.node) in links
            else link
            for link in rules.links
        ),
    )
    return Learned(changed, cases, priors, tuple(links.values()), Tally(machines).cases - cases)


def _priors(
    rules: RuleBase, machines: Mapping[str, Mapping[str, float]], weight: float
) -> Iterable[MovedPrior]:
    kinds: dict[str, float] = {}
    for counts in machines.values():
        for kind, count in counts.items():
            kinds[kind] = kinds.get(kind, 0) + count
    traits = {kind: json.loads(kind) for kind in kinds}
    for cause, entry in rules.causes.items():
        able = sum(n for kind, n in kinds.items() if fits(entry.needs, traits[kind]))
        if not able:
            continue
        pack = entry.per_100 / 100
        cases = sum(machines.get(cause, {}).values())
        without = (1 - pack) * weight + max(able - cases, 0)
        yield MovedPrior(cause, pack, CauseShare(pack * weight + cases, without), cases, able)


def _links(
    rules: RuleBase, seen: Mapping[str, Mapping[str, Mapping[str, float]]], weight: float
) -> dict[tuple[str, str], MovedLink]:
    moved = {}
    for link in rules.links:
        node = rules.nodes[link.node]
        found = seen.get(link.cause, {}).get(link.node, {})
        if node.kind == "complaint":
            continue
        counts = [found.get(state, 0) for state in node.states]
        if sum(counts):
            learned = learned_link(link, node.background, counts, weight)
            moved[link.cause, link.node] = MovedLink(
                link.cause, link.node, link.chances, learned, sum(counts)
            )
    return moved


def learned_link(
    link: Link, background: Sequence[float], counts: Sequence[float], weight: float
) -> tuple[float, ...]:
    """The link's chances per state after `counts` of states seen with this cause alone.

    What is seen is the worse of what the cause and the background produce, so the counts change
    the chances of both together, and the background is then taken out again.
    """
    leak = list(itertools.accumulate(background))
    alone = list(itertools.accumulate(link.chances))
    together = [min(a * b, 1.0) for a, b in zip(alone, leak, strict=True)]
    chances = [b - a for a, b in itertools.pairwise([0.0, *together])]
    total = weight + sum(counts)
    moved = [(max(c, 0.0) * weight + n) / total for c, n in zip(chances, counts, strict=True)]
    cumulative = []
    highest = 0.0
    for both, background_only in zip(itertools.accumulate(moved), leak, strict=True):
        highest = max(highest, min(both / background_only, 1.0) if background_only > 0 else 0.0)
        cumulative.append(highest)
    cumulative[-1] = 1.0
    return tuple(b - a for a, b in itertools.pairwise([0.0, *cumulative]))
