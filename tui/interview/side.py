"""What every screen of a case has: its head, and the case as it stands."""

from __future__ import annotations

from textual.app import ComposeResult

from diagnose.diagnosis import Assessed
from tui.dialogs.base import CardScreen
from tui.interview.case_at_work import CaseActs, CaseAtWork
from tui.interview.case_head import CaseHead
from tui.widgets.key_footer import KeyFooter


class CaseScreen(CardScreen[None]):
    """Shows a case at work, and has things done with it."""

    def __init__(self, case: CaseAtWork, acts: CaseActs) -> None:
        super().__init__()
        self.case, self.acts = case, acts

    def on_screen_resume(self) -> None:
        """The case may have changed while another screen was on top."""
        self.show_case()

    def action_undo(self) -> None:
        """Take the latest change back."""
        self.acts.undo()

    def action_volunteer(self) -> None:
        """Ask for a fact or a reading in words."""
        self.acts.volunteer()

    def action_jot(self) -> None:
        """Add a note to the case."""
        self.acts.jot()

    def action_show(self, what: str) -> None:
        """Show a screen beside the step."""
        self.acts.show(what)

    def action_close_case(self) -> None:
        """Close the case as its rides say."""
        self.acts.close()


class SideScreen(CaseScreen):
    """Looks at the case beside the step: a head, what `body` gives, and the footer."""

    def compose(self) -> ComposeResult:
        """The head of the case, what `body` gives, and the footer."""
        yield CaseHead()
        yield from self.body()
        yield KeyFooter()

    def body(self) -> ComposeResult:
        """What stands under the head."""
        yield from ()

    def show_case(self) -> None:
        """Show the case as it now stands, once it has been assessed."""
        self.query_one(CaseHead).show(self.case)
        if self.case.current is not None:
            self.show_assessed(self.case.current)

    def show_assessed(self, current: Assessed) -> None:
        """Show the latest assessment of the case."""
        raise NotImplementedError
