"""What exams came to, as plain lines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from diagnose.simulation.intervals import flip_test, holm
from diagnose.training.certificate import exam_word
from diagnose.training.course.exam import SittingResult
from diagnose.training.course.progress import Mean
from diagnose.training.desk import TraineeStanding
from diagnose.training.records.attempts import AttemptRow
from diagnose.training.records.trainee_entries import SittingBegun
from tui.terminal.columns import table
from tui.terminal.text import wrapped
from tui.training.words.progress_lines import mean_text

_LUCK = 0.05


def sitting_terms(begun: SittingBegun) -> Iterator[str]:
    """What holds for a sitting, said when it is sat down to."""
    if begun.advised is not None:
        yield from wrapped(
            "Drawn for this sitting alone; doing as the program advises scores "
            f"{begun.advised:.0f} on them in the mean."
        )
    yield "A case left for more than ten minutes is given back as it stands."


def sitting_lines(result: SittingResult, rows: Sequence[AttemptRow]) -> Iterator[str]:
    """What a sitting came to, with the number of each case for its review."""
    numbers = {
        row.lesson or row.scenario: row.id for row in rows if row.sitting == result.sitting.number
    }
    begun = result.sitting.begun
    mark = f"pass mark {begun.pass_mark:g}"
    yield f"{begun.title}: {exam_word(result)}, mean {result.mean:.0f}, {mark}"
    if begun.advised is not None:
        yield f"Doing as advised scores {begun.advised:.0f} on these cases in the mean."
    yield f"Time taken {result.minutes:.0f} min; bench minutes in the cases {result.bench:.0f}."
    listed = [
        (str(n), "-" if score is None else f"{score:.0f}", str(numbers.get(case, "-")))
        for n, (case, score) in enumerate(zip(begun.cases, result.scores, strict=True), 1)
    ]
    yield from table(listed, ("", "score", "case"))
    yield "`badride trainee review NAME CASE` goes through a case again."


def results_lines(people: Sequence[TraineeStanding], exam: str) -> Iterator[str]:
    """Everybody's latest finished sitting of an exam, and which differences are more than luck."""
    latest = {}
    for person in people:
        over = [
            result
            for result in person.sat
            if result.sitting.begun.exam == exam
            and (result.complete or result.sitting.ended is not None)
        ]
        if over:
            latest[person.trainee.name] = over[-1]
    if not latest:
        yield f"Nobody has finished the exam {exam!r} yet."
        return
    ranked = sorted(latest.items(), key=lambda item: (-item[1].mean, item[0].casefold()))
    rows = [
        (
            name,
            " ".join("  -" if score is None else f"{score:3.0f}" for score in result.scores),
            mean_text(Mean(tuple(score or 0.0 for score in result.scores))),
            f"{result.minutes:.0f} min",
            exam_word(result),
        )
        for name, result in ranked
    ]
    yield from table(rows, ("trainee", "case by case", "mean (95 %)", "time", ""))
    yield from _differences(ranked)


def _differences(ranked: Sequence[tuple[str, SittingResult]]) -> Iterator[str]:
    pairs = [
        (one, other)
        for n, one in enumerate(ranked)
        for other in ranked[n + 1 :]
        if one[1].sitting.begun.cases == other[1].sitting.begun.cases
    ]
    if not pairs:
        return
    chances = holm(
        [
            flip_test(
                [
                    (a or 0.0) - (b or 0.0)
                    for a, b in zip(one[1].scores, other[1].scores, strict=True)
                ]
            )
            for one, other in pairs
        ]
    )
    told = [
        f"{one[0]} over {other[0]} (p = {chance:.3f})"
        for (one, other), chance in zip(pairs, chances, strict=True)
        if chance < _LUCK
    ]
    yield from wrapped("; ".join(told) or "none", "  ", "Differences that are more than luck: ")
    yield from wrapped(
        "Randomisation test on the same cases, adjusted for the number of pairs; with few cases "
        "even a real difference does not show.",
        "  ",
        "  ",
    )
