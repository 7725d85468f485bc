"""Training on the screens: who is learning, and what is done with all of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from diagnose.training.desk import TraineeStanding, TrainingDesk
from diagnose.training.export import export_csv
from tui.dialogs.device_files import save_file
from tui.dialogs.read_screen import ReadScreen
from tui.dialogs.short_form import Field, ShortForm, WrongField
from tui.services.shell import Shell
from tui.training.course_work import CourseWork
from tui.training.screens.trainee_screen import Roll, TraineesScreen
from tui.training.words.progress_lines import compare_lines

NOTHING_KEPT = "Nothing is kept: what is done here is gone when the program ends."


class School:
    """A training desk at work on the screens."""

    def __init__(self, shell: Shell, desk: TrainingDesk) -> None:
        self._shell, self._desk = shell, desk
        self._kept_note = "" if shell.shop.keeps else NOTHING_KEPT
        self._course = CourseWork(shell, desk, self._kept_note)

    async def open(self) -> None:
        """Inside a flow: show who is learning."""
        roll = await self._shell.work(self._roll)
        self._shell.put(TraineesScreen(roll, self, self._kept_note))
        if not roll.people:
            await self._add()

    def _roll(self) -> Roll:
        desk = self._desk
        people = [desk.standing_of(one) for one in desk.trainees.everybody()]
        return Roll(people, self._shell.shop.now)

    # -- what may be done with trainees ----------------------------------------------------------

    def learn_as(self, name: str) -> None:
        """Open the course of a trainee."""
        self._shell.start(self._learn_as(name))

    async def _learn_as(self, name: str) -> None:
        await self._course.attend(name)
        roll, top = await self._shell.work(self._roll), self._shell.top
        if isinstance(top, TraineesScreen):
            top.show_roll(roll, name)

    def add(self) -> None:
        """Ask for a name, add it, and open its course."""
        self._shell.start(self._add())

    async def _add(self) -> None:
        about = "Scores and steps are kept under this name, for you and for whoever trains you."
        fields = (Field("name", "Name"),)
        screen = ShortForm("Add a trainee", fields, _read_name, self._kept_note or about)
        name = await self._shell.ask(screen)
        if name is not None:
            trainee = await self._shell.work(lambda: self._desk.trainees.add(name))
            await self._learn_as(trainee.name)

    def compare(self, people: Sequence[TraineeStanding]) -> None:
        """Show these people side by side."""
        self._shell.start(self._compare(people))

    async def _compare(self, people: Sequence[TraineeStanding]) -> None:
        lines = await self._shell.work(lambda: list(compare_lines(people)))
        self._shell.put(ReadScreen("Trainees side by side", lines))

    def write_table(self, people: Sequence[TraineeStanding]) -> None:
        """Ask for a file and write every case of these people to it, as CSV."""
        self._shell.start(self._write_table(people))

    async def _write_table(self, people: Sequence[TraineeStanding]) -> None:
        await save_file(
            self._shell,
            "Write every case of everybody to",
            "training.csv",
            lambda name: export_csv(people, self._desk.pack).encode(),
            hint="CSV, a row for each case.",
        )


def _read_name(fields: Mapping[str, str]) -> str:
    if not fields["name"]:
        raise WrongField("name", "Nothing typed yet.")
    return fields["name"]
