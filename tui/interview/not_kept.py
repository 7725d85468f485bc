"""What to do where the store does not take what was said: it waits and is tried again."""

from __future__ import annotations

from collections.abc import Awaitable, Callable

from diagnose.case.writing import case_yaml, no_place_for
from diagnose.diagnosis import MovedOn
from rules.problems import BadInput
from tui.dialogs.device_files import save_file
from tui.dialogs.pick_screen import PickScreen
from tui.interview.case_at_work import CaseAtWork
from tui.services.shell import SECONDS_BETWEEN_TRIES, Shell


class NotKept:
    """The cases with something said that is not in the store."""

    def __init__(
        self, shell: Shell, moved_on: Callable[[CaseAtWork, MovedOn], Awaitable[None]]
    ) -> None:
        """`moved_on` is called inside a flow where another terminal was first with a case."""
        self._shell = shell
        self._moved_on = moved_on
        self.cases: list[CaseAtWork] = []

    def note(self, case: CaseAtWork, problem: str) -> bool:
        """Note that the latest change is in the store, or is not because of `problem`.

        Returns whether the person must be told of it, with `tell`.
        """
        is_news, case.problem = bool(problem) and not case.problem, problem
        if not problem:
            self.kept_now(case)
        elif case not in self.cases:
            self.cases.append(case)
        return is_news

    def kept_now(self, case: CaseAtWork) -> None:
        """Note that everything is in the store; say so where something had waited."""
        if self.forget(case):
            self._shell.say("It is kept now; nothing is missing.")

    def forget(self, case: CaseAtWork) -> bool:
        """Take a case off the list of those that wait. Returns whether it was there."""
        case.problem = ""
        waited = case in self.cases
        if waited:
            self.cases.remove(case)
        return waited

    async def tell(self, problem: str) -> None:
        """Inside a flow: say that something is not kept; it may be tried again at once."""
        self._shell.drop_typed_keys()
        text = (
            problem,
            "What you said is in memory. It is tried again with every answer, every "
            f"{SECONDS_BETWEEN_TRIES:.0f} seconds, and before the program ends.",
        )
        choices = (("1", "on", "Go on"), ("2", "again", "Try again now"))
        if await self._shell.ask(PickScreen("Not kept yet", choices, text)) != "again":
            return
        await self.try_all()
        if self.cases:
            self._shell.say(f"Still not kept: {self.cases[0].problem}", "warning", 10)

    async def try_all(self) -> None:
        """Inside a flow: try once more to keep everything that waits."""
        for case in list(self.cases):
            try:
                await self._shell.work(case.diagnosis.commit)
            except MovedOn as news:
                await self._moved_on(case, news)
            except BadInput as error:
                case.problem = str(error)
            else:
                self.kept_now(case)
        self._shell.refresh_top()

    async def may_leave(self) -> bool:
        """Whether the program may end: all is kept, or the person leaves it."""
        while self.cases:
            await self.try_all()
            if not self.cases:
                return True
            changes = sum(case.diagnosis.waiting for case in self.cases)
            text = (self.cases[0].problem, f"Not in the store: {changes} of what was said.")
            choices = (
                ("1", "again", "Try again"),
                ("2", "file", "Write it to a case file first"),
                ("3", "leave", "Leave without it"),
            )
            choice = await self._shell.ask(PickScreen("Not everything is kept", choices, text))
            if choice == "leave":
                return True
            if choice == "file":
                await self._write(self.cases[0])
            elif choice is None:
                return False
        return True

    async def _write(self, case: CaseAtWork) -> None:
        text, left_out = case_yaml(case.case)
        title, hint = "Write the case to", no_place_for(left_out)
        if await save_file(self._shell, title, "case.yaml", lambda name: text.encode(), hint=hint):
            self.forget(case)
