"""The flow that adds an entry to the shop's own pack, question by question."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from diagnose.advice.assessor import Assessor
from diagnose.authoring.adding.adding import Adding
from diagnose.authoring.adding.begun_entry import BegunEntry, begun_entry, forget, put_by
from diagnose.authoring.adding.choosing import Prompt
from diagnose.authoring.adding.own_pack import own_pack
from diagnose.authoring.adding.pack_edits import history, undo, write
from diagnose.authoring.adding.questions import entry_kinds
from diagnose.authoring.adding.trying import TriedAddition, try_addition
from diagnose.words.chances import counted
from rules.loading.loader import load_packs
from rules.problems import BadInput
from tui.adding.addition_screen import AdditionScreen
from tui.adding.question_page import PageRow, QuestionPage, page_of
from tui.adding.question_screen import PageLeft, QuestionScreen
from tui.dialogs.pick_screen import PickScreen
from tui.dialogs.prompt_screen import PromptScreen
from tui.services.shell import Shell

_GO_ON, _UNDO = "go-on", "undo"
_NEW_FOLDER = "~/our-shop"


class AddingDesk:
    """Adds to the pack at the top of `packs`, or to one that is made first.

    `used` is told the packs in use from then on, after each change of them; `chosen` the folder of
    a pack that was not in use before.
    """

    def __init__(
        self,
        shell: Shell,
        packs: Sequence[Path],
        used: Callable[[Sequence[Path]], None],
        chosen: Callable[[Path], None],
    ) -> None:
        self._shell, self._packs = shell, tuple(packs)
        self._used, self._chosen = used, chosen

    async def open(self) -> None:
        """Inside a flow: ask what is to be added, and add it."""
        if self._shell.page is not None:
            self._shell.say("What a shop knows is added at the computer that serves this page.")
            return
        if not self._packs and not await self._made_pack():
            return
        while (kind := await self._kind()) is not None:
            if kind == _UNDO:
                await self._undo_if_sure()
                continue
            begun = self._begun() if kind == _GO_ON else None
            entry = begun or BegunEntry(kind, ())
            if await self._add(entry):
                return

    @property
    def _folder(self) -> Path:
        return self._packs[-1]

    # -- the pack --------------------------------------------------------------------------------

    async def _made_pack(self) -> bool:
        """Offer to make a pack; whether there is one now."""
        made: list[Path] = []

        def wrong(text: str) -> str:
            try:
                folder = own_pack(text)
                load_packs((folder,))
            except BadInput as error:
                return str(error)
            made.append(folder)
            return ""

        title = "What your shop knows goes into a pack of your own. In which folder?"
        hint = "It is made where it is not there, and used from then on. What ships stays as it is."
        screen = PromptScreen(title, hint, _NEW_FOLDER, wrong, replace=False)
        if await self._shell.ask(screen) is None:
            return False
        self._packs = (made[-1],)
        await self._use()
        self._chosen(self._folder)
        return True

    async def _use(self) -> None:
        """Load the packs anew, for cases that are begun from here on."""
        packs = self._packs
        await self._shell.work(lambda: self._shell.shop.use(lambda: Assessor(load_packs(packs))))
        self._used(packs)

    async def _undo_if_sure(self) -> None:
        title = f"Take back “{history(self._folder)[-1].title}”?"
        text = ("Cases that were worked with it are worked without it from then on.",)
        choices = (("y", _UNDO, "Yes, take it back"), ("n", "leave", "No"))
        if await self._shell.ask(PickScreen(title, choices, text)) == _UNDO:
            await self._undo()

    async def _undo(self) -> None:
        folder = self._folder
        taken = await self._shell.work(lambda: undo(folder))
        await self._use()
        self._shell.say(f"Taken back: {taken.title}. The pack is as before.")

    # -- what is added ---------------------------------------------------------------------------

    def _begun(self) -> BegunEntry | None:
        kept = begun_entry(self._folder)
        return kept if kept is not None and kept.kind in entry_kinds() else None

    async def _kind(self) -> str | None:
        """What is to be added, or done instead; None when it is left."""
        rows = []
        kept = self._begun()
        if kept is not None:
            said = counted(len(kept.lines), "answer")
            about = entry_kinds()[kept.kind].title
            rows.append(PageRow(f"Go on with {about}: {said} (begun; another replaces it)",
                                _GO_ON, "g"))  # fmt: skip
        for number, (name, kind) in enumerate(entry_kinds().items(), 1):
            rows.append(PageRow(kind.title[:1].upper() + kind.title[1:], name, str(number)))
        if added := history(self._folder):
            rows.append(PageRow(f"Take back what was added last: {added[-1].title}", _UNDO, "u"))
        head = f"To your own pack: {self._shell.shop.rules_as_written.packs[-1].title}"
        page = QuestionPage(head, "What do you want to add?", (), tuple(rows), box=False)
        left = await self._shell.ask(QuestionScreen(page, lambda line: "" if line else _NONE))
        return left.text if left is not None and left.how == "said" else None

    async def _add(self, entry: BegunEntry) -> bool:
        """Ask, try and keep it; whether that is done with, or it was put by."""
        rules = self._shell.shop.rules_as_written
        adding = await self._shell.work(lambda: entry.adding(rules, rules.packs[-1].id))
        draft = entry.draft
        taken_back: list[tuple[str, str]] = []
        while True:
            if adding.prompt is None:
                made = await self._shell.ask(self._trial(adding))
                if isinstance(made, TriedAddition):
                    return await self._keep(made)
                left = PageLeft("later" if made == "later" else "back", "")
            else:
                left = await self._answered(adding, draft)
            if left.how == "later":
                await self._put_by(adding, left.text)
                self._shell.say("Put by. The same key goes on with it; the pack is as it was.")
                return True
            if left.how == "back":
                if not adding.lines:
                    return False
                if adding.prompt is not None and (left.text or draft):
                    taken_back.append((adding.prompt.ask, left.text or draft))
                draft = adding.lines[-1]
                adding.back()
            else:
                draft = _said_before(taken_back, adding.prompt)
            await self._put_by(adding, "")

    async def _answered(self, adding: Adding, draft: str) -> PageLeft:
        assert adding.prompt is not None
        page = page_of(adding.prompt, adding.about, len(adding.lines) + 1)

        def wrong(line: str) -> str:
            try:
                adding.say(line)
            except BadInput as error:
                return str(error)
            return ""

        return await self._shell.ask(QuestionScreen(page, wrong, draft)) or PageLeft("back", "")

    def _trial(self, adding: Adding) -> AdditionScreen:
        packs, rules = self._packs, self._shell.shop.rules_as_written
        return AdditionScreen(
            adding.title, lambda told, step: try_addition(adding, packs, rules, told, step)
        )

    async def _put_by(self, adding: Adding, draft: str) -> None:
        folder = self._folder
        if adding.lines or draft:
            entry = BegunEntry(adding.kind.name, tuple(adding.lines), draft)
            await self._shell.work(lambda: put_by(folder, entry))

    async def _keep(self, made: TriedAddition) -> bool:
        """Write it, use it, and offer to take it back; whether nothing more is to be added."""
        folder = self._folder

        def keep() -> None:
            write(folder, made.title, made.texts)
            forget(folder)

        await self._shell.work(keep)
        await self._use()
        choices = (
            ("g", "leave", "Go on"),
            ("a", "more", "Add another"),
            ("u", _UNDO, "Take it back"),
        )
        text = ("It counts in every case that is begun from here on.",)
        screen = PickScreen(f"Kept: {made.title}", choices, text)
        chosen = await self._shell.ask(screen)
        if chosen == _UNDO:
            await self._undo()
        return chosen != "more"


_NONE = "Pick one by its key."


def _said_before(taken_back: list[tuple[str, str]], prompt: Prompt | None) -> str:
    """What was answered to this question before it was gone back from."""
    if taken_back and prompt is not None and taken_back[-1][0] == prompt.ask:
        return taken_back.pop()[1]
    return ""
