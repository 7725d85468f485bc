"""Where something is from: its source, its pack, and the cautions that go with it."""

from __future__ import annotations

from collections.abc import Iterable

from rules.rulebase import RuleBase


def source_text(rules: RuleBase, source: str) -> str:
    """A source in one line, with the pack that names it where several are loaded."""
    text = str(rules.sources[source])
    if len(rules.packs) < 2:
        return text
    return f"{text} [{rules.pack_title(rules.origins[('sources', source)].pack)}]"


def source_lines(rules: RuleBase, sources: Iterable[str]) -> list[str]:
    """`Source: ...` for each source once, in the order given."""
    return [f"Source: {source_text(rules, source)}" for source in dict.fromkeys(sources)]


def pack_text(rules: RuleBase, section: str, key: str) -> str:
    """The pack an entry comes from, and those that changed it with their reasons.

    `Our shop`, or `Off-road motorcycles, changed by Our shop: we see it often`; empty where only
    one pack is loaded.
    """
    if len(rules.packs) < 2 or (section, key) not in rules.origins:
        return ""
    text = rules.pack_title(rules.origins[(section, key)].pack)
    for change in rules.changes(section, key):
        text += f", changed by {rules.pack_title(change.pack)}: {change.reason.rstrip('.')}"
    return text
