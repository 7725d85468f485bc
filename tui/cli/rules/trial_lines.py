"""A trial in lines of plain text."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from diagnose.authoring.trials.many_faults import ManyFaultsCounts
from diagnose.authoring.trials.measures import (
    MEASURES,
    RANKING,
    TrialMeasure,
    confusion,
    reliability_of,
    summarise,
)
from diagnose.authoring.trials.pack_comparison import (
    MORE_THAN_NOISE,
    MeasureDifference,
    PairedCases,
    changed,
    compare,
)
from diagnose.authoring.trials.trial import (
    OTHER,
    PROGRAM,
    THIS,
    TOLD,
    WHOLE,
    StackComparison,
    Trial,
)
from diagnose.authoring.trials.working import CaseOutcome
from diagnose.records.learning.calibration import Bin
from diagnose.simulation.intervals import Average, ratio
from tui.terminal.text import WIDTH, wrapped

_MOST_PAIRS = 12
_MOST_CHANGES = 12
_KINDS = {
    THIS: "rides by this one's truth",
    OTHER: "by the other's",
    WHOLE: "worked cases",
    TOLD: "told bit by bit",
}
_RATIOS = ("minutes", "decision", "questions", "first", "cured")


def trial_lines(trial: Trial) -> Iterator[str]:
    """Everything, with 95 % intervals; against another stack, the verdict goes first."""
    if trial.comparison:
        yield from _verdict(trial.comparison)
        yield ""
    yield f"{trial.name}: {len(trial.told)} worked cases, {len(trial.seeds)} simulated ones"
    yield f"(seeds {trial.seeds[0]} to {trial.seeds[-1]}); 95 % intervals in brackets."
    if trial.skipped:
        text = "Left out, as they name what the rule base does not have: "
        yield from wrapped(text + ", ".join(trial.skipped))
    if trial.told:
        yield ""
        yield from _figures(WHOLE, [entry.ranked for entry in trial.told], RANKING)
        yield ""
        yield from _figures(TOLD, [entry.retold for entry in trial.told])
    for name, outcomes in trial.simulated.items():
        yield ""
        yield from _figures(f"simulated, {name}", outcomes)
    ours = trial.simulated[PROGRAM]
    for name, theirs in trial.simulated.items():
        if name != PROGRAM:
            yield ""
            yield from _ratios(name, ours, theirs)
    for person, found in trial.people.items():
        yield ""
        yield from _worked_by(person, found)
    yield ""
    yield from _calibration(ours)
    yield ""
    yield from _confused("Simulated, the program", ours)
    if trial.told:
        yield from _confused("Worked cases told bit by bit", [t.retold for t in trial.told])
    if trial.comparison:
        yield ""
        yield from _compared(trial.comparison)


def _verdict(comparison: StackComparison) -> Iterator[str]:
    """What it comes to, in three lines of one sentence each."""
    differences = compare(comparison.groups)
    better = [entry for entry in differences if entry.matters and entry.is_for_the_better]
    worse = [entry for entry in differences if entry.matters and not entry.is_for_the_better]
    word = "no difference that matters"
    if better or worse:
        word = "better" if not worse else "worse" if not better else "better in some, worse in some"
    yield f"Verdict on {comparison.other}: {word}."
    yield _where("Better", better)
    yield _where("Worse", worse)


def _where(word: str, entries: Sequence[MeasureDifference]) -> str:
    """Where it is so, on one line."""
    if not entries:
        return f"{word}: nowhere."
    kinds = dict.fromkeys(_KINDS.get(entry.cases, entry.cases) for entry in entries)
    most = min(entries, key=lambda entry: entry.adjusted)
    where = f"{word}: {', '.join(kinds)}"
    by = f"; most plainly {most.measure.title} {most.difference.mean:+{most.measure.form}}."
    return where + by if len(where + by) <= WIDTH else f"{where}."


def _figures(
    title: str, outcomes: Sequence[CaseOutcome], measures: Sequence[TrialMeasure] = MEASURES
) -> Iterator[str]:
    yield f"{title[:1].upper()}{title[1:]}, {len(outcomes)} cases:"
    figures = summarise(outcomes, measures)
    for measure in measures:
        yield f"  {measure.title:34} {_span(figures[measure.key], measure.form)}"


def _worked_by(person: str, found: Mapping[str, ManyFaultsCounts]) -> Iterator[str]:
    """One column for each policy."""
    bikes = next(iter(found.values())).bikes
    yield f"As a person of the kind {person!r}, {bikes} bikes with one to four faults:"
    rows: dict[str, list[str]] = {"": list(found)}
    for counts in found.values():
        for name, value in _of_people(counts):
            rows.setdefault(name, []).append(value)
    for name, values in rows.items():
        yield (f"  {name:34} " + "".join(f"{value:22}" for value in values)).rstrip()


def _of_people(counts: ManyFaultsCounts) -> Iterator[tuple[str, str]]:
    for name, share in (
        ("complaint gone", counts.cured),
        ("felt faults corrected", counts.felt_put_right),
        ("all faults corrected", counts.all_put_right),
        ("no wrong correction", counts.none_wrong),
        ("answers that are don't know", counts.unknown),
    ):
        yield name, f"{share.value:.0%} ({share.low:.0%} to {share.high:.0%})"
    for name, middle in (
        ("answers to the first advice, median", counts.to_advice),
        ("answers to proof, median if cured", counts.to_proof),
        ("longest run that moved nothing", counts.idle),
        ("minutes, median", counts.minutes),
    ):
        yield name, _span(middle, ".0f") if middle else "none was cured"
    yield "unsafe bikes never banned", f"{counts.missed} of {counts.unsafe}"
    safe = counts.bikes - counts.unsafe
    yield "safe bikes banned for what they show", f"{counts.held} of {safe}"
    yield "safe bikes banned for nothing", f"{counts.needless} of {safe}"


def _ratios(name: str, ours: Sequence[CaseOutcome], theirs: Sequence[CaseOutcome]) -> Iterator[str]:
    yield f"The program over {name}, on the same cases:"
    for measure in MEASURES:
        if measure.key in _RATIOS:
            over = ratio([measure.of(o) for o in ours], [measure.of(o) for o in theirs])
            yield f"  {measure.title:34} {_span(over, '.2f')}"


def _calibration(outcomes: Sequence[CaseOutcome]) -> Iterator[str]:
    found = reliability_of(o.decision for o in outcomes)
    yield from wrapped(
        "Calibration at the decision, simulated: of the causes given such a chance, how many were"
        f" there (off by {found.error:.1%} on average; those named first by"
        f" {found.named_error:.1%}):"
    )
    yield "  chance              all causes              named first"
    named = {entry.low: entry for entry in found.named}
    every = {entry.low: entry for entry in found.bins}
    for low in sorted(named | every):
        high = (every.get(low) or named[low]).high
        span = f"{low:.0%} to {high:.0%}"
        row = f"  {span:14} {_bin(every.get(low)):27} {_bin(named.get(low))}"
        yield row.rstrip()


def _bin(entry: Bin | None) -> str:
    if entry is None:
        return ""
    hits = round(entry.came_true * entry.count)
    return f"{entry.forecast:6.1%}: {hits} of {entry.count}, {entry.came_true:.1%}"


def _confused(title: str, outcomes: Sequence[CaseOutcome]) -> Iterator[str]:
    pairs = confusion(o.decision for o in outcomes)
    wrong = sum(not o.decision.first for o in outcomes)
    yield f"{title}: another cause named first in {wrong} of {len(outcomes)} cases."
    for pair in pairs[:_MOST_PAIRS]:
        text = (
            f"{pair.true} taken for {pair.named}: {pair.times} of {pair.cases}"
            f" ({pair.low:.0%} to {pair.high:.0%})"
        )
        yield from wrapped(text, "    ", "  ")
    if len(pairs) > _MOST_PAIRS:
        yield f"  and {len(pairs) - _MOST_PAIRS} more pairs (--json has all)."


def _compared(comparison: StackComparison) -> Iterator[str]:
    differences = compare(comparison.groups)
    yield f"Against {comparison.other} on the same cases: the other less this one."
    text = (
        f"{len(differences)} differences are looked at; p is adjusted for that (Holm), and one"
        f" counts as more than noise below {MORE_THAN_NOISE}. A rule base does best where it is the"
        " truth itself."
    )
    yield from wrapped(text)
    for group in comparison.groups:
        yield ""
        title = f"{group.title[:1].upper()}{group.title[1:]}"
        yield f"{title}, {len(group.names)} cases:"
        for entry in differences:
            if entry.cases == group.title:
                yield from _difference(entry)
        yield from _changes(group)
    for whose, names in comparison.untold.items():
        if names:
            yield ""
            text = f"Worked cases that {whose} cannot read, as it lacks what they name: "
            yield from wrapped(text + ", ".join(names))


def _difference(entry: MeasureDifference) -> Iterator[str]:
    if not entry.better and not entry.worse:
        yield f"  {entry.measure.title:34} the same in every case"
        return
    form = f"+{entry.measure.form}"
    noise = "may be noise"
    if entry.is_more_than_noise:
        noise = "MORE THAN NOISE" if entry.matters else "too small to matter"
    yield f"  {entry.measure.title:34} {_span(entry.difference, form)}"
    yield (
        f"    better in {entry.better}, worse in {entry.worse}, the same in {entry.same};"
        f" p {entry.adjusted:.3f}, {noise}"
    )


def _changes(group: PairedCases) -> Iterator[str]:
    changes = changed(group)
    if not changes:
        yield "  The same cause stands first in every case."
        return
    lost = sum(c.was_right and not c.is_right for c in changes)
    won = sum(c.is_right and not c.was_right for c in changes)
    yield f"  Another cause stands first in {len(changes)}: {won} put right, {lost} gone wrong."
    for change in changes[:_MOST_CHANGES]:
        mark = {-1: "gone wrong", 0: "changed", 1: "put right"}[change.is_right - change.was_right]
        text = (
            f"{change.case}, {mark}: {change.first or 'nothing'} -> {change.second or 'nothing'};"
            f" true: {', '.join(change.true)}"
        )
        yield from wrapped(text, "      ", "    ")
    if len(changes) > _MOST_CHANGES:
        yield f"    and {len(changes) - _MOST_CHANGES} more (--json has all)."


def _span(value: Average, form: str) -> str:
    return f"{value.mean:{form}} ({value.low:{form}} to {value.high:{form}})"
