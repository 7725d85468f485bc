"""Picking an observation or a cause in a training case, by words or from numbered lists."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from diagnose.listening.complaints import find_by_words
from diagnose.training.play.encounter import Encounter
from diagnose.training.words.encounter_words import observation_sayings
from tui.terminal.text import wrapped

_PAGE = 20
_MOST_FOUND = 9


class Picker:
    """Offers what there is in a case. `line` reads an answer to a prompt, `write` a line."""

    def __init__(
        self, encounter: Encounter, line: Callable[[str], str], write: Callable[[str], None]
    ) -> None:
        self._encounter = encounter
        self._rules = encounter.assessor.rules
        self._line = line
        self._write = write

    def by_words(self, text: str) -> str | None:
        """An observation found by words; None where nothing is found or picked."""
        hidden = self._hidden()
        asks = {k: said for k, said in observation_sayings(self._rules).items() if k not in hidden}
        found = find_by_words(asks, text, _MOST_FOUND)
        if not found:
            self._write(f"Nothing like {text!r}; other words, or 1 to 5 for the lists.")
            return None
        return self.one({key: asks[key][0] for key in found})

    def of_kind(self, kind: str) -> str | None:
        """An observation of one kind from the list; None where none is picked."""
        return self.one(
            {
                name: entry.ask
                for name, entry in self._rules.observations.items()
                if entry.kind == kind and name not in self._hidden()
            }
        )

    def one(self, options: Mapping[str, str]) -> str | None:
        """One of the options by its number, a page at a time; None where none is picked."""
        names = list(options)
        start = 0
        while True:
            end = self._page(options, names, start)
            more = ", Enter for more" if end < len(names) else ", Enter leaves it"
            text = self._line(f"number{more}> ")
            if not text:
                start = end
                if start >= len(names):
                    return None
            elif text.isdigit() and 1 <= int(text) <= len(names):
                return names[int(text) - 1]
            else:
                self._write(f"{text!r} is not one of the numbers; left.")
                return None

    def _page(self, options: Mapping[str, str], names: Sequence[str], start: int) -> int:
        """Write as many options as a small screen holds; where the next page starts."""
        room = _PAGE
        for number in range(start, len(names)):
            lines = list(wrapped(options[names[number]], "       ", f"  {number + 1:3}  "))
            if len(lines) > room:
                return number
            room -= len(lines)
            self._write("\n".join(lines))
        return len(names)

    def cause(self, prompt: str) -> str | None:
        """A cause by typed words; None where Enter leaves it."""
        while True:
            text = self._line(prompt)
            if not text:
                return None
            hidden = self._hidden()
            titles = {
                key: (cause.title, key.replace("-", " "))
                for key, cause in self._rules.causes.items()
                if key not in hidden
            }
            found = find_by_words(titles, text, _MOST_FOUND)
            if not found:
                self._write(f"No cause like {text!r}.")
                continue
            picked = self.one({key: titles[key][0] for key in found})
            if picked is not None:
                return picked

    def _hidden(self) -> frozenset[str]:
        return self._encounter.view().belief.findings.not_applicable
