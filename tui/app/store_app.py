"""Opening the store, and work in the background while keys wait."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TypeVar

from textual import work
from textual.screen import Screen

from diagnose.diagnosis import Workshop
from diagnose.records.learning.learned import learn_in_use
from diagnose.records.store.opening import open_memory
from diagnose.records.store.place import MEMORY
from diagnose.records.store.store import Store
from rules.problems import BadInput
from rules.rulebase import RuleBase
from tui.app.typeahead import TypeAheadApp
from tui.dialogs.pick import PickScreen
from tui.dialogs.prompt import PromptScreen
from tui.terminal.clock import now

Done = TypeVar("Done")


class StoreApp(TypeAheadApp):
    """Loads the rule base and opens the store.

    `open_workshop` may raise `BadInput`; the app then ends with its message and exit status 2.
    Where `open_store` raises it, the person is asked what to do. `store` is there by the time any
    key is handled; only workers use it, since it may stand on a slow disk or across a network.
    With `learning` the rule base is used as the shop's own proven cases have moved it.
    """

    def __init__(
        self,
        open_workshop: Callable[[], Workshop],
        open_store: Callable[[], Store] | None = None,
        *,
        learning: bool = True,
    ) -> None:
        super().__init__()
        self._open_workshop = open_workshop
        self._open_store = open_store or partial(open_memory, now)
        self._learning = learning
        self._untaught: Workshop | None = None
        self.workshop: Workshop | None = None
        self.store: Store | None = None
        self.taught_by = 0
        """How many proven cases of the shop have moved the rule base."""

    @property
    def rules(self) -> RuleBase:
        """The rule base. It is there by the time any key is handled."""
        assert self.workshop is not None
        return self.workshop.rules

    @property
    def untaught(self) -> RuleBase:
        """The rule base as its packs have it, whatever the shop's cases have taught since."""
        assert self._untaught is not None
        return self._untaught.rules

    @property
    def kept(self) -> Store:
        """The store. It is there by the time any key is handled."""
        assert self.store is not None
        return self.store

    @property
    def keeps(self) -> bool:
        """Whether anything outlives the program."""
        return self.store is not None and self.store.place != MEMORY

    def show_news(self) -> None:
        """Show what has changed on every screen."""

    def in_background(self, job: Callable[[], Done], then: Callable[[Done], None]) -> None:
        """Do `job` in a worker and hand `then` what it returns; keys wait.

        `BadInput` and `OSError` become a message, and `then` is not called.
        """
        self.hold_keys()
        self._work_off(job, then)

    @work(thread=True, group="background", exit_on_error=True)
    def _work_off(self, job: Callable[[], Done], then: Callable[[Done], None]) -> None:
        try:
            done = job()
        except (BadInput, OSError) as error:
            self.call_from_thread(self._failed, str(error))
        else:
            self.call_from_thread(self._worked_off, then, done)

    def _worked_off(self, then: Callable[[Done], None], done: Done) -> None:
        if self.is_awaited(then):
            then(done)
        self.release_keys()

    def is_awaited(self, then: Callable[..., object]) -> bool:
        """Whether `then` is of use: a screen whose method it is may have gone meanwhile."""
        owner = getattr(then, "__self__", None)
        return not isinstance(owner, Screen) or owner in self.screen_stack

    def _failed(self, message: str) -> None:
        self.notify(message, severity="error", timeout=15, markup=False)
        self.release_keys()

    def ask_file(
        self,
        title: str,
        name: str,
        write: Callable[[Path], None],
        *,
        hint: str = "",
        check: Callable[[Path], str] = lambda path: "",
        then: Callable[[], None] = lambda: None,
    ) -> None:
        """Ask for a file and `write` it in a worker. `check` gives what is wrong with a name."""

        def typed(text: str | None) -> None:
            if text is not None:
                path = Path(text).expanduser()
                self.in_background(lambda: write(path), lambda _: written(path))

        def written(path: Path) -> None:
            self.notify(f"Saved as {path.absolute()}", markup=False)
            then()

        where = "The folder is the one the program was started in."
        screen = PromptScreen(title, f"{where} {hint}".strip(), name, _check_twice(check))
        self.push_screen(screen, typed)

    # -- loading ---------------------------------------------------------------------------------

    def load(self) -> None:
        """Load the rule base and open the store; keys wait until both are there."""
        self.hold_keys()
        self._load()

    @work(thread=True, group="load", exit_on_error=True)
    def _load(self) -> None:
        try:
            self._untaught = self._open_workshop()
        except BadInput as error:
            self.call_from_thread(self.exit, None, 2, str(error))
            return
        self._open(self._open_store)

    def _open(self, open_store: Callable[[], Store]) -> None:
        try:
            store = open_store()
            workshop, taught_by = self._taught(store)
        except BadInput as error:
            self.call_from_thread(self._no_store, str(error))
        else:
            self.call_from_thread(self._loaded, workshop, store, taught_by)

    def _taught(self, store: Store) -> tuple[Workshop, int]:
        """The workshop as the shop's cases moved it, and how many did. Raises `StoreProblem`."""
        untaught = self._untaught
        assert untaught is not None
        learned = learn_in_use(untaught.rules, store) if self._learning else None
        if learned is None or not learned.cases:
            return untaught, 0
        return Workshop(learned.rules, untaught.model.causes_at_once), learned.cases

    def _loaded(self, workshop: Workshop, store: Store, taught_by: int) -> None:
        self.workshop, self.store, self.taught_by = workshop, store, taught_by
        self.show_news()
        self.release_keys()

    def learn_anew(self, then: Callable[[], object]) -> None:
        """Take in what has been proven since, for the cases that are begun from here on."""

        def learned(found: tuple[Workshop, int]) -> None:
            self.workshop, self.taught_by = found
            then()

        self.in_background(lambda: self._taught(self.kept), learned)

    def _no_store(self, message: str) -> None:
        self.drop_typed_keys()
        text = (message, "Without it the program works, but what you enter is gone at its end.")
        choices = (
            ("1", "again", "Try again"),
            ("2", "memory", "Go on and keep nothing"),
            ("3", "leave", "Leave"),
        )
        screen = PickScreen("Bikes and cases cannot be kept", choices, text)
        self.push_screen(screen, self._without_store)
        self.release_keys()

    def _without_store(self, choice: str | None) -> None:
        if choice == "leave":
            self.exit(return_code=2)
            return
        self.hold_keys()
        self._open_again(partial(open_memory, now) if choice == "memory" else self._open_store)

    @work(thread=True, group="load", exit_on_error=True)
    def _open_again(self, open_store: Callable[[], Store]) -> None:
        self._open(open_store)


def _check_twice(check: Callable[[Path], str]) -> Callable[[str], str]:
    """Refuses an existing file the first time it is given."""
    asked: set[str] = set()

    def checked(text: str) -> str:
        if not text:
            return "Nothing typed yet."
        path = Path(text).expanduser()
        if path.exists() and text not in asked:
            asked.add(text)
            return "There is such a file. Enter once more to replace it."
        return check(path)

    return checked
