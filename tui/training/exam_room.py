"""An exam on the screens: case after case without hints or coach, and what it came to."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagnose.training.course.certificate import exam_word
from diagnose.training.course.exam import Exam, SittingResult
from diagnose.training.records.attempts import AttemptRow
from diagnose.training.records.desk import TraineeStanding
from diagnose.training.records.keeping import KeptEncounter
from diagnose.training.records.trainee_book import Sitting
from tui.dialogs.pick import PickScreen, numbered
from tui.dialogs.rows import ListedRow, RowsScreen
from tui.training.encounter_screen import EncounterScreen
from tui.training.words.course_rows import exam_about, is_over, latest_sitting
from tui.training.words.course_sheet import CourseSheet

if TYPE_CHECKING:
    from tui.training.school import School


class ExamRoom:
    """One exam for the trainee of the school."""

    def __init__(self, school: School, exam: Exam) -> None:
        self._school, self._exam = school, exam

    def enter(self, sheet: CourseSheet) -> None:
        """Say what it is; begin it, go on with it, give it up, or look at the last one."""
        last = latest_sitting(sheet.standing, self._exam)
        choices = [("go", "Begin")]
        if last is not None and is_over(last):
            choices = [("go", "Sit it again"), ("look", f"Look at the last: {exam_word(last)}")]
        elif last is not None:
            done = sum(score is not None for score in last.scores)
            choices = [
                ("go", f"Go on after {done} of {len(last.scores)} cases"),
                ("give-up", "Give it up: cases not done count as nothing"),
            ]

        def picked(choice: str | None) -> None:
            if choice == "go":
                self._school.app.in_background(self._sat_down, self._next_case)
            elif choice == "look" and last is not None:
                self._show_result((sheet.standing, last))
            elif choice == "give-up" and last is not None:
                sitting = last.sitting
                self._school.app.in_background(
                    lambda: self._ended(sitting, given_up=True), self._show_result
                )

        screen = PickScreen(self._exam.title, numbered(choices), list(exam_about(self._exam)))
        self._school.app.push_screen(screen, picked)

    def _sat_down(self) -> Sitting:
        return self._school.desk.begin_sitting(self._school.trainee, self._exam)

    def _next_case(self, sitting: Sitting) -> None:
        desk, name = self._school.desk, self._school.trainee

        def begin() -> tuple[KeptEncounter, int] | tuple[TraineeStanding, SittingResult]:
            encounter = desk.next_exam_case(name, sitting)
            if encounter is None:
                return self._ended(sitting)
            result = _result(desk.standing(name), sitting)
            return encounter, sum(score is not None for score in result.scores)

        def begun(found: tuple[KeptEncounter, int] | tuple[TraineeStanding, SittingResult]) -> None:
            first, second = found
            if isinstance(first, TraineeStanding):
                assert isinstance(second, SittingResult)
                self._show_result((first, second))
                return
            assert isinstance(second, int)
            title = f"{sitting.begun.title}, case {second + 1} of {len(sitting.begun.cases)}"
            screen = EncounterScreen(first, title, is_exam=True)
            self._school.app.push_screen(screen, lambda ended: self._left(first, sitting, ended))

        self._school.app.in_background(begin, begun)

    def _left(self, encounter: KeptEncounter, sitting: Sitting, ended: bool | None) -> None:
        if ended:
            self._school.app.in_background(encounter.keep, lambda _: self._next_case(sitting))

    def _ended(
        self, sitting: Sitting, *, given_up: bool = False
    ) -> tuple[TraineeStanding, SittingResult]:
        desk, name = self._school.desk, self._school.trainee
        desk.end_sitting(name, sitting, given_up=given_up)
        desk.after_case(name)
        standing = desk.standing(name)
        return standing, _result(standing, sitting)

    def _show_result(self, found: tuple[TraineeStanding, SittingResult]) -> None:
        """The cases of a sitting with their scores; each can be gone through again."""
        standing, result = found
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

        def picked(at: int | None) -> None:
            row = cases[at] if at is not None else None
            if row is not None:
                self._school.look_at(row.id, then=lambda: self._show_result(found))

        title = (
            f"{begun.title}: {exam_word(result)}, mean {result.mean:.0f}, pass mark "
            f"{begun.pass_mark:g}. Time taken {result.minutes:.0f} min."
        )
        self._school.app.push_screen(RowsScreen(title, listed), picked)


def _result(standing: TraineeStanding, sitting: Sitting) -> SittingResult:
    return next(r for r in standing.sat if r.sitting.number == sitting.number)
