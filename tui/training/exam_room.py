"""An exam on the screens: case after case without hints or coach, then the result."""

from __future__ import annotations

from collections.abc import Awaitable, Callable

from diagnose.training.certificate import exam_word
from diagnose.training.course.exam import Exam, SittingResult
from diagnose.training.desk import TraineeStanding, TrainingDesk
from diagnose.training.records.attempts import AttemptRow
from diagnose.training.records.kept_encounter import KeptEncounter
from diagnose.training.records.trainee_book import Sitting
from diagnose.training.words.course_words import LEAVING_EXAM_CASE
from tui.dialogs.pick_screen import PickScreen, numbered
from tui.dialogs.rows_screen import ListedRow, RowsScreen
from tui.services.shell import Shell
from tui.training.encounter_work import EncounterWork
from tui.training.words.course_rows import exam_about, is_over, latest_sitting


class ExamRoom:
    """Leads a trainee through an exam and shows what it came to."""

    def __init__(
        self, shell: Shell, desk: TrainingDesk, look_at: Callable[[int], Awaitable[None]]
    ) -> None:
        """`look_at` shows the score of a case by its number until it is left."""
        self._shell, self._desk, self._look_at = shell, desk, look_at

    async def enter(self, standing: TraineeStanding, exam: Exam) -> None:
        """Inside a flow: say what the exam is; begin it, go on with it, give it up, or look at the
        last one. Raises `BadInput`."""
        name, last = standing.trainee.name, latest_sitting(standing, exam)
        choices = [("go", "Begin")]
        if last is not None and is_over(last):
            choices = [("go", "Sit it again"), ("look", f"Look at the last: {exam_word(last)}")]
        elif last is not None:
            done = sum(score is not None for score in last.scores)
            choices = [
                ("go", f"Go on after {done} of {len(last.scores)} cases"),
                ("give-up", "Give it up: cases not done count as nothing"),
            ]
        screen = PickScreen(exam.title, numbered(choices), list(exam_about(exam, standing)))
        choice = await self._shell.ask(screen)
        if choice == "go":
            await self._sit(name, exam)
        elif choice == "look" and last is not None:
            await self._show_result(standing, last)
        elif choice == "give-up" and last is not None:
            await self._end(name, last.sitting, given_up=True)

    async def _sit(self, name: str, exam: Exam) -> None:
        """Case after case, until all are done or the trainee leaves one open."""
        desk, work = self._desk, self._shell.work
        sitting = await work(lambda: desk.begin_sitting(name, exam))
        if sitting.begun.advised is not None:
            self._shell.say(
                "Drawn for this sitting alone. Doing as the program advises scores "
                f"{sitting.begun.advised:.0f} on these cases in the mean."
            )
        while (found := await work(lambda: self._next_case(name, sitting))) is not None:
            encounter, done = found
            title = f"{sitting.begun.title}, case {done + 1} of {len(sitting.begun.cases)}"
            work_on = EncounterWork(self._shell, encounter, title, before_leaving=LEAVING_EXAM_CASE)
            if not await work_on.play():
                return
            await work(encounter.keep)
        await self._end(name, sitting)

    def _next_case(self, name: str, sitting: Sitting) -> tuple[KeptEncounter, int] | None:
        """The case to go on with and how many are done; None when all are."""
        encounter = self._desk.next_exam_case(name, sitting)
        if encounter is None:
            return None
        result = _result(self._desk.standing(name), sitting)
        return encounter, sum(score is not None for score in result.scores)

    async def _end(self, name: str, sitting: Sitting, *, given_up: bool = False) -> None:
        desk = self._desk

        def end() -> TraineeStanding:
            desk.end_sitting(name, sitting, given_up=given_up)
            desk.after_case(name)
            return desk.standing(name)

        standing = await self._shell.work(end)
        await self._show_result(standing, _result(standing, sitting))

    async def _show_result(self, standing: TraineeStanding, result: SittingResult) -> None:
        """The cases of a sitting with their scores; each can be gone through again."""
        begun = result.sitting.begun
        own = {
            row.lesson or row.scenario: row
            for row in standing.rows
            if row.sitting == result.sitting.number
        }
        listed: list[ListedRow] = []
        cases: list[AttemptRow | None] = []
        for number, (case, score) in enumerate(zip(begun.cases, result.scores, strict=True), 1):
            row = own.get(case)
            cases.append(row if score is not None else None)
            failed = row.result.failed if row is not None and row.result is not None else ""
            about = "not done" if score is None else f"{score:.0f} of 100"
            listed.append(ListedRow(f"Case {number}", f"{about}. {failed}" if failed else about))

        advised = "" if begun.advised is None else f" Doing as advised: {begun.advised:.0f}."
        title = (
            f"{begun.title}: {exam_word(result)}, mean {result.mean:.0f}, pass mark "
            f"{begun.pass_mark:g}.{advised} Time taken {result.minutes:.0f} min."
        )
        while (at := await self._shell.ask(RowsScreen(title, listed))) is not None:
            row = cases[at]
            if row is None:
                return
            await self._look_at(row.id)


def _result(standing: TraineeStanding, sitting: Sitting) -> SittingResult:
    return next(r for r in standing.sat if r.sitting.number == sitting.number)
