"""Larger packs made of copies of a smaller one, to see how cost grows."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any, TypeVar

from pydantic import BaseModel

from rules.rulebase import RuleBase

Entry = TypeVar("Entry", bound=BaseModel)
COPIED = ("observations", "findings", "rules", "causes", "corrections")


def enlarged(rules: RuleBase, times: int, *, own_complaints: bool) -> RuleBase:
    """`times` copies of a pack in one.

    With `own_complaints` each copy has complaints of its own, as a rule base has that covers several
    machines; without, every complaint has `times` as many causes. Priors are divided by `times`, so
    that as many causes are to be expected behind one bad ride as before.
    """
    sections = [*COPIED, *(["complaints"] if own_complaints else [])]
    copies = [_copy(rules, sections, f"-copy{number}" if number else "") for number in range(times)]

    def joined(section: str) -> dict[str, Any]:
        return {key: entry for copy in copies for key, entry in copy[section].items()}

    causes = {
        key: cause.model_copy(update={"per_100": cause.per_100 / times})
        for key, cause in joined("causes").items()
    }
    fields: dict[str, Any] = {
        section: joined(section) for section in (*COPIED, "complaints", "nodes", "origins")
    }
    fields["causes"] = causes
    fields["links"] = tuple(link for copy in copies for link in copy["links"])
    return replace(rules, **fields)


def _copy(rules: RuleBase, sections: list[str], ending: str) -> dict[str, Any]:
    """The pack's entries with every id of the sections lengthened, wherever it stands."""
    ids = {key for section in sections for key in getattr(rules, section)}

    def named(text: str) -> str:
        first, slash, place = text.partition("/")
        return f"{first}{ending}{slash}{place}" if first in ids else text

    def renamed(entries: Mapping[str, Entry]) -> dict[str, Entry]:
        return {
            named(key): type(entry).model_validate(_walk(entry.model_dump(by_alias=True), named))
            for key, entry in entries.items()
        }

    copy: dict[str, Any] = {section: renamed(getattr(rules, section)) for section in COPIED}
    copy["complaints"] = renamed(rules.complaints)
    copy["nodes"] = {
        named(key): replace(node, id=named(node.id)) for key, node in rules.nodes.items()
    }
    copy["links"] = [
        replace(link, cause=named(link.cause), node=named(link.node)) for link in rules.links
    ]
    copy["origins"] = {(kind, named(key)): at for (kind, key), at in rules.origins.items()}
    return copy


def _walk(value: Any, named: Callable[[str], str]) -> Any:
    if isinstance(value, str):
        return named(value)
    if isinstance(value, Mapping):
        return {named(str(key)): _walk(item, named) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return type(value)(_walk(item, named) for item in value)
    return value
