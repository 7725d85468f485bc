"""How trainees stand, one by one and side by side, as plain lines."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime

from diagnose.training.certificate import exam_word, span_text
from diagnose.training.course.course import Course
from diagnose.training.course.progress import Mean, finished
from diagnose.training.course.repetition import Repeat
from diagnose.training.customers.guide import MEASURES, Guide
from diagnose.training.desk import TraineeStanding
from diagnose.training.records.attempts import AttemptRow
from diagnose.training.words.course_words import item_title
from diagnose.words.chances import ago
from tui.terminal.charts import bar
from tui.terminal.columns import table
from tui.terminal.text import WIDTH, wrapped

_BAR = 20
_RUNNING = 5
_COLUMN = 5  # what a case takes of a row, the gap after it included
FEWEST_TO_PLOT = 3
PLOT_TITLE = "Scores, case by case, the latest on the right"


def people_lines(people: Sequence[TraineeStanding], now: datetime) -> Iterator[str]:
    """A line per trainee."""
    rows = [
        (
            person.trainee.name + (" (put away)" if person.trainee.archived else ""),
            f"{sum(s.is_done for s in person.states)} of {len(person.states)}",
            str(person.progress.score.cases),
            f"{person.progress.score.mean:.0f}" if person.progress.score.cases else "-",
            str(len(person.due(now))),
            _last(person.rows, now),
            "yes" if person.ready.is_ready else "no",
        )
        for person in people
    ]
    yield from table(rows, ("trainee", "units", "cases", "mean", "due", "last case", "ready"))
    if not rows:
        yield "No trainees yet; `badride trainee add NAME` adds one."


def _last(rows: Sequence[AttemptRow], now: datetime) -> str:
    done = finished(rows)
    if not done:
        return "-"
    return ago((now.astimezone().date() - done[-1].changed.astimezone().date()).days)


def progress_lines(
    guide: Guide, course: Course, person: TraineeStanding, now: datetime, *, fancy: bool
) -> Iterator[str]:
    """Everything about one trainee: units, scores, measures, groups, exams, what is due."""
    yield from summary_lines(person)
    scores = person.progress.score.values
    if len(scores) >= FEWEST_TO_PLOT:
        yield ""
        yield PLOT_TITLE
        yield from score_chart(scores, guide.scoring.pass_mark, fancy=fancy)
    yield ""
    yield from share_lines(guide, person, fancy=fancy)
    yield ""
    yield from standing_lines(guide, course, person, now)


def summary_lines(person: TraineeStanding) -> Iterator[str]:
    """How far a trainee has come, and whether they are held ready."""
    seen = person.progress
    done = sum(state.is_done for state in person.states)
    units = f"{done} of {len(person.states)} units done"
    yield f"{person.trainee.name}: {units}, {_cases(seen.passed, seen.score)}"
    if seen.unsafe:
        yield f"Let out unsafe: {seen.unsafe}, which fails a case."
    if person.ready.is_ready:
        yield "Held ready by this shop's thresholds."
    else:
        yield from wrapped("; ".join(person.ready.lacks) + ".", "  ", "Not ready yet: ")


def share_lines(guide: Guide, person: TraineeStanding, *, fancy: bool) -> Iterator[str]:
    """Measures and groups of causes as tables with bars."""
    seen = person.progress
    yield "What counts: share of the points earned"
    titles: dict[str, str] = {key: guide.scoring.measures[key].title for key in MEASURES}
    yield from _share_table(seen.measures, titles, "measure", fancy=fancy)
    yield ""
    yield "Groups of causes: right cause named"
    names = {key: key.replace("-", " ") for key in seen.groups}
    yield from _share_table(seen.groups, names, "group", fancy=fancy)


def standing_lines(
    guide: Guide, course: Course, person: TraineeStanding, now: datetime
) -> Iterator[str]:
    """The exams sat, and what comes back."""
    if person.sat:
        rows = [
            (
                result.sitting.begun.title,
                result.sitting.at.astimezone().date().isoformat(),
                f"{result.mean:.0f}",
                f"{result.minutes:.0f} min",
                exam_word(result),
            )
            for result in person.sat
        ]
        yield from table(rows, ("exam", "date", "mean", "time taken", "result"))
        yield ""
    signed = person.trainee.signed_off(person.pack)
    if signed:
        titles = {unit.id: unit.title for unit in course.units}
        listed = [
            (titles.get(entry.unit, entry.unit), line, at.astimezone().date().isoformat(), entry.by)
            for entry, at in signed
            for line in entry.shown
        ]
        yield from table(listed, ("unit", "shown at a real bike", "date", "by"))
        yield ""
    yield from due_lines(guide, course, person.repeats, now)


def _cases(passed: int, score: Mean) -> str:
    return f"{score.cases} cases, {passed} passed, mean score {mean_text(score)}"


def mean_text(score: Mean) -> str:
    """A mean score with its interval where it has one."""
    if not score.cases:
        return "-"
    span = score.span()
    return f"{score.mean:.0f}" + (f" ({span[0]:.0f} to {span[1]:.0f})" if span else "")


def score_chart(
    scores: Sequence[float],
    pass_mark: float,
    *,
    fancy: bool,
    width: int = WIDTH,
    height: int = 8,
) -> list[str]:
    """A column for each of the latest cases with its score under it, as many as fit in `width`
    columns, and the mean of the last few; `height` is that of the columns."""
    said = f" pass mark {pass_mark:g}"
    shown = scores[-max(1, (width - len(said)) // _COLUMN) :]
    step = 100 / height
    drawn = []
    for low in (step * n for n in range(height - 1, -1, -1)):
        is_mark = low < pass_mark <= low + step
        empty = ("─" if fancy else "-") if is_mark else " "
        cells = (_filled((score - low) / step, fancy=fancy).replace(" ", empty) for score in shown)
        row = empty.join(cell * (_COLUMN - 1) for cell in cells)
        drawn.append(f"{row}{said}" if is_mark else row.rstrip())
    last = scores[-_RUNNING:]
    under = "".join(f"{score:.0f}".center(_COLUMN - 1) + " " for score in shown).rstrip()
    mean = f"Mean of the last {len(last)}: {sum(last) / len(last):.0f}."
    return [*drawn, under, mean]


def _filled(share: float, *, fancy: bool) -> str:
    """How a cell looks of which this share is filled from below."""
    eighths = round(min(max(share, 0.0), 1.0) * 8)
    return " ▁▂▃▄▅▆▇█"[eighths] if fancy else "#" if eighths >= 4 else " "


def _share_table(
    means: Mapping[str, Mean], titles: Mapping[str, str], what: str, *, fancy: bool
) -> list[str]:
    rows = [
        (
            titles[key],
            str(mean.cases),
            f"{mean.mean:.0%}",
            span_text(mean),
            bar(mean.mean, _BAR, fancy=fancy),
        )
        for key, mean in means.items()
        if mean.cases
    ]
    return table(rows, (what, "cases", "mean", "95 %", "share")) or ["Nothing yet."]


def compare_lines(people: Sequence[TraineeStanding]) -> Iterator[str]:
    """Trainees side by side, the best mean first, and who is ready."""
    ranked = sorted(people, key=lambda p: (-p.progress.score.mean, p.trainee.name.casefold()))
    rows = []
    for person in ranked:
        seen = person.progress
        over = [s for s in person.sat if s.complete or s.sitting.ended is not None]
        rows.append(
            (
                person.trainee.name,
                str(seen.score.cases),
                str(seen.passed),
                mean_text(seen.score),
                str(seen.unsafe),
                f"{sum(s.is_done for s in person.states)} of {len(person.states)}",
                f"{over[-1].mean:.0f} {exam_word(over[-1])}" if over else "-",
                "yes" if person.ready.is_ready else "no",
            )
        )
    head = ("trainee", "cases", "passed", "mean (95 %)", "unsafe", "units", "exam", "ready")
    yield from table(rows, head)
    for person in ranked:
        if not person.ready.is_ready:
            yield from wrapped(
                "; ".join(person.ready.lacks), "  ", f"{person.trainee.name} lacks: "
            )
    yield from wrapped(
        "They may have done different cases; `badride exam results` compares the same ones."
    )


def spread_lines(people: Sequence[TraineeStanding], guide: Guide, by: str) -> Iterator[str]:
    """Trainees by measure or by group of causes."""
    rows = []
    keys: dict[str, str] = (
        {key: guide.scoring.measures[key].title for key in MEASURES}
        if by == "measure"
        else {key: key.replace("-", " ") for p in people for key in p.progress.groups}
    )
    for key, title in sorted(keys.items()) if by == "group" else keys.items():
        for person in people:
            means = person.progress.measures if by == "measure" else person.progress.groups
            mean = means.get(key)
            if mean is not None and mean.cases:
                cells = (str(mean.cases), f"{mean.mean:.0%}", span_text(mean))
                rows.append((title, person.trainee.name, *cells))
    what = "share of points" if by == "measure" else "right cause"
    yield from table(rows, (by, "trainee", "cases", what, "95 %")) or ["Nothing yet."]


def due_lines(
    guide: Guide, course: Course, repeats: Sequence[Repeat], now: datetime
) -> Iterator[str]:
    """What was got wrong, and when it comes back."""
    if not repeats:
        yield "Nothing was got wrong so far, so nothing comes back."
        return
    rows = [
        (
            item_title(guide, course, repeat.item),
            str(repeat.misses),
            f"{repeat.gap} d",
            "now" if repeat.due <= now else repeat.due.astimezone().date().isoformat(),
        )
        for repeat in repeats
    ]
    yield from table(rows, ("comes back", "missed", "gap", "due"))
