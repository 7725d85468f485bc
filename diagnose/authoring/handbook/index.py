"""What all chapters need: anchors, packs, sources, strengths in words and numbers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from diagnose.advice.assessor import Assessor
from diagnose.authoring.complaint_odds import OddsBook
from diagnose.authoring.handbook.parts import Entry, HandbookTable, Listing, Mention
from diagnose.authoring.handbook.rule_words import fact_title
from diagnose.authoring.strengths import link_origin
from diagnose.cards.blocks import drawings_of
from rules.language.schema import Strength
from rules.rulebase import Link, RuleBase

_SECTIONS = {"complaint": "complaints", "observation": "observations", "finding": "findings"}


class Index:
    """A rule base with what the chapters look up in it, worked out once."""

    def __init__(self, assessor: Assessor) -> None:
        self.rules: RuleBase = assessor.rules
        self.odds = OddsBook(assessor)
        self.links_of: dict[str, list[Link]] = {cause: [] for cause in self.rules.causes}
        self.links_to: dict[str, list[Link]] = {node: [] for node in self.rules.nodes}
        for link in self.rules.links:
            self.links_of[link.cause].append(link)
            self.links_to[link.node].append(link)

    def entry(
        self,
        section: str,
        key: str,
        title: str,
        *,
        text: str = "",
        facts: Iterable[tuple[str, Mention | str]] = (),
        warnings: Iterable[str] = (),
        lists: Iterable[Listing] = (),
        tables: Iterable[HandbookTable] = (),
        sources: Iterable[str] = (),
        picture: str | None = None,
    ) -> Entry:
        """An entry without its empty parts."""
        shown = [(label, Mention(v) if isinstance(v, str) else v) for label, v in facts]
        written = self.rules.written.get((section, key))
        for change in written.changes if written else ():
            shown.append((f"Changed by {change.pack}", Mention(change.reason)))
            sources = (*sources, *change.source)
        return Entry(
            anchor(section, key),
            title,
            key,
            self.rules.origins[(section, key)].pack,
            text,
            tuple((label, item) for label, item in shown if item.text),
            tuple(self.rules.cautions[name].text for name in warnings),
            tuple(listing for listing in lists if listing.items),
            tuple(table for table in tables if table.rows),
            tuple(dict.fromkeys(str(self.rules.sources[name]) for name in sources)),
            next(iter(drawings_of(self.rules, (picture,))), None),
        )

    def cause(self, key: str, note: str = "") -> Mention:
        """A cause as a link."""
        return Mention(self.rules.causes[key].title, anchor("causes", key), note)

    def node(self, key: str, note: str = "") -> Mention:
        """A complaint, observation or finding as a link."""
        section = _SECTIONS[self.rules.nodes[key].kind]
        return Mention(fact_title(self.rules, key), anchor(section, key.partition("/")[0]), note)

    def picture(self, key: str | None) -> Mention:
        """A picture as a link; nothing for None."""
        return (
            Mention(self.rules.pictures[key].title, anchor("pictures", key)) if key else Mention("")
        )

    def strength(self, link: Link) -> str:
        """`likely, 78 in 100`, per state where there are several; with the grade of what shows the
        link in print, and the pack where it is not the cause's own."""
        node = self.rules.nodes[link.node]
        if set(node.states) == {"no", "yes"}:
            text = f"{link.words['yes']}, {in_100(link.chances[1])}"
        else:
            text = "; ".join(
                f"“{node.label(state)}” {word}, {in_100(link.chances[node.index(state)])}"
                for state, word in link.words.items()
            )
        sources = (self.rules.sources[name] for name in link.source)
        printed = dict.fromkeys(s.grade or s.kind for s in sources if s.kind == "published")
        if printed:
            text += f"; that it can, in print ({', '.join(printed)})"
        home = self.rules.origins[("causes", link.cause)].pack
        pack = link_origin(self.rules, link).pack
        return text if pack == home else f"{text} (from {pack})"

    def states(self, entry: Any, given: Strength | None) -> Iterator[Mention]:
        """The states of an observation or finding with how often each is seen anyway."""
        states: Mapping[str, str] = entry.states
        words = given if isinstance(given, Mapping) else {list(states)[-1]: given} if given else {}
        for state, label in states.items():
            word = words.get(state)
            note = f"seen anyway: {word}, {in_100(self.rules.scale.number(word))}" if word else ""
            yield Mention(label, note=note)

    def needs(self, needs: Mapping[str, Iterable[str]]) -> str:
        """The bikes an entry is for."""
        return "; ".join(
            f"{self.rules.traits[trait].title}: "
            + " or ".join(self.rules.traits[trait].options[option] for option in options)
            for trait, options in needs.items()
        )


def anchor(section: str, key: str) -> str:
    """Where an entry stands in the handbook."""
    return f"{section}-{key}".replace("_", "-")


def in_100(chance: float) -> str:
    """`78 in 100`, with a digit more near either end."""
    share = 100 * chance
    if 1 <= share <= 99:
        return f"{share:.0f} in 100"
    return f"{share:.2g} in 100" if share < 1 else f"{share:.3g} in 100"


def plain(items: Iterable[str]) -> tuple[Mention, ...]:
    """Lines of plain text, without links."""
    return tuple(Mention(text) for text in items)
