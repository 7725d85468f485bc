"""Cases from and to files."""

from __future__ import annotations

from pathlib import Path

from diagnose.case.events import Case
from diagnose.case.files import WorkedCase, load_case, load_worked_cases
from diagnose.case.writing import case_yaml, no_place_for
from diagnose.records.store.file_writing import write_text
from tui.app.actions.card import JobCardActions
from tui.app.keeper import Keeper
from tui.cases.job_card import JobCardScreen
from tui.dialogs.prompt import PromptScreen
from tui.dialogs.rows import ListedRow, RowsScreen

_CASE_FILE = "case.yaml"


class FileActions(JobCardActions):
    """Opening, looking at and saving cases. Files are touched in workers only."""

    examples: Path | None = None

    def look_at(self, case: Case, bike: str, keeper: Keeper | None) -> None:
        """Put a case on the bench and show its card."""
        self.on_bench(case, bike, keeper)
        self.push_screen(JobCardScreen(looking=True))
        self.reassess()

    def action_open_case(self) -> None:
        """Ask for a case file and open it; it is kept from the first answer that is added on."""
        screen = PromptScreen("Which case file?", "A path such as case.yaml.", _CASE_FILE)
        self.push_screen(screen, self._open_named)

    def _open_named(self, name: str | None) -> None:
        if name is not None:
            path = Path(name).expanduser()
            self.in_background(
                lambda: load_case(self.rules, path),
                lambda case: self.look_at(case, "", self.keeper(case)),
            )

    def action_examples(self) -> None:
        """List the worked example cases of the rule base."""
        folder = self.examples
        if folder is None or not folder.is_dir():
            self.notify("This rule base has no example cases.")
            return
        self.in_background(lambda: load_worked_cases(self.rules, folder), self._show_examples)

    def _show_examples(self, found: list[WorkedCase]) -> None:
        """Examples are invented, so they are never kept."""
        rows = [ListedRow(item.title, item.teaches) for item in found]

        def picked(index: int | None) -> None:
            if index is not None:
                self.look_at(found[index].case, f"Example: {found[index].title}", None)

        title = "Example cases, all invented and not kept. Enter looks at one."
        self.push_screen(RowsScreen(title, rows), picked)

    def action_save_case(self) -> None:
        """Save the case as a case file."""
        assert self.bench is not None
        if not self.has_complaint():
            self.notify("A case without a complaint is not worth a file.")
            return
        text, left_out = case_yaml(self.bench.case)
        title, hint = "Save the case as", no_place_for(left_out)
        self.ask_file(title, _CASE_FILE, lambda path: write_text(path, text), hint=hint)
