"""When the store does not take a change: another terminal was first, or it cannot be written."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from textual import work

from diagnose.case.writing import case_yaml, no_place_for
from diagnose.records.store.file_writing import write_text
from diagnose.records.store.problems import StoreProblem
from diagnose.words.events import event_text
from tui.app.bench import Bench
from tui.app.case_app import CaseApp
from tui.app.keeper import MovedOn
from tui.dialogs.pick import PickScreen

_SECONDS_BETWEEN_TRIES = 15.0
_MOST = 5


class TroubleActions(CaseApp):
    """Nothing said is lost: what is not in the store waits in memory and is tried again."""

    def __init__(self, *given: Any, **more: Any) -> None:
        super().__init__(*given, **more)
        self._waiting: list[Bench] = []

    # -- another terminal ------------------------------------------------------------------------

    def moved_on(self, bench: Bench, news: MovedOn) -> None:
        """Show what the other terminal has made of the case; what was said here can be added."""
        assert bench.keeper is not None and bench.kept is not None
        self._waits_no_longer(bench)
        bench.case = bench.keeper.stored
        said = [f"There: {event_text(bench.rules, event)}" for event in news.theirs[:_MOST]]
        if bench.closed_as is not None:
            said.append(f"There: closed as {bench.closed_as}")
        elif not said:
            said.append("There something was taken back or changed.")
        said += [f"Not added: your {event_text(bench.rules, event)}" for event in news.lost[:_MOST]]
        dropped = self.drop_typed_keys()
        if dropped:
            said.append(f"Keys typed before this came up were not used: {dropped}.")
        choices = [("1", "on", "Go on from how it stands now")]
        if news.lost and bench.closed_as is None:
            choices.append(("2", "add", "Add what I said to it"))
        title = f"Case {bench.kept.id} was moved on at another terminal"

        def chosen(choice: str | None) -> None:
            if bench is not self.bench:
                return
            if choice == "add":
                self.record(*news.lost)
            elif bench.closed_as is not None:
                self.show_card()

        if bench is self.bench:
            self.reassess()
        self.push_screen(PickScreen(title, choices, said), chosen)
        self.release_keys()

    # -- not kept --------------------------------------------------------------------------------

    def kept_or_not(self, bench: Bench, problem: str) -> None:
        """The latest change is in the store, or is not because of `problem`."""
        news, bench.problem = problem if not bench.problem else "", problem
        if not problem:
            self._kept_now(bench)
        elif bench not in self._waiting:
            self._waiting.append(bench)
        if news:
            self._say_not_kept(problem)

    def _kept_now(self, bench: Bench) -> None:
        if self._waits_no_longer(bench):
            self.notify("It is kept now; nothing is missing.")

    def _waits_no_longer(self, bench: Bench) -> bool:
        """Forget that it waits. Returns whether it did."""
        bench.problem = ""
        waited = bench in self._waiting
        if waited:
            self._waiting.remove(bench)
        return waited

    def _say_not_kept(self, problem: str) -> None:
        self.drop_typed_keys()
        text = (
            problem,
            "What you said is in memory. It is tried again with every answer, every "
            f"{_SECONDS_BETWEEN_TRIES:.0f} seconds, and before the program ends.",
        )
        choices = (("1", "on", "Go on"), ("2", "again", "Try again now"))
        self.push_screen(PickScreen("Not kept yet", choices, text), self._not_kept)

    def _not_kept(self, choice: str | None) -> None:
        if choice == "again":
            self.in_background(self._keep_all, self._say_whether_kept)

    def _say_whether_kept(self, _: bool) -> None:
        if self._waiting:
            problem = f"Still not kept: {self._waiting[0].problem}"
            self.notify(problem, severity="warning", timeout=10, markup=False)

    def on_mount(self) -> None:
        """From now on, what waits is tried again by itself."""
        self.set_interval(_SECONDS_BETWEEN_TRIES, self.try_again)

    def try_again(self) -> None:
        """Try to keep what waits; says so when it has worked."""
        for bench in self._waiting:
            self._try(bench)

    @work(thread=True, group="keep", exit_on_error=True)
    def _try(self, bench: Bench) -> None:
        self._keep_now(bench)

    def _keep_now(self, bench: Bench) -> bool:
        """In a worker: try once more and tell the app. Returns whether another terminal had moved
        it on, so that what was said here is asked about."""
        try:
            bench.keep_waiting()
        except MovedOn as news:
            self.call_from_thread(self.hold_keys)
            self.call_from_thread(self.moved_on, bench, news)
            return True
        except StoreProblem as error:
            bench.problem = str(error)
        else:
            self.call_from_thread(self._kept_at_last, bench)
        return False

    def _kept_at_last(self, bench: Bench) -> None:
        self._kept_now(bench)
        self.show_news()

    # -- leaving ---------------------------------------------------------------------------------

    async def action_quit(self) -> None:
        """Leave, once everything said is in the store or the person says to leave it."""
        if self._waiting:
            self.in_background(self._keep_all, self._ask_before_quitting)
        else:
            await super().action_quit()

    def _keep_all(self) -> bool:
        """In a worker: try all once more. Returns whether something is asked about now."""
        moved_on = [self._keep_now(bench) for bench in list(self._waiting)]
        return any(moved_on)

    def _ask_before_quitting(self, asked_already: bool = False) -> None:
        if asked_already:
            return
        if not self._waiting:
            self.exit()
            return
        changes = sum(bench.waiting for bench in self._waiting)
        text = (self._waiting[0].problem, f"Not in the store: {changes} of what was said.")
        choices = (
            ("1", "again", "Try again"),
            ("2", "file", "Write it to a case file first"),
            ("3", "leave", "Leave without it"),
        )
        screen = PickScreen("Not everything is kept", choices, text)
        self.push_screen(screen, self._quit_or_not)

    def _quit_or_not(self, choice: str | None) -> None:
        if choice == "leave":
            self.exit()
        elif choice == "again":
            self.in_background(self._keep_all, self._ask_before_quitting)
        elif choice == "file":
            self._write_before_quitting(self._waiting[0])

    def _write_before_quitting(self, bench: Bench) -> None:
        text, left_out = case_yaml(bench.case)

        def write(path: Path) -> None:
            write_text(path, text)

        def written() -> None:
            self._waiting.remove(bench)
            self._ask_before_quitting()

        self.ask_file(
            "Write the case to", "case.yaml", write, hint=no_place_for(left_out), then=written
        )
