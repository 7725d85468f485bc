"""What is asked for a field of an entry, and the one of the choices that an answer means."""

from __future__ import annotations

from dataclasses import dataclass

from rules.near_words import nearest
from rules.problems import BadInput

NUMBERED = 9
"""So many choices have a key each."""


@dataclass(frozen=True, slots=True)
class Choice:
    """Something that can be named: by `name` in a pack, by `title` for a person."""

    name: str
    title: str = ""

    @property
    def label(self) -> str:
        """What a person calls it."""
        return self.title or self.name

    def has(self, text: str) -> bool:
        """Whether every word of `text` is in what it is called."""
        named = f"{self.name} {self.title}".lower()
        return all(word in named for word in text.lower().replace("-", " ").split())

    def __str__(self) -> str:
        return f"{self.title} ({self.name})" if self.title else self.name


@dataclass(frozen=True, slots=True)
class Prompt:
    """What is asked now.

    `choices` are what can be named, by key where they are few; `new` is the kind that may be made
    on the way. Where `may_end`, an empty line goes on; `default` is what it then stands for.
    `so_far` is what a list holds already; `sections` are those whose entries can be named. Where it
    `denies`, a choice may stand behind `not`.
    """

    ask: str
    such_as: str = ""
    detail: str = ""
    choices: tuple[Choice, ...] = ()
    so_far: tuple[str, ...] = ()
    may_end: bool = False
    new: str = ""
    default: str = ""
    sections: tuple[str, ...] = ()
    denies: bool = False

    @property
    def is_numbered(self) -> bool:
        """Whether every choice has a key."""
        return 0 < len(self.choices) <= NUMBERED

    @property
    def is_yes_or_no(self) -> bool:
        """Whether it is answered with y or n."""
        return {choice.name for choice in self.choices} == {"y", "n"}


def matching(prompt: Prompt, text: str) -> list[Choice]:
    """The choices that hold every word of `text`, those whose name begins so first."""
    found = [choice for choice in prompt.choices if choice.has(text)]
    return sorted(found, key=lambda choice: not choice.name.startswith(text.lower()))


def pick(prompt: Prompt, line: str) -> str:
    """The name of the choice that a line means. Raises `BadInput` saying what would do."""
    text = line.strip()
    if not text and prompt.default:
        return prompt.default
    if not text:
        raise BadInput("name one; a word of it is enough")
    if prompt.is_numbered and text.isdigit() and 1 <= int(text) <= len(prompt.choices):
        return prompt.choices[int(text) - 1].name
    for choice in prompt.choices:
        if text.lower() in (choice.name, choice.title.lower()):
            return choice.name
    found = matching(prompt, text)
    if len(found) == 1:
        return found[0].name
    if found:
        some = "\n".join(f"  {choice}" for choice in found[:NUMBERED])
        more = f"\n  and {len(found) - NUMBERED} more" if len(found) > NUMBERED else ""
        raise BadInput(f"{text!r} could be one of these; write more of it:\n{some}{more}")
    raise BadInput(f"{text!r} is none of what can be named here{_near(prompt, text)}")


def _near(prompt: Prompt, text: str) -> str:
    """The title of what is meant, where something close is known, as the end of a message."""
    known = {choice.name: choice.label for choice in prompt.choices}
    known |= {choice.label.lower(): choice.label for choice in prompt.choices}
    close = nearest(text.lower(), list(known))
    return f"; did you mean “{known[close]}”?" if close else ""
