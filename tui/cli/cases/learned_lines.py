"""What was learned, as plain lines of text."""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from diagnose.records.learning.calibration import Calibration
from diagnose.records.learning.learned import (
    LINK_CASES,
    PRIOR_CASES,
    Learned,
    MovedLink,
    MovedPrior,
)
from diagnose.records.learning.lessons import LearningState, ProvenLesson
from diagnose.records.learning.other_shops import OtherShop, behind_complaints
from diagnose.words.chances import counted
from diagnose.words.titles import lowered, short_titles
from rules.rulebase import RuleBase
from tui.terminal.charts import chart, fancy_output
from tui.terminal.columns import table
from tui.terminal.text import wrapped

_SHOWN = 12
_WORTH_SHOWING = 0.1
_MOST_CAUSES = 5
_HALF = 0.5


@dataclass(frozen=True, slots=True)
class Taught:
    """All that is told of what was learned: every lesson of the shop, those of other shops, and
    what they come to."""

    state: LearningState
    lessons: Sequence[ProvenLesson]
    others: Sequence[OtherShop]
    learned: Learned
    calibration: Calibration | None


def learned_lines(rules: RuleBase, taught: Taught, *, figures: bool, every: bool) -> Iterator[str]:
    """What was learned in plain words; with `figures` what moved by how many cases, and how good
    past rankings were."""
    state = taught.state
    use = "is used" if state.on else "is OFF: rankings use the rule base alone"
    since = f", counting cases since {state.since:%Y-%m-%d %H:%M} UTC" if state.since else ""
    teaching = [lesson for lesson in taught.lessons if lesson.teaches]
    cases = counted(len(teaching), "proven case")
    yield from wrapped(f"Learning {use}{since}. {cases} of this shop.")
    if teaching:
        yield ""
        yield from plain_lines(rules, behind_complaints(teaching))
    yield from _apart_lines(taught.lessons)
    for shop in taught.others:
        yield ""
        told = counted(shop.counts.cases, "case")
        yield from wrapped(
            f"From {shop.name}, apart: {told}, each counted as {shop.weight:g} of one of ours "
            f"(`badride learned weigh {shlex.quote(shop.name)} {_other(shop.weight)}`, "
            f"`badride learned remove {shlex.quote(shop.name)}`)."
        )
        yield from plain_lines(rules, shop.counts.behind())
    if not taught.learned.is_any:
        return
    if not figures:
        yield ""
        yield "--figures has the numbers that moved, --cases the cases it rests on."
        return
    yield ""
    yield from wrapped(
        f"The rule base's own figures weigh as much as {PRIOR_CASES:g} cases for how common a "
        f"cause is and {LINK_CASES:g} for how it shows."
    )
    yield "How common each cause is, of a hundred bad rides:"
    yield from _prior_lines(rules, taught.learned.priors, every)
    yield ""
    yield "How causes show in checks:"
    yield from _link_lines(rules, taught.learned.links, every)
    if taught.calibration is not None:
        yield ""
        yield from _calibration_lines(taught.calibration, every)


def plain_lines(rules: RuleBase, behind: Mapping[str, Mapping[str, int]]) -> Iterator[str]:
    """`Of 12 cases of “harsh (front)”, 5 were front tyre pressure too high, ...`; the complaint
    with the most cases first."""
    totals = {complaint: sum(causes.values()) for complaint, causes in behind.items()}
    for complaint in sorted(behind, key=lambda key: (-totals[key], key))[:_SHOWN]:
        causes = sorted(behind[complaint].items(), key=lambda item: (-item[1], item[0]))
        told = [
            f"{number} {'was' if number == 1 else 'were'} {_cause(rules, cause)}"
            for cause, number in causes[:_MOST_CAUSES]
        ]
        rest = sum(number for _, number in causes[_MOST_CAUSES:])
        if rest:
            told.append(f"{rest} something else")
        name, _, place = complaint.partition("/")
        entry = rules.complaints.get(name)
        words = (entry.title.lower() if entry else name) + (f" ({place})" if place else "")
        total = counted(totals[complaint], "case")
        yield from wrapped(f"Of {total} of “{words}”, {', '.join(told)}.", "    ", "  ")
    if len(behind) > _SHOWN:
        yield f"  And {len(behind) - _SHOWN} more complaints."


def _cause(rules: RuleBase, cause: str) -> str:
    return lowered(rules.causes[cause].title) if cause in rules.causes else cause


def _other(weight: float) -> str:
    return "0.25" if weight >= _HALF else "0.75"


def _apart_lines(lessons: Sequence[ProvenLesson]) -> Iterator[str]:
    """What is not learned from, and why."""
    out = [one.case_id for one in lessons if one.left_out]
    hunches = [one.case_id for one in lessons if not one.left_out and one.shown_by == ()]
    older = [one.case_id for one in lessons if not one.left_out and one.shown_by is None]
    for numbers, what in (
        (hunches, "closed on a hunch (nothing measured or seen spoke for the cause)"),
        (older, "from before that was noted (`badride learned --relearn` looks it up)"),
        (out, f"left out by hand (`badride learned redo {out[0] if out else ''}`)"),
    ):
        if numbers:
            named = ", ".join(map(str, numbers[:_SHOWN]))
            more = f" and {len(numbers) - _SHOWN} more" if len(numbers) > _SHOWN else ""
            yield from wrapped(
                f"Apart, and not learned from: {counted(len(numbers), 'case')} {what}: "
                f"{named}{more}."
            )


def case_lines(rules: RuleBase, lessons: Sequence[ProvenLesson]) -> Iterator[str]:
    """The cases that learning rests on, the latest first, with what spoke for each cause."""
    if not lessons:
        yield "No case is closed as proven yet."
        return
    cells = []
    for lesson in sorted(lessons, key=lambda one: one.at, reverse=True):
        spoke = short_titles(rules, [n for n in lesson.shown_by or () if n in rules.observations])
        use = "left out" if lesson.left_out else "yes" if lesson.teaches else "hunch"
        use = "not looked up" if lesson.shown_by is None and not lesson.left_out else use
        told = "; ".join(spoke.values()) or "-"
        cells.append((str(lesson.case_id), lesson.at[:10], use, _cause(rules, lesson.cause), told))
    yield from table(cells, ("Case", "Closed", "Teaches", "Cause", "What spoke for it"))
    yield "`badride learned undo CASE` leaves one out, `redo` takes it in again."


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
                f"{moved.cases:.3g} of {moved.of:.4g}",
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
            f"the pack, {moved.learned[state]:.0%} learned from {moved.cases:.3g} cases"
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
    if len(calibration.bins) > 1:
        yield ""
        yield "How often it came true (*) against how probable it was held (o: just so):"
        held = [100 * entry.forecast for entry in calibration.bins]
        came = [100 * entry.came_true for entry in calibration.bins]
        yield from chart(
            held, {"came true": came, "just so": held}, unit="% held probable", mark=None,
            span=(0, 100), fancy=fancy_output(), height=10, level=50,
        )  # fmt: skip
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
