"""What proven cases do to the rule base: Beta and Dirichlet counts with the pack as prior weight.

A cause's prior is a Beta whose mean is the pack's figure and whose weight is `PRIOR_CASES` cases;
every proven case on a machine that can have the cause counts for or against it. How a cause shows
in a check is a Dirichlet over the check's states with the weight of `LINK_CASES`; every proven case
of that cause in which the check was made counts. Means: (a + n) / (a0 + N) (standard conjugate
results, for example Gelman and others, Bayesian Data Analysis; from memory).

What is not learned: how a cause shows in complaints (a case exists because of its complaint, so the
ones without it are never seen), and anything from cases that are not proven.
"""

from __future__ import annotations

import itertools
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from diagnose.records.lessons import Lesson
from diagnose.records.service import fits
from rules.rulebase import Link, RuleBase

PRIOR_CASES = 40.0
LINK_CASES = 20.0
"""How many cases the pack's own figures weigh (memory: a shop's second season begins to tell)."""


@dataclass(frozen=True, slots=True)
class Share:
    """A Beta distribution: prior or counts of cases with and without."""

    with_it: float
    without: float

    @property
    def mean(self) -> float:
        """Its mean."""
        return self.with_it / (self.with_it + self.without)

    @property
    def variance(self) -> float:
        """Its variance."""
        weight = self.with_it + self.without
        return self.mean * (1 - self.mean) / (weight + 1)


@dataclass(frozen=True, slots=True)
class MovedPrior:
    """A cause's prior: the pack's share, the learned one, and `cases` of `of` that were it."""

    cause: str
    pack: float
    learned: Share
    cases: int
    of: int


@dataclass(frozen=True, slots=True)
class MovedLink:
    """How a cause shows in a check, per state: by the pack and learned from `cases`."""

    cause: str
    node: str
    pack: tuple[float, ...]
    learned: tuple[float, ...]
    cases: int


@dataclass(frozen=True, slots=True)
class Learned:
    """The rule base as the shop's cases have moved it, and what moved by how many cases."""

    rules: RuleBase
    cases: int
    priors: tuple[MovedPrior, ...]
    links: tuple[MovedLink, ...]


def learn(
    rules: RuleBase,
    lessons: Sequence[Lesson],
    prior_cases: float = PRIOR_CASES,
    link_cases: float = LINK_CASES,
) -> Learned:
    """The rule base moved by `lessons`. Nothing else than priors and link strengths changes."""
    known = [lesson for lesson in lessons if lesson.cause in rules.causes]
    if not known:
        return Learned(rules, 0, (), ())
    priors = tuple(_priors(rules, known, prior_cases))
    links = _links(rules, known, link_cases)
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
    return Learned(changed, len(known), priors, tuple(links.values()))


def _priors(rules: RuleBase, lessons: Sequence[Lesson], weight: float) -> Iterable[MovedPrior]:
    counts = Counter(lesson.cause for lesson in lessons)
    machines = Counter(tuple(lesson.traits.items()) for lesson in lessons)
    for cause, entry in rules.causes.items():
        able = sum(n for traits, n in machines.items() if fits(entry.needs, dict(traits)))
        if not able:
            continue
        pack = entry.per_100 / 100
        cases = counts[cause]
        without = (1 - pack) * weight + max(able - cases, 0)
        yield MovedPrior(cause, pack, Share(pack * weight + cases, without), cases, able)


def _links(
    rules: RuleBase, lessons: Sequence[Lesson], weight: float
) -> dict[tuple[str, str], MovedLink]:
    by_cause: dict[str, Counter[tuple[str, str]]] = defaultdict(Counter)
    for lesson in lessons:
        by_cause[lesson.cause].update(lesson.states.items())
    pairs = {(cause, name) for cause, seen in by_cause.items() for name, _ in seen}
    moved = {}
    for link in rules.links:
        node = rules.nodes[link.node]
        if (link.cause, link.node) not in pairs or node.kind == "complaint":
            continue
        counts = [by_cause[link.cause][link.node, state] for state in node.states]
        if sum(counts):
            learned = learned_link(link, node.background, counts, weight)
            moved[link.cause, link.node] = MovedLink(
                link.cause, link.node, link.chances, learned, sum(counts)
            )
    return moved


def learned_link(
    link: Link, background: Sequence[float], counts: Sequence[int], weight: float
) -> tuple[float, ...]:
    """The link's chances per state after `counts` of states seen with this cause alone.

    What is seen is the worse of what the cause and the background make, so the counts move the
    chances of both together, and the background is then taken out again.
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
