"""What an entry comes to in a pack: edits of its own, and of the entries that it goes with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from diagnose.authoring.adding.entry_names import Names


@dataclass(frozen=True, slots=True)
class Edit:
    """Something to put into a pack: `value` at `path`, with comments beside its fields. An edit of
    a `file` of its own has no path."""

    path: tuple[str, ...]
    value: Any
    notes: Mapping[str, str]
    file: str = ""


class Edits:
    """The edits of one addition, in order; `finish` puts in what other entries say."""

    def __init__(self, names: Names) -> None:
        self._names = names
        self._linked: dict[tuple[str, str], dict[str, Any]] = {}
        self.edits: list[Edit] = []

    def finish(self, title: str) -> None:
        """Put into entries that are there what they are to say of what was made, called `title`."""
        for (section, name), said in self._linked.items():
            self._link(section, name, said, title)

    def add(self, edit: Edit) -> None:
        """Note an edit."""
        self.edits.append(edit)

    def note(self, field: str, name: str, key: str, value: Any, body: Mapping[str, Any]) -> None:
        """What another entry is to say of the one just made."""
        section = self._names.section_of(name)
        said = self._linked.setdefault((section, name), {"source": body["source"]})
        if field == "shown_by":
            said.setdefault("shows", {})[key] = value
        elif field == "puts_right":
            said["correction"] = key
        else:
            said.setdefault("cautions", []).append(key)

    def _link(self, section: str, name: str, said: dict[str, Any], title: str) -> None:
        source = said.pop("source")
        if "cautions" in said:
            known = getattr(self._names.rules, section)[name].cautions
            said["cautions"] = [*known, *said["cautions"]]
        if self._names.rules.origins[section, name].pack == self._names.pack:
            for field, value in said.items():
                parts = value.items() if field == "shows" else [("", value)]
                for part, inner in parts:
                    path = (section, name, field, part) if part else (section, name, field)
                    self.edits.append(Edit(path, inner, {}))
            return
        self._change(section, name, said, f"Goes with our own: {title}"[:200], source)

    def _change(
        self, section: str, name: str, said: Mapping[str, Any], reason: str, source: Any
    ) -> None:
        at = ("changes", section, name)
        mine = [c for c in self._names.rules.changes(section, name) if c.pack == self._names.pack]
        if mine:
            if reason not in mine[-1].reason:
                both = f"{mine[-1].reason} {reason}"[:200]
                self.edits.append(Edit((*at, "reason"), both, {}))
            for field, value in said.items():
                parts = value.items() if isinstance(value, dict) else [("", value)]
                for part, inner in parts:
                    where = (*at, "set", field, part) if part else (*at, "set", field)
                    self.edits.append(Edit(where, inner, {}))
            return
        body = {"set": dict(said), "reason": reason, "source": source}
        self.edits.append(Edit(at, body, {"set": "only what differs"}))

    def changed(self, body: Mapping[str, Any]) -> str:
        """Note a change of an entry; gives its title."""
        name = str(body["entry"])
        section = self._names.section_of(name)
        entry = getattr(self._names.rules, section)[name]
        title = str(getattr(entry, "title", None) or getattr(entry, "ask", name))
        self._change(section, name, body["change"], body["reason"], body["source"])
        return title
