"""The box for a reading: it says which unit a number alone is in, and gives it that unit."""

from __future__ import annotations

from collections.abc import Iterable

from textual.message import Message

from diagnose.words.answers import accepted
from rules.units.quantities import with_unit
from tui.widgets.word_box import ReadingBox

# where a hint may end
_ENDS = (":", ";", ", or")


class ReadingField(ReadingBox):
    """A reading box that knows its unit."""

    _unit = _wanted = ""

    def __init__(self, id: str | None = None, *, brief: bool = False) -> None:  # noqa: A002
        """A `brief` one hints at the unit of a number alone, and Enter on it says the others."""
        super().__init__(id=id)
        self._brief = brief

    class Blank(Message):
        """Enter was pressed without a reading; `wanted` says what would be one."""

        def __init__(self, wanted: str) -> None:
            super().__init__()
            self.wanted = wanted

    def ask(self, unit: str, words: Iterable[str] = ()) -> None:
        """Ask for a reading whose number alone is in `unit`, or for one of these words."""
        self._unit = unit
        self.value = ""
        self._wanted = accepted(unit, words)
        self._hint()
        self.focus()

    def on_resize(self) -> None:
        """Hint at as much as there is room for."""
        self._hint()

    def _hint(self) -> None:
        """The whole hint, or the parts of it that fit; Enter on the empty box says all of it."""
        hint, room = self._wanted, self.content_size.width - 1
        if self._brief:
            hint = hint.partition(_ENDS[-1])[0]
        while room > 0 and len(hint) > room and (end := max(map(hint.rfind, _ENDS))) > 0:
            hint = hint[:end]
        self.placeholder = hint

    async def action_submit(self) -> None:
        """Hand the reading on with its unit, also where only the number was typed."""
        if not self.value.strip():
            self.post_message(self.Blank(f"Type a {self._wanted}."))
            return
        self.value = with_unit(self.value, self._unit)
        await super().action_submit()
