"""Add or edit a bike: its kind, the manual's figures and its baseline, a line each."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from textwrap import wrap
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import Static

from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.store.store_problems import Clash
from rules.problems import BadInput
from rules.rulebase import RuleBase
from tui.bikes.bike_draft import BikeDraft, Fact, figures_of, keep_draft, settings_of
from tui.bikes.bike_facts import told
from tui.bikes.forms import baseline_form, figure_form
from tui.dialogs.pick_screen import PickScreen, numbered
from tui.dialogs.prompt_screen import PromptScreen, refusal
from tui.dialogs.search_screen import SearchScreen
from tui.services.shell import Shell
from tui.widgets.action_pad import ActionPad, Does
from tui.widgets.key_lines import KeyFooter
from tui.widgets.keyed import keyed
from tui.widgets.search_list import SearchList, SearchRow
from tui.widgets.text_lines import put_line

_USE_HINT = "Terrain, kind of riding, rider: a line of your own words."
_HINT = "Enter changes a line, y keeps the bike, Escape leaves it as it was."
_SECTIONS = (
    ("Bike", ("name", "use", "trait")),
    ("By the manual", ("figure",)),
    ("Baseline: how it should stand", ("setting",)),
)
_PAD = (
    Does("y", "Keep", "keep"),
    Does("/", "Search", "search"),
    Does("1", "Bike", "section(0)"),
    Does("2", "Manual", "section(1)"),
    Does("3", "Baseline", "section(2)"),
    Does("u", "Take back", "thumb"),
    Does("e", "Name", "name"),
    Does("Esc", "Leave it", "leave"),
)
_MARGIN, _LEAST = 4, 12


class BikeScreen(SearchScreen[BikeDraft | None]):
    """Returns the draft once it is kept, None when it is left.

    With `needs_name` off, a bike without a name is returned as it is and kept nowhere. `renamed` is
    told the old and the new name once the store has the new one, which may be before the rest of
    the draft is kept.
    """

    CSS_PATH = "bike_form.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "look", "Change", tooltip="Change the line marked", id="bike.change"),
        keyed("y", "keep", "Keep the bike as shown", "Keep", id="bike.keep"),
        keyed("e", "name", "Give it a name", "Name", id="bike.name", show=False),
        keyed(
            "u", "thumb", "Take the change marked back; a figure goes to its rule of thumb",
            "Take back", id="bike.thumb", show=False,
        ),
        Binding("1", "section(0)", "Bike", tooltip="To the kind of bike", show=False),
        Binding("2", "section(1)", "Manual", tooltip="To the manual's figures", show=False),
        Binding("3", "section(2)", "Baseline", tooltip="To the baseline", show=False),
    ]  # fmt: skip

    def __init__(
        self,
        shell: Shell,
        draft: BikeDraft,
        *,
        renamed: Callable[[str, str], None],
        needs_name: bool = True,
    ) -> None:
        super().__init__()
        self._shell, self._draft = shell, draft
        self._renamed, self._needs_name = renamed, needs_name
        self._opened = draft
        self._facts: dict[str, Fact] = {}

    @property
    def _rules(self) -> RuleBase:
        return self._shell.shop.rules

    @property
    def _today(self) -> date:
        return self._shell.shop.today

    def compose(self) -> ComposeResult:
        """Hint, facts, what is wrong, buttons."""
        yield Static(_HINT, id="hint", markup=False)
        yield SearchList("Press / and type to search", "Nothing like it.", id="facts")
        yield Static("", id="problem", markup=False)
        yield ActionPad(_PAD, columns=4)
        yield KeyFooter()

    def on_mount(self) -> None:
        """Show the lines and give them the keys."""
        self._say("")
        self._show()
        self.query_one(SearchList).take_keys()

    def on_resize(self) -> None:
        """Fit the titles to another width."""
        self._show()

    def show_case(self) -> None:
        """Draw again: targets may have become large or small."""
        self._show()

    # -- showing ---------------------------------------------------------------------------------

    def _say(self, problem: str) -> None:
        put_line(self.query_one("#problem", Static), problem)

    def _show(self) -> None:
        facts = [
            Fact("name"),
            Fact("use"),
            *(Fact("trait", key) for key in self._rules.traits),
            *(Fact("figure", key) for key in figures_of(self._rules, self._draft)),
            *(Fact("setting", key) for key in settings_of(self._rules, self._draft)),
        ]
        self._facts = {f"{fact.kind} {fact.id}": fact for fact in facts}
        rows = []
        for heading, kinds in _SECTIONS:
            rows.append(SearchRow("", heading))
            rows += [self._row(key, f) for key, f in self._facts.items() if f.kind in kinds]
        self.query_one(SearchList).show_rows(rows)

    def _row(self, key: str, fact: Fact) -> SearchRow:
        title, value, origin = told(self._rules, self._draft, fact)
        changed = "> " if fact in self._draft.changed() else "  "
        mark = f"  ({origin})" if origin else ""
        room = self.app.size.width - len(f"{changed}: {value}{mark}") - _MARGIN
        name = "\n    ".join(wrap(title, max(room, _LEAST)))
        look = Content.assemble(changed, f"{name}: ", (value, "bold"), mark)
        return SearchRow(key, look, f"{title} {value} {fact.id}")

    def spoken_actions(self) -> Iterator[tuple[str, str]]:
        """Change any line by its title."""
        for key, fact in self._facts.items():
            yield f"Change: {told(self._rules, self._draft, fact).title}", f"look_at({key!r})"

    # -- changing --------------------------------------------------------------------------------

    def action_look_at(self, value: str) -> None:
        """Ask for what a line of the form is to say."""
        self._shell.start(self._change(self._facts[value]))

    def action_name(self) -> None:
        """Ask for a name."""
        self._shell.start(self._change(Fact("name")))

    async def _change(self, fact: Fact) -> None:
        draft = await self._ask(fact)
        if draft is not None:
            self._changed(draft)

    async def _ask(self, fact: Fact) -> BikeDraft | None:
        """The draft with what is typed or picked; None when that is left."""
        rules, draft, ask = self._rules, self._draft, self._shell.ask
        if fact.kind == "figure":
            return await ask(figure_form(rules, draft, fact.id, self._today))
        if fact.kind == "setting":
            return await ask(baseline_form(rules, draft, fact.id, self._today))
        if fact.kind == "trait":
            trait = rules.traits[fact.id]
            option = await ask(PickScreen(trait.ask, numbered(list(trait.options.items()))))
            return None if option is None else draft.with_trait(rules, fact.id, option)
        if fact.kind == "use":
            title, check = "Ridden on and for?", refusal(draft.with_use)
            text = await ask(PromptScreen(title, _USE_HINT, draft.used_for, check, replace=False))
            return None if text is None else draft.with_use(text)
        title, check = "What is the bike called?", refusal(draft.called)
        text = await ask(PromptScreen(title, "", draft.name, check))
        return None if text is None else draft.called(text)

    def _changed(self, draft: BikeDraft) -> None:
        self._draft = draft
        self._say("")
        self._show()

    def action_thumb(self) -> None:
        """Drop the change of the line marked; a figure goes back to its rule of thumb."""
        if self.marked is not None:
            self._changed(self._draft.without(self._facts[self.marked], self._today))

    def action_section(self, number: int) -> None:
        """Mark the first line of a section, if it has any."""
        kinds = _SECTIONS[number][1]
        facts = self.query_one(SearchList)
        facts.stop_searching()
        for key in [key for key, fact in self._facts.items() if fact.kind in kinds][:1]:
            facts.mark(key)

    # -- keeping ---------------------------------------------------------------------------------

    def action_keep(self) -> None:
        """Keep the bike; one that is new is asked for its name first."""
        self._shell.start(self._keep())

    async def _keep(self) -> None:
        if not self._draft.name and self._needs_name:
            await self._change(Fact("name"))
            if not self._draft.name:
                return
        draft = self._draft
        if not draft.name or not (draft.is_new or draft.changed()):
            self.dismiss(draft)
            return
        book = BikeBook(self._shell.shop.store)
        result = await self._shell.work(lambda: _try_to_keep(book, draft))
        if isinstance(result, str):
            self._say(result)
            return
        if not draft.is_new and result.bike.name != draft.bike.name:
            self._renamed(draft.bike.name, result.bike.name)
        if result.changed():
            self._clashed(draft, result)
        else:
            self.dismiss(result)

    def _clashed(self, draft: BikeDraft, result: BikeDraft) -> None:
        self._draft = result
        both = [
            told(self._rules, result, fact).title for fact in draft.also_changed_in(result.bike)
        ]
        clash = f" Changed on both sides: {', '.join(both)}." if both else ""
        self._show()
        self._say(
            "Another terminal has changed this bike; how it stands now is shown, with your "
            f"changes (>).{clash} y keeps yours on top, u drops one."
        )

    def leave(self) -> None:
        """Leave the form; where there are changes, ask what becomes of them."""
        if self._draft == self._opened:
            self.dismiss(None)
        else:
            self._shell.start(self._leave())

    async def _leave(self) -> None:
        choices = (("k", "keep", "Keep them"), ("d", "drop", "Drop them"))
        title = "There are changes that are not kept yet"
        choice = await self._shell.ask(PickScreen(title, choices))
        if choice == "keep":
            await self._keep()
        elif choice == "drop":
            self.dismiss(None)


def _try_to_keep(book: BikeBook, draft: BikeDraft) -> BikeDraft | str:
    """The bike as kept, or the changes on what another terminal kept, or what is wrong."""
    try:
        return BikeDraft.of(keep_draft(book, draft))
    except Clash as error:
        return str(error) if draft.is_new else draft.on(book.read(draft.name))
    except BadInput as error:
        return str(error)
