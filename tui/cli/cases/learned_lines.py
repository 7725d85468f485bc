"""What was learned, as plain lines of text."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.records.learning.calibration import Calibration
from diagnose.records.learning.learned import (
    LINK_CASES,
    PRIOR_CASES,
    Learned,
    MovedLink,
    MovedPrior,
)
from diagnose.records.learning.lessons import LearningState
from diagnose.words.chances import counted
from rules.rulebase import RuleBase
from tui.terminal.columns import table
from tui.terminal.text import wrapped

_SHOWN = 12
_WORTH_SHOWING = 0.1


def learned_lines(
    rules: RuleBase,
    state: LearningState,
    learned: Learned,
    calibration: Calibration | None,
    *,
    every: bool,
) -> Iterator[str]:
    """Whether it is used, what moved by how many cases, and the scores of past rankings."""
    use = "is used" if state.on else "is OFF: rankings use the rule base alone"
    since = f", counting cases since {state.since:%Y-%m-%d %H:%M} UTC" if state.since else ""
    cases = counted(learned.cases, "proven case")
    yield from wrapped(
        f"Learning {use}{since}. {cases}; the rule base's own figures weigh as much as "
        f"{PRIOR_CASES:g} cases for how common a cause is and {LINK_CASES:g} for how it shows."
    )
    if not learned.cases:
        return
    yield ""
    yield "How common each cause is, of a hundred bad rides:"
    yield from _prior_lines(rules, learned.priors, every)
    yield ""
    yield "How causes show in checks:"
    yield from _link_lines(rules, learned.links, every)
    if calibration is not None:
        yield ""
        yield from _calibration_lines(calibration, every)


def _prior_lines(rules: RuleBase, priors: tuple[MovedPrior, ...], every: bool) -> Iterator[str]:
    shown = sorted(priors, key=lambda m: (-m.cases, -abs(m.learned.mean - m.pack), m.cause))
    if not every:
        shown = [m for m in shown if m.cases][:_SHOWN]
    cells = []
    for moved in shown:
        low, high = moved.learned.interval()
        cells.append(
            (
                f"{100 * moved.pack:.1f}",
                f"{100 * moved.learned.mean:.1f}",
                f"{100 * low:.1f} to {100 * high:.1f}",
                f"{moved.cases} of {moved.of}",
                rules.causes[moved.cause].title,
            )
        )
    yield from table(cells, ("Pack", "Learned", "90 in 100 between", "Cases", "Cause"))
    if not every:
        yield "  Causes without a case have come down a little; --all shows them."


def _link_lines(rules: RuleBase, links: tuple[MovedLink, ...], every: bool) -> Iterator[str]:
    rows = []
    for moved in links:
        node = rules.nodes[moved.node]
        gaps = [b - a for a, b in zip(moved.pack, moved.learned, strict=True)]
        state = max(range(len(gaps)), key=lambda n: abs(gaps[n]))
        if every or abs(gaps[state]) >= _WORTH_SHOWING:
            rows.append((abs(gaps[state]), moved, node, state))
    rows.sort(key=lambda row: (-row[0], row[1].cause, row[1].node))
    if not rows:
        yield "  None has moved by a tenth yet."
        return
    for _, moved, node, state in rows[: None if every else _SHOWN]:
        cause = rules.causes[moved.cause].title
        text = (
            f"{cause} makes {node.title!r} read {node.labels[state]!r}: {moved.pack[state]:.0%} by "
            f"the pack, {moved.learned[state]:.0%} learned from {moved.cases} cases"
        )
        yield from wrapped(text, "    ", "  ")


def _calibration_lines(calibration: Calibration, every: bool) -> Iterator[str]:
    scores = (
        f" Brier score {calibration.brier:.3f} (0 is best; "
        f"{calibration.split.reliability:.3f} of it for being too sure or not sure enough), log "
        f"score {calibration.log_score:.3f} nats, calibration error "
        f"{calibration.calibration_error:.3f}."
    )
    yield from wrapped(
        f"Past rankings ({counted(calibration.cases, 'case')}, as they stood before the first "
        f"correction): the cause stood first in {calibration.first:.0%}."
        f"{scores if every else ''}"
    )
    cells = [
        (
            f"{entry.low:.0%} to {entry.high:.0%}",
            str(entry.count),
            f"{entry.forecast:.0%}",
            f"{entry.came_true:.0%}",
        )
        for entry in calibration.bins
    ]
    yield from table(cells, ("Held probable", "Times", "Mean", "Came true"))
