"""Opening the harshness screen, on the readings of a case or on what was entered before."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import work

from diagnose.case.events import Case
from tui.app.case_app import CaseApp
from tui.app.start import StartScreen

if TYPE_CHECKING:
    from tui.harshness.values import Sheet


class HarshActions(CaseApp):
    """The physics is loaded when the screen is first opened, so that the program starts fast."""

    _harsh_kept: tuple[Sheet, Sheet] | None = None

    def action_harsh(self) -> None:
        """Tyre or damping: the values under the arrow keys."""
        self.hold_keys()
        bench = self.bench
        if bench is None or isinstance(self.screen, StartScreen):
            self._prepare_harsh(self.bike.machine, frozenset())
            return
        now = bench.current
        hidden = now.assessment.belief.findings.not_applicable if now else frozenset()
        self._prepare_harsh(bench.case, hidden)

    @work(thread=True, group="harsh-open", exit_on_error=True)
    def _prepare_harsh(self, case: Case, hidden: frozenset[str]) -> None:
        from tui.harshness import harsh  # noqa: F401, PLC0415
        from tui.harshness.values import sheet_of  # noqa: PLC0415

        self.call_from_thread(self._open_harsh, sheet_of(self.rules, case, hidden))

    def _open_harsh(self, sheet: Sheet) -> None:
        """What was tried before is still there, unless the readings are others now."""
        from tui.harshness.harsh import HarshScreen  # noqa: PLC0415

        def left(result: Sheet | None) -> None:
            self._harsh_kept = None if result is None else (sheet, result)

        read, tried = self._harsh_kept or (None, sheet)
        self.push_screen(HarshScreen(tried if read == sheet else sheet), left)
        self.release_keys()
