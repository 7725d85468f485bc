"""What can be named in a pack, with what is being made: by title, by section, with its answers."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from diagnose.authoring.adding.choosing import Choice
from rules.rulebase import RuleBase, complaint_nodes

_KINDS: Mapping[str, str] = {
    "causes": "a cause",
    "complaints": "a complaint",
    "places": "a complaint",
    "observations": "a check",
    "evidence": "a check",
    "facts": "an answer or a kind of bike",
    "findings": "a finding",
    "corrections": "a correction",
    "cautions": "a caution",
    "sources": "a source",
    "traits": "a fact about the bike",
}
"""What an entry of a section, or of several, is called."""


@dataclass(slots=True)
class Names:
    """What `rules` has, and what was `made` on the way: by section, id and title. `pack` is the one
    at the top; `fresh` are the fields of what was made, or is in the making as `this`."""

    rules: RuleBase
    pack: str
    made: dict[str, dict[str, str]] = field(default_factory=dict)
    fresh: dict[str, dict[str, Any]] = field(default_factory=dict)

    def choices(self, sections: Iterable[str]) -> list[Choice]:
        """Everything of some sections that can be named; `places` are complaints at their places,
        `evidence` what can be shown, `facts` what a rule may look at."""
        found: dict[str, str] = {}
        for section in sections:
            if section == "places":
                for key, complaint in self.rules.complaints.items():
                    for node in complaint_nodes(key, complaint):
                        found.setdefault(node, self.rules.nodes[node].title)
            elif section == "evidence":
                found |= {
                    key: node.title
                    for key, node in self.rules.nodes.items()
                    if node.kind != "complaint"
                }
                found |= self.made.get("observations", {})
            elif section == "facts":
                found |= {key: entry.title for key, entry in self.rules.traits.items()}
                found |= {key: node.title for key, node in self.rules.nodes.items()}
                found |= {key: entry.ask for key, entry in self.rules.observations.items()}
            else:
                table = getattr(self.rules, section)
                found |= {key: _called(entry) for key, entry in table.items()}
                found |= self.made.get(section, {})
        return [Choice(name, title) for name, title in found.items()]

    def title(self, name: str) -> str:
        """What a person calls it; the id where it has no other name."""
        if name in self.fresh:
            body = self.fresh[name]
            return str(body.get("ask") or body.get("title") or body.get("text") or name)
        for choice in self.choices(("facts", "complaints", "places", *_SECTIONS)):
            if choice.name == name:
                return choice.title or name
        return name

    def titles(self, names: Iterable[str]) -> list[str]:
        """What a person calls them."""
        return [self.title(name) for name in names]

    def labels(self, name: str) -> dict[str, str]:
        """The answers that a rule may look for, by state."""
        if name in self.rules.traits:
            return dict(self.rules.traits[name].options)
        for table in (self.rules.observations, self.rules.findings):
            if name in table:
                return dict(table[name].states)
        return {"yes": "Yes"}

    def states(self, name: str) -> dict[str, str]:
        """The answers of a fact, none for a complaint."""
        if name in self.fresh:
            return self.fresh[name].get("states") or {"no": "No", "yes": "Yes"}
        node = self.rules.nodes.get(name)
        if node is not None and node.kind != "complaint":
            return dict(zip(node.states, node.labels, strict=True))
        return {}

    def section_of(self, name: str) -> str:
        """The section that an entry is in."""
        return next(s for s in _SECTIONS if name in getattr(self.rules, s))

    def is_own(self, section: str, name: str) -> bool:
        """Whether an entry is of the pack at the top, or made on the way."""
        return name in self.made.get(section, {}) or (
            (section, name) in self.rules.origins
            and self.rules.origins[section, name].pack == self.pack
        )

    def misplaced(self, text: str, sections: Iterable[str]) -> str:
        """What is wrong with `text` where only `sections` can be named, if it names something else
        or something a second time; empty where it names nothing."""
        wanted = list(dict.fromkeys(_KINDS[section] for section in sections))
        if not wanted:
            return ""
        said = " ".join(text.lower().split())
        every = [
            (_KINDS[section], choice)
            for section in (*_SECTIONS, "complaints", "places", "traits", "sources")
            for choice in self.choices((section,))
        ]
        for kind, choice in every:
            if said in (choice.name, choice.title.lower()) and kind in wanted:
                return f"“{choice.label}” is named already"
        # a whole name goes before words of one
        every.sort(key=lambda one: said not in (one[1].name, one[1].title.lower()))
        for kind, choice in every:
            if choice.has(said) and kind not in wanted:
                return f"“{choice.label}” is {kind}, not {' or '.join(wanted)}"
        return ""


_SECTIONS = ("causes", "observations", "corrections", "cautions", "findings")


def _called(entry: Any) -> str:
    for name in ("title", "ask", "text"):
        if getattr(entry, name, None):
            return str(getattr(entry, name))
    return ""
