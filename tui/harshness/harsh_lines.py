"""The harshness budget as lines of text, 78 columns at most."""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence

from diagnose.harshness.changes import WhatIf, what_ifs
from diagnose.harshness.compared_bike import HarshnessCase
from diagnose.harshness.curves import Curve, curves
from diagnose.harshness.shares import (
    EndAnswer,
    Estimate,
    answer_end,
    band,
    factor_label,
    tyre_or_damping,
    whole_percent,
)
from diagnose.harshness.stand_in import stand_in
from diagnose.harshness.values import End, Factor, Value
from tui.terminal.charts import bar, chart
from tui.terminal.text import WIDTH, wrapped

ON = {
    "small chop": "on small chop",
    "square edge": "on a square edge",
    "braking bumps": "on braking bumps",
    "landing": "on a landing",
    "rolling ground": "on rolling ground",
}
_SHOWN_WHAT_IF = ("small chop", "square edge")
CAUTION = (
    "The manual's pressures, settings and torques go first. One change at a time, then the same "
    "stretch again. Never force an adjuster past its stop; clamp bolts with a torque wrench, "
    "evenly."
)

SHARES = (
    "Shares above 0 % add up to 100 %; one below 0 % makes it softer. A range holds eight in ten "
    "draws of what nobody measured, for each share by itself, so ranges do not add up, and one "
    "across 0 % may go either way."
)


def first_lines(end: End, extra: float) -> Iterator[str]:
    """How much harsher an end is, as a best guess that needs no time."""
    more = f"{whole_percent(extra)} harsher than" if extra >= 0.005 else "no harsher than"
    yield from wrapped(f"{end.capitalize()}, square edge: {more} it should be (best guess).")


def end_lines(case: HarshnessCase, end: End, *, fancy: bool) -> Iterator[str]:
    """Everything about one end: the answer, its shares, changes and curves."""
    answer = answer_end(case, end)
    yield ""
    yield end.upper()
    said = tyre_or_damping(case, answer)
    yield from wrapped(said[:1].upper() + said[1:], "  ", "Tyre or damping? ")
    obstacles = [item.obstacle for item in answer.budget.obstacles]
    for obstacle in obstacles:
        yield from _obstacle_lines(answer, obstacle, fancy=fancy)
    if any(len(answer.shares(obstacle) or ()) > 1 for obstacle in obstacles):
        yield from wrapped(SHARES)
    yield from what_if_lines(what_ifs(case, end))
    yield from _curve_lines(_curves_as_given(case, end), fancy=fancy)


def _obstacle_lines(answer: EndAnswer, obstacle: str, *, fancy: bool) -> Iterator[str]:
    where, worse = ON[obstacle], answer.worse(obstacle)
    shares = answer.shares(obstacle)
    if obstacle in answer.bottomed:
        yield from wrapped(
            f"{where.capitalize()} all of the travel is used: that is bottoming, which more "
            "compression or spring cures, not less.",
            "  ",
            "CHECK: ",
        )
    if shares is None:
        yield from wrapped(f"{where.capitalize()}: hardly harsher, {band(worse)}.")
        return
    yield from wrapped(f"Of the extra harshness {where}, {band(worse)}:")
    for factor, part in sorted(shares.items(), key=lambda item: -item[1].middle):
        # what is alone makes all of it in every draw
        size = band(part) if len(shares) > 1 else whole_percent(part.middle)
        label = f"  {size:<18} {factor_label(factor, answer.end):<23}"
        yield (label + bar(part.middle, WIDTH - len(label), fancy=fancy)).rstrip()


def what_if_lines(changes: Sequence[WhatIf]) -> Iterator[str]:
    """What each change would do to the harshness, as a table."""
    yield ""
    yield f"{'What if':<40}" + "".join(f"{name:>19}" for name in _SHOWN_WHAT_IF)
    for change in changes:
        cells = (_change(change.over(name).change) for name in _SHOWN_WHAT_IF)
        yield f"  {change.title:<38}" + "".join(f"{cell:>19}" for cell in cells)


def _change(change: Estimate) -> str:
    middle, low, high = (
        round(100 * share) or 0 for share in (change.middle, change.low, change.high)
    )
    return f"{middle:+d} % ({low:+d} to {high:+d})" if middle or low or high else "none"


def _curves_as_given(case: HarshnessCase, end: End) -> Iterator[Curve]:
    """The curves of an end, that over tyre pressure in the unit of what it should be."""
    tyre = next(
        item.target.unit
        for item in case.used
        if item.value.end is end and item.value.factor is Factor.TYRE_PRESSURE
    )
    for curve in curves(case, end):
        yield curve if curve.unit == "clicks" else curve.in_unit(tyre)


def _curve_lines(found: Iterator[Curve], *, fancy: bool) -> Iterator[str]:
    shown = list(found)
    every = [value for curve in shown for line in curve.harshness.values() for value in line]
    for curve in shown:
        yield ""
        yield from wrapped(
            f"Harshness over {curve.title} (100 % as it should be; "
            f"upright: {curve.now:.3g} {curve.unit} now):"
        )
        yield from chart(
            curve.values, curve.harshness, unit=curve.unit, mark=curve.now,
            span=(min(every), max(every)), fancy=fancy,
        )  # fmt: skip


def _name(value: Value) -> str:
    return value.name.replace("-", " ")


def basis_lines(
    case: HarshnessCase, thumbs: Container[str] = (), width: int = WIDTH
) -> Iterator[str]:
    """What was assumed, where it comes from, and how far to trust it.

    `thumbs` names targets that were given but are rules of thumb all the same.
    """
    ends = [end for end in End if case.any_measured(end)]
    here = [item for item in case.used if item.value.end in ends]
    yield ""
    yield "What it should be:"
    for item in here:
        if item.measured is not None:
            why = "as given" if item.target_given else item.value.source
            if item.value.name in thumbs:
                why = "rule of thumb for this kind of bike; the manual's figure goes first"
            yield from wrapped(f"{item.target} ({why})", "    ", f"  {_name(item.value)} ", width)
    missing = [
        _name(item.value)
        for item in here
        if item.measured is None and (item.value.asked or item.value.factor is Factor.TRAPPED_AIR)
    ]
    if missing:
        text = f"{', '.join(missing)}. A fault there has no share above."
        yield from wrapped(text, "  ", "Not measured, taken as it should be: ", width)
    yield from wrapped(stand_in().title + ".", "  ", "The bike: ", width)
    yield from wrapped(
        "computed (diagnose.physics.budget): a two-mass model of each end, shared out by Shapley "
        "values, which add up to the whole. Ranges hold eight in ten draws of what nobody measured "
        "(tyre and damper strength, masses); the spreads are from memory. Under a tenth is hard to "
        "feel (from memory). It compares the bike with itself only.",
        "  ", "The figures: ", width,
    )  # fmt: skip
    yield from wrapped(CAUTION, "  ", "CAUTION: ", width)
