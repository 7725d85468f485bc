"""Who is learning: pick a name, or add one's own."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import Footer, Static

from diagnose.training.records.desk import TraineeStanding
from diagnose.training.records.trainee_book import Trainee
from tui.dialogs.base import CardScreen
from tui.dialogs.read import ReadScreen
from tui.dialogs.short_form import Field, ShortForm, WrongField
from tui.training.course_screen import CourseScreen
from tui.training.words.progress_lines import compare_lines
from tui.widgets.action_pad import ActionPad, Does
from tui.widgets.search_list import Row, SearchList

if TYPE_CHECKING:
    from tui.training.school import School

_NAME = 24
_HEAD = f"{'name':<{_NAME}}  {'units':>8}  {'cases':>5}  {'mean':>4}  {'due':>3}  ready"
_PAD = (
    Does("Enter", "Go", "look"),
    Does("a", "Add me", "add"),
    Does("v", "Compare", "compare"),
)


class TraineesScreen(CardScreen[None]):
    """The trainees of the store, with how each stands."""

    CSS_PATH = "trainee_screen.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "look", "Go", tooltip="Go on as the name marked", id="trainees.go"),
        Binding("a", "add", "Add me", tooltip="Add a trainee", id="trainees.add"),
        Binding("v", "compare", "Compare", tooltip="All side by side", id="trainees.compare"),
        Binding("w", "write", "Write", tooltip="Write every case as CSV", id="trainees.write"),
    ]

    def __init__(self, school: School) -> None:
        super().__init__()
        self._school = school
        self._people: Sequence[TraineeStanding] = ()

    def compose(self) -> ComposeResult:
        """Title, names, buttons."""
        yield Static("Who is learning?", id="title", markup=False)
        yield Static(self._school.kept_note, id="kept", markup=False)
        empty = "Nobody yet. a adds you."
        yield SearchList("Press / and type a name", empty, _HEAD, id="people")
        yield ActionPad(_PAD, columns=3)
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """The names take the keys."""
        self.query_one("#kept").display = bool(self._school.kept_note)
        self.query_one(SearchList).take_keys()

    def on_screen_resume(self) -> None:
        """Somebody may have learned meanwhile."""
        self._read()

    def show_case(self) -> None:
        """Targets may have become large."""
        self._show(None)

    def _read(self) -> None:
        desk = self._school.desk
        self.card_app.in_background(
            lambda: [desk.standing_of(one) for one in desk.trainees.everybody()], self._found
        )

    def _found(self, people: list[TraineeStanding]) -> None:
        self._people = people
        self._show(self._school.trainee or None)

    def _show(self, mark: str | None) -> None:
        now = self._school.desk.attempts.store.now()
        rows = []
        for person in self._people:
            score = person.progress.score
            done = sum(state.is_done for state in person.states)
            look = Content.assemble(
                (f"{person.trainee.name[:_NAME]:<{_NAME}}", "bold"),
                f"  {f'{done} of {len(person.states)}':>8}  {score.cases:>5}",
                f"  {f'{score.mean:.0f}' if score.cases else '-':>4}",
                f"  {len(person.due(now)):>3}  {'yes' if person.ready.is_ready else 'no'}",
            )
            rows.append(Row(person.trainee.name, look, person.trainee.name))
        self.query_one(SearchList).show_rows(rows, mark)

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Every name."""
        for person in self._people:
            yield f"Learn as {person.trainee.name}", f"look_at({person.trainee.name!r})"

    def on_search_list_chosen(self, message: SearchList.Chosen) -> None:
        """Enter or a touch on a name."""
        self.action_look_at(message.value)

    def action_look(self) -> None:
        """To the course of the one marked."""
        marked = self.query_one(SearchList).marked
        if marked is not None:
            self.action_look_at(marked)
        else:
            self.action_add()

    def action_look_at(self, name: str) -> None:
        """To the course of one."""
        self._school.trainee = name
        self.app.push_screen(CourseScreen(self._school))

    def action_add(self) -> None:
        """Ask for a name and add it."""

        def read(fields: Mapping[str, str]) -> str:
            if not fields["name"]:
                raise WrongField("name", "Nothing typed yet.")
            return fields["name"]

        about = "Scores and steps are kept under this name, for you and for whoever trains you."
        screen = ShortForm(
            "Add a trainee", (Field("name", "Name"),), read, self._school.kept_note or about
        )
        self.app.push_screen(screen, self._add)

    def _add(self, name: str | None) -> None:
        if name is None:
            return
        book = self._school.desk.trainees

        def add() -> Trainee:
            return book.add(name)

        self.card_app.in_background(add, lambda one: self.action_look_at(one.name))

    def action_compare(self) -> None:
        """Everybody side by side."""
        if not self._people:
            self.notify("Nobody is learning yet.")
            return
        people = self._people

        def show(lines: list[str]) -> None:
            self.app.push_screen(ReadScreen("Trainees side by side", lines))

        self.card_app.in_background(lambda: list(compare_lines(people)), show)

    def action_write(self) -> None:
        """Write every case of everybody as CSV."""
        if self._people:
            self._school.write_table(self._people)
        else:
            self.notify("Nobody is learning yet.")

    def action_search(self) -> None:
        """Type to narrow the list."""
        self.query_one(SearchList).action_search()

    def action_leave(self) -> None:
        """First out of the search, then back."""
        if self.query_one(SearchList).is_searching:
            self.query_one(SearchList).stop_searching()
        else:
            self.dismiss(None)
