"""Cases from and to files, the clipboard and the shelf."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

from textual import work

from diagnose.case import Case
from diagnose.casefile import WorkedCase, load_case, load_worked_cases
from diagnose.casewriting import case_yaml
from rules.problems import BadInput
from tui.case_actions import CaseActions
from tui.jobcard import job_card
from tui.screens.cases import CasesScreen, ListedCase
from tui.screens.job_card import JobCardScreen
from tui.screens.prompt import PromptScreen
from tui.shelf import KeptCase
from tui.telling import complaints_line

_CARD_FILE, _CASE_FILE = "job-card.md", "case.yaml"


class FileActions(CaseActions):
    """Opening, looking at, copying and saving cases. Files are touched in workers only."""

    examples: Path | None = None

    # -- opening ---------------------------------------------------------------------------------

    def look_at(self, case: Case, bike: str = "", case_id: int | None = None) -> None:
        """Put a case on the bench and show its card."""
        self.on_bench(case, bike, self.shelf.next_id() if case_id is None else case_id)
        self.push_screen(JobCardScreen(looking=True))
        self.reassess()

    def action_look_cases(self) -> None:
        """List the cases of this session."""
        kept = self.shelf.cases()
        if not kept:
            self.notify("No case yet in this session.")
            return
        rows = [
            ListedCase(
                complaints_line(self.rules, item.case),
                f"{item.bike or 'bike without a name'}, {len(item.case.events)} entries",
            )
            for item in kept
        ]
        self.push_screen(
            CasesScreen("Cases of this session, latest first. Enter looks at one.", rows),
            partial(self._kept_picked, kept),
        )

    def _kept_picked(self, kept: tuple[KeptCase, ...], index: int | None) -> None:
        if index is not None:
            self.look_at(kept[index].case, kept[index].bike, kept[index].id)

    def action_open_case(self) -> None:
        """Ask for a case file and open it."""
        screen = PromptScreen("Which case file?", "A path such as case.yaml.", _CASE_FILE)
        self.push_screen(screen, self._open_named)

    def _open_named(self, name: str | None) -> None:
        if name is not None:
            self.hold_keys()
            self._read_case(Path(name).expanduser())

    @work(thread=True, group="files")
    def _read_case(self, path: Path) -> None:
        try:
            case = load_case(self.rules, path)
        except (BadInput, OSError) as error:
            self.call_from_thread(self._failed, str(error))
        else:
            self.call_from_thread(self.look_at, case)

    def action_examples(self) -> None:
        """List the worked example cases of the rule base."""
        if self.examples is None or not self.examples.is_dir():
            self.notify("This rule base has no example cases.")
            return
        self.hold_keys()
        self._read_examples(self.examples)

    @work(thread=True, group="files")
    def _read_examples(self, folder: Path) -> None:
        try:
            found = load_worked_cases(self.rules, folder)
        except (BadInput, OSError) as error:
            self.call_from_thread(self._failed, str(error))
        else:
            self.call_from_thread(self._show_examples, found)

    def _show_examples(self, found: list[WorkedCase]) -> None:
        rows = [ListedCase(item.title, item.teaches) for item in found]

        def picked(index: int | None) -> None:
            if index is not None:
                self.look_at(found[index].case, f"Example: {found[index].title}")

        title = "Example cases, all invented. Enter looks at one."
        self.push_screen(CasesScreen(title, rows), picked)
        self.release_keys()

    def _failed(self, message: str) -> None:
        self.notify(message, severity="error", timeout=15, markup=False)
        self.release_keys()

    # -- keeping ---------------------------------------------------------------------------------

    def card_text(self) -> str:
        """The job card of the case on the bench, as Markdown."""
        bench = self.bench
        assert bench is not None and bench.current is not None
        return job_card(bench.rules, bench.case, bench.current.assessment, bench.bike)

    def action_copy_card(self) -> None:
        """Copy the job card to the clipboard of the terminal."""
        self.copy_to_clipboard(self.card_text())
        self.notify("Copied. If the terminal does not take it, save it with m.")

    def action_save_card(self) -> None:
        """Save the job card as Markdown."""
        self._ask_file("Save the job card as", _CARD_FILE, self.card_text())

    def action_save_case(self) -> None:
        """Save the case as a case file."""
        assert self.bench is not None
        if not self.has_complaint():
            self.notify("A case without a complaint is not worth a file.")
            return
        text, left_out = case_yaml(self.bench.case)
        self._ask_file("Save the case as", _CASE_FILE, text, left_out)

    def _ask_file(self, title: str, name: str, text: str, left_out: tuple[str, ...] = ()) -> None:
        hint = "The folder is the one the program was started in."
        if left_out:
            hint += f" A case file has no place for: {'; '.join(left_out)}."
        screen = PromptScreen(title, hint, name, _check_twice())
        self.push_screen(screen, lambda path: self._save(path, text))

    def _save(self, name: str | None, text: str) -> None:
        if name is not None:
            self.hold_keys()
            self._write(Path(name).expanduser(), text)

    @work(thread=True, group="files")
    def _write(self, path: Path, text: str) -> None:
        try:
            path.write_text(text, encoding="utf-8")
        except OSError as error:
            self.call_from_thread(self._failed, f"{path} could not be written: {error.strerror}")
        else:
            self.call_from_thread(self._written, path)

    def _written(self, path: Path) -> None:
        self.notify(f"Saved as {path.absolute()}", markup=False)
        self.release_keys()

    def action_close_case(self) -> None:
        """The case is done: back to the start. It stays on the shelf."""
        self.back_to_start()


def _check_twice() -> Callable[[str], str]:
    """Refuses an existing file the first time it is given."""
    asked: set[str] = set()

    def check(text: str) -> str:
        if not text:
            return "Nothing typed yet."
        if Path(text).expanduser().exists() and text not in asked:
            asked.add(text)
            return "There is such a file. Enter once more to replace it."
        return ""

    return check
