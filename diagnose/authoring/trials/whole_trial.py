"""A whole trial: worked and simulated cases, checklists, and another stack of packs beside it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from diagnose.authoring.trials.comparing import Group
from diagnose.authoring.trials.measures import RANKING
from diagnose.authoring.trials.run import Outcome
from diagnose.authoring.trials.trial import (
    Stack,
    Told,
    own_cases,
    readable_by,
    simulate,
    tell,
    worked_paths,
)
from rules.loading.loader import load_packs
from rules.rulebase import RuleBase

Whose = Literal["both", "this", "other"]
THIS = "simulated, this rule base being the truth"
OTHER = "simulated, the other being the truth"
WHOLE = "worked cases, all facts at once"
TOLD = "worked cases, told bit by bit"
PROGRAM = "the program"
Started = Callable[[str, int], None]


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two stacks on the same cases. `untold` holds the worked cases that one of them cannot read,
    by whose they are."""

    other: str
    groups: tuple[Group, ...]
    untold: Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class Trial:
    """What came of it. `simulated` holds outcomes by policy ('the program' and each checklist)."""

    name: str
    seeds: tuple[int, ...]
    simulated: Mapping[str, tuple[Outcome, ...]]
    told: tuple[Told, ...]
    skipped: tuple[str, ...] = ()
    comparison: Comparison | None = None


def run_trial(
    stack: Stack,
    seeds: Sequence[int],
    checklists: Mapping[str, Sequence[str]],
    against: Stack = (),
    truth: Whose = "both",
    started: Started = lambda label, length: None,
    progress: Callable[[], None] = lambda: None,
    *,
    worked: bool = True,
) -> Trial:
    """Run it, with the worked cases or without. `started` is told what begins and how many cases
    it has. Raises `FileProblems`."""
    rules = load_packs(stack)
    paths, left_out = own_cases(stack, rules) if worked else ([], [])
    started("worked cases", len(paths))
    told = tell(stack, paths, progress)
    simulated = {}
    for name, checklist in {PROGRAM: (), **checklists}.items():
        started(name, len(seeds))
        simulated[name] = tuple(simulate(stack, seeds, checklist, progress=progress))
    comparison = None
    if against:
        ran = simulated[PROGRAM]
        comparison = _compare(stack, against, seeds, truth, ran, started, progress, worked=worked)
    return Trial(
        name_of(rules),
        tuple(seeds),
        simulated,
        tuple(told),
        tuple(path.stem for path in left_out),
        comparison,
    )


def _compare(
    stack: Stack,
    against: Stack,
    seeds: Sequence[int],
    truth: Whose,
    ran: tuple[Outcome, ...],
    started: Started,
    progress: Callable[[], None],
    *,
    worked: bool,
) -> Comparison:
    rules, other = load_packs(stack), load_packs(against)
    names = tuple(f"seed {seed}" for seed in seeds)
    groups = []
    if truth in ("both", "this"):
        started("the other rule base", len(seeds))
        theirs = simulate(against, seeds, truth=stack, progress=progress)
        groups.append(Group(THIS, names, ran, tuple(theirs)))
    if truth in ("both", "other"):
        started("the other as truth", 2 * len(seeds))
        one = simulate(stack, seeds, truth=against, progress=progress)
        two = simulate(against, seeds, progress=progress)
        groups.append(Group(OTHER, names, tuple(one), tuple(two)))
    if not worked:
        return Comparison(name_of(other), tuple(groups), {})
    paths = list(dict.fromkeys([*worked_paths(stack, rules), *worked_paths(against, other)]))
    by_this, by_other = set(readable_by(rules, paths)), set(readable_by(other, paths))
    shared = [path for path in paths if path in by_this and path in by_other]
    started("worked cases of both", 2 * len(shared))
    ours = tell(stack, shared, progress)
    others = tell(against, shared, progress)
    stems = tuple(path.stem for path in shared)
    groups += [
        Group(
            WHOLE, stems, tuple(t.ranked for t in ours), tuple(t.ranked for t in others), RANKING
        ),
        Group(TOLD, stems, tuple(t.retold for t in ours), tuple(t.retold for t in others)),
    ]
    untold = {
        "this": _stems(paths, by_other - by_this),
        "the other": _stems(paths, by_this - by_other),
    }
    return Comparison(name_of(other), tuple(groups), untold)


def _stems(paths: Sequence[Path], chosen: set[Path]) -> tuple[str, ...]:
    return tuple(path.stem for path in paths if path in chosen)


def name_of(rules: RuleBase) -> str:
    """`offroad 1` or `offroad 1 + our-shop 3`."""
    return " + ".join(f"{pack.id} {pack.version}" for pack in rules.packs)
