"""The chapter on the chances: how often what was given a chance was there, in the worked cases."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from diagnose.authoring.handbook.parts import (
    Chapter,
    HandbookTable,
    Mention,
    PlotPoint,
    PlotSeries,
    ReliabilityPlot,
)
from diagnose.authoring.trials.measures import (
    Reliability,
    by_number_of_causes,
    reliability_of,
    wilson,
)
from diagnose.authoring.trials.working import Decision
from diagnose.records.learning.calibration import Bin

_ABOUT = (
    "Each worked case was ranked with all its facts told, and the chance given to each cause held"
    " against whether it was there. Chances that can be taken at their word lie on the diagonal of"
    " the plot. The Brier score (0 best) is summed over the causes of a case: what being too sure"
    " or not sure enough costs (reliability), less what telling causes apart earns (resolution),"
    " plus the score of knowing only how often a cause is there (uncertainty), and what differs"
    " inside the bins (Brier, 1950; Murphy, 1973; from memory). Worked cases are invented and tell"
    " what confirmed the cause, so this says little about bikes in a shop."
)
_SCORES = ("True causes", "Cases", "Brier score", "Reliability", "Resolution", "Uncertainty",
           "Inside the bins")  # fmt: skip


def chances(decisions: Sequence[Decision]) -> Chapter:
    """The chapter with its plot and tables; empty without decisions."""
    groups = by_number_of_causes(decisions)
    found = {name: reliability_of(group) for name, group in groups.items()}
    if not any(entry.bins for entry in found.values()):
        return Chapter("chances", "How far to trust the chances", "")
    rows = tuple(_scores(name, len(groups[name]), entry) for name, entry in found.items())
    if len(groups) > 1:
        rows = (*rows, _scores("any", len(decisions), reliability_of(decisions)))
    bins = HandbookTable(
        "Of the causes given such a chance on average, how many were there",
        ("Chance", *(f"{name} true" for name in found)),
        tuple(_bins(found)),
    )
    plot = ReliabilityPlot(tuple(PlotSeries(n, tuple(_points(n, e))) for n, e in found.items()))
    return Chapter(
        "chances",
        "How far to trust the chances",
        _ABOUT,
        tables=(HandbookTable("Brier score and its parts", _SCORES, rows), bins),
        plot=plot,
    )


def _scores(name: str, cases: int, found: Reliability) -> tuple[Mention, ...]:
    split = found.split
    parts = (split.reliability, split.resolution, split.uncertainty)
    figures = (f"{found.brier:.3f}", *(f"{part:.3f}" for part in parts), f"{found.inside:+.3f}")
    return tuple(map(Mention, (name, str(cases), *figures)))


def _bins(found: Mapping[str, Reliability]) -> Iterator[tuple[Mention, ...]]:
    tables = [{entry.low: entry for entry in group.bins} for group in found.values()]
    for low in sorted({low for table in tables for low in table}):
        high = next(table[low].high for table in tables if low in table)
        cells = (_told(table[low]) if low in table else "" for table in tables)
        yield tuple(map(Mention, (f"{low:.0%} to {high:.0%}", *cells)))


def _points(name: str, found: Reliability) -> Iterator[PlotPoint]:
    for entry in found.bins:
        low, high = wilson(_hits(entry), entry.count)
        yield PlotPoint(
            entry.forecast, entry.came_true, low, high, f"{name} true cause, {_told(entry)}"
        )


def _told(entry: Bin) -> str:
    return f"{entry.forecast:.0%}: {_hits(entry)} of {entry.count}"


def _hits(entry: Bin) -> int:
    return round(entry.came_true * entry.count)
