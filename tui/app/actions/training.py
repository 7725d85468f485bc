"""Opening the training, which is loaded when it is first asked for: the start stays fast."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from tui.app.case_app import CaseApp

if TYPE_CHECKING:
    from tui.training.school import School


class TrainingActions(CaseApp):
    """One school for as long as the program runs."""

    packs: Sequence[Path] = ()
    """The folders that the rule base was loaded from, none for the one that ships."""
    _school: School | None = None

    def action_learn(self) -> None:
        """Who is learning?"""
        if self._school is not None:
            self._school.open()
        else:
            self.in_background(self._found_school, self._opened)

    def _found_school(self) -> School:
        from diagnose.training.course.course import load_teaching  # noqa: PLC0415
        from diagnose.training.records.desk import TrainingDesk  # noqa: PLC0415
        from tui.training.school import School  # noqa: PLC0415

        # what this shop's cases have taught stays out, so that a seed is the same case everywhere
        return School(self, TrainingDesk(load_teaching(self.untaught, self.packs), self.kept))

    def _opened(self, school: School) -> None:
        self._school = school
        school.open()
