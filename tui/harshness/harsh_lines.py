"""The harshness budget as lines of text, 78 columns at most."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from diagnose.harshness.changes import WhatIf, what_ifs
from diagnose.harshness.compared_bike import HarshnessCase
from diagnose.harshness.curves import Curve, curves
from diagnose.harshness.said import (
    band,
    bottoming,
    caution,
    factor_label,
    felt_word,
    first_words,
    rim_line,
    sense_line,
    tyre_or_damping,
    unseen_words,
    whole_percent,
)
from diagnose.harshness.shares import NOISE, PERHAPS, EndAnswer, Estimate, Part, answer_end
from diagnose.harshness.stand_in import stand_in
from diagnose.harshness.values import End, Factor, KnownValues, Value
from rules.loading.pack_defaults import FULL_SIZE
from tui.harshness.stacked_bar import legend, longest, stacked_bar
from tui.terminal.charts import CHART_MARGIN, bar, chart
from tui.terminal.glyphs import ASCII, UNICODE
from tui.terminal.text import WIDTH, wrapped

CAUTION = (
    "The manual's pressures, settings and torques go first. One change at a time, then the same "
    "stretch again. Never force an adjuster past its stop; clamp bolts with a torque wrench, "
    "evenly."
)

CAUTION_IN_SHORT = "the manual's figures first; one change at a time; force no stop (w)"

SHARES = (
    "Shares add up to 100 %; what softens has none. Nobody measured everything, so "
    "eight times in ten a share lies in its range; each by itself, so ranges do not add up."
)


_TITLE, _CELL = 40, 19


def kind_words(known: KnownValues, end: End) -> str:
    """What bike of another kind the numbers are of, and what they are good for."""
    about = []
    if known.kind != FULL_SIZE:
        short = stand_in(known.kind).short
        about.append(f"Model: {short}; shows which fault leads, not how many percent.")
    if end is End.FRONT and known.traits.get("fork", "").startswith("air"):
        about.append("An air fork counts as a coil one; its pressure is not seen.")
    return " ".join(about)


def model_words(known: KnownValues, end: End, begins_with: str = "") -> str:
    """What the numbers are of, for the top of the page; `begins_with` says whose readings it began
    with, and leaves what is said of every page to the page behind it."""
    kind, thumb = kind_words(known, end), "* rule of thumb"
    if begins_with:
        return " ".join(filter(None, (kind, f"{begins_with}; {thumb}")))
    rest = f"unmeasured counts as right; {thumb}"
    return f"{kind} {rest.capitalize()}" if kind else f"Stand-in bike; {rest}"


WORKED_OUT = (
    "How it is worked out: computed from two masses at each end with the rider on bent legs; "
    "shares by Shapley values. More in the guide, page the-model."
)


def first_lines(end: End, ride: str, extra: float) -> Iterator[str]:
    """How much harsher an end is on its worst ride, as a best guess that needs little time."""
    yield from wrapped(f"{end.capitalize()}: {first_words(ride, extra)}")


def end_lines(case: HarshnessCase, end: End, *, fancy: bool) -> Iterator[str]:
    """Everything about one end: the answer, its shares, rides, changes and curves."""
    answer = answer_end(case, end)
    yield ""
    yield end.upper()
    if kind := kind_words(case.known, end):
        yield from wrapped(kind, "  ", "  ")
    danger = caution(case, answer)
    if danger is not None:
        yield from wrapped(danger, "  ", "CAUTION: ")
    for check in bottoming(answer):
        yield from wrapped(check, "  ", "CHECK: ")
    said = tyre_or_damping(case, answer)
    yield from wrapped(said[:1].upper() + said[1:], "  ", "Tyre or damping? ")
    yield from _share_lines(case, answer, fancy=fancy)
    yield from ride_lines(answer, fancy=fancy)
    yield from sense_lines(answer)
    yield from what_if_lines(what_ifs(case, end), answer)
    yield from _curve_lines(_curves_as_given(case, end, answer.worst), fancy=fancy)


def _share_lines(case: HarshnessCase, answer: EndAnswer, *, fancy: bool) -> Iterator[str]:
    parts = answer.parts
    if parts is None or len(case.measured_at(answer.end)) == 1:
        return
    yield from wrapped(f"Of the extra harshness on {answer.over}:")
    for factor, part in sorted(parts.items(), key=lambda item: -item[1].effect.middle):
        label = f"  {share_words(part):<18} {factor_label(factor, case, answer.end):<23}"
        drawn = (
            "" if part.share is None else bar(part.share.middle, WIDTH - len(label), fancy=fancy)
        )
        yield (label + drawn).rstrip()
    if len(parts) > 1:
        yield from wrapped(SHARES)


def share_words(part: Part) -> str:
    """A share with its range, or how much a factor softens."""
    if part.share is not None:
        return band(part.share)
    softer = Estimate(-part.effect.middle, -part.effect.high, -part.effect.low)
    return f"softens {band(softer)}" if softer.middle >= 0.005 else "nothing"


def ride_lines(answer: EndAnswer, *, fancy: bool, width: int = WIDTH) -> Iterator[str]:
    """Every ride, worst first, with a stacked bar of what makes it harsher."""
    yield ""
    yield "Ride by ride, how much harsher than right, and whether felt"
    if marks := legend(answer):
        yield "  " + "  ".join(marks)
    glyphs, span = UNICODE if fancy else ASCII, longest(answer)
    found = sorted(answer.survey.names, key=lambda ride: -answer.steps(ride).middle)
    for ride in found:
        extra, steps = answer.worse(ride), answer.steps(ride).middle
        label = (
            f"  {ride:<15}{_change(extra):<20}{felt_word(steps) if steps >= PERHAPS else '':<14}"
        )
        room = max(0, width - len(label))
        drawn = stacked_bar(extra, answer.divided(ride), span, room, glyphs)
        yield (label + "".join(sign for sign, _ in drawn)).rstrip()


def sense_lines(answer: EndAnswer, width: int = WIDTH) -> Iterator[str]:
    """What is felt besides vibration, where anything is other than it should be."""
    told = [
        sense_line(sense) for sense in answer.senses if round(sense.measured) != round(sense.target)
    ]
    rim = rim_line(answer.rim)
    told += [rim] if rim else []
    if told:
        yield ""
        yield "Felt besides"
    for line in told:
        yield from wrapped(line, "    ", "  ", width)


def what_if_lines(
    changes: Sequence[WhatIf], answer: EndAnswer, width: int = WIDTH
) -> Iterator[str]:
    """What each change would do to the harshness, as a table; each change over its numbers where
    the table would be too wide."""
    worst = answer.worst
    shown = (worst, "square edge" if worst != "square edge" else "small chop")
    beside = width >= WIDTH
    first = _TITLE if beside else max(0, width - 2 * _CELL)
    yield ""
    yield f"{'What if':<{first}}" + "".join(f"{name:>{_CELL}}" for name in shown)
    for change in changes:
        cells = "".join(f"{_change(change.over(name).change):>{_CELL}}" for name in shown)
        if beside:
            yield f"  {change.title:<{first - 2}}{cells}"
        else:
            yield f"  {change.title}"
            yield f"{'':<{first}}{cells}"
    harsher = answer.worse(worst).middle
    if harsher >= NOISE:
        yield from wrapped(
            f"In percent of how harsh it is now: {whole_percent(harsher)} harsher than right is "
            f"put right by {whole_percent(1.0 / (1.0 + harsher) - 1.0)}.",
            width=width,
        )


def _change(change: Estimate) -> str:
    middle, low, high = (
        round(100 * share) or 0 for share in (change.middle, change.low, change.high)
    )
    if not (middle or low or high):
        return "none"
    return f"{middle:+d} % ({low:+d} to {high:+d})"


def _curves_as_given(case: HarshnessCase, end: End, ride: str) -> Iterator[Curve]:
    """The curves of an end, that over tyre pressure in the unit of what it should be."""
    tyre = next(
        item.target.unit
        for item in case.used
        if item.value.end is end and item.value.factor is Factor.TYRE_PRESSURE
    )
    for curve in curves(case, end, (ride,)):
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
        yield from safe_lines(curve)


def safe_lines(curve: Curve, width: int = WIDTH) -> Iterator[str]:
    """Below a curve over tyre pressure: where it is safe, in the columns of the curve."""
    if curve.safe is None:
        return
    (low, high), room = curve.safe, width - CHART_MARGIN
    first, last = curve.values[0], curve.values[-1]

    def column(size: float) -> int:
        return round(room * min(max((size - first) / (last - first), 0.0), 1.0))

    start, end = column(low), column(high)
    told = f" safe {low:.3g} to {high:.3g} {curve.unit} "
    parts = (
        (" rim met ", start, "!"),
        (told if len(told) <= end - start else " safe ", end - start, "="),
        (" too hard ", room - end, "!"),
    )
    # a part too narrow for its words is drawn all the same
    yield " " + "".join(
        (words if len(words) <= wide else "").center(wide, sign) for words, wide, sign in parts
    )
    yield from wrapped(_safe_words(curve.safe), " ", width=width)


def _safe_words(safe: tuple[float, float]) -> str:
    low, high = safe
    return f"below {low:.3g} low edges meet the rim and may dent it; above {high:.3g} it loses grip"


def safe_tyre_lines(case: HarshnessCase, answer: EndAnswer, width: int = WIDTH) -> Iterator[str]:
    """Between which pressures a tyre is safe, where it holds air."""
    for curve in _curves_as_given(case, answer.end, answer.worst):
        if curve.safe is not None and case.has(f"{answer.end}-tyre"):
            yield ""
            yield from wrapped(f"Tyre, {curve.unit}: {_safe_words(curve.safe)}.", width=width)


def _name(value: Value) -> str:
    return value.name.replace("-", " ")


def basis_lines(case: HarshnessCase, width: int = WIDTH) -> Iterator[str]:
    """What was assumed, where it comes from, and how far to trust it."""
    ends = [end for end in End if case.any_measured(end)]
    here = [item for item in case.used if item.value.end in ends]
    yield ""
    yield "What it should be:"
    for item in here:
        if item.measured is not None:
            yield from wrapped(
                f"{item.target} ({item.why})", "    ", f"  {_name(item.value)} ", width
            )
    missing = [
        _name(item.value)
        for item in here
        if item.measured is None
        and case.has(item.value.name)
        and (item.value.asked or item.value.factor is Factor.TRAPPED_AIR)
    ]
    if missing:
        text = f"{', '.join(missing)}. A fault there has no share above."
        yield from wrapped(text, "  ", "Not measured, taken as it should be: ", width)
    for end in ends:
        yield from wrapped(unseen_words(end), "  ", f"Not seen by the model, {end}: ", width)
    yield from wrapped(stand_in(case.known.kind).title + ".", "  ", "The bike: ", width)
    yield from wrapped(
        "computed, for each end by itself, over twelve rides; the worst of them counts. A felt "
        "step is ten per cent: below one it is hardly felt, from two plainly. Eight times in ten a "
        "share lies in its range, for what nobody measured (tyre and damper strength, friction, "
        "masses); how far those spread is from memory. It compares the bike with itself only.",
        "  ", "The figures: ", width,
    )  # fmt: skip
    yield from wrapped(CAUTION, "  ", "CAUTION: ", width)
