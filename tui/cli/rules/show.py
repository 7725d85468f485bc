"""`rules show`: look into a rule base."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

import click

from tui.cli.common import Packs, load_rules, pack_option, refuse

if TYPE_CHECKING:
    from rules.rulebase import RuleBase


@click.command()
@click.argument("name")
@pack_option
def show(name: str, pack: Packs) -> None:
    """Print everything the rule base holds under the id NAME, and where it stands."""
    from rules.yaml_source import suggest

    base = load_rules(pack)
    found = [key for key in base.origins if key[1] == name]
    if not found:
        known = [key for _, key in base.origins if key]
        refuse(f"{name!r} is not an id of this rule base{suggest(name, known)}")
    for section, key in found:
        for line in _entry_lines(base, section, key):
            click.echo(line)


def _entry_lines(base: RuleBase, section: str, key: str) -> Iterator[str]:
    import yaml

    origin = base.origins[(section, key)]
    many = len(base.packs) > 1
    pack = f", {base.pack_title(origin.pack)}" if many else ""
    yield f"# {section}, {origin.file}, line {origin.line}{pack}"
    for change in base.changes(section, key):
        at = change.origin
        yield f"# changed in {at.file}, line {at.line}, {base.pack_title(change.pack)}"
        yield from _because(base, change.reason, change.source)
    off = base.off.get((section, key))
    if off is not None:
        along = "" if off.named == (section, key) else f" along with {'.'.join(off.named)}"
        at = off.origin
        yield f"# switched off{along} in {at.file}, line {at.line}, {base.pack_title(off.pack)}"
        yield from _because(base, off.reason, off.source)
        return
    entry = getattr(base, section)[key].model_dump(
        mode="json", by_alias=True, exclude_defaults=True
    )
    yield yaml.safe_dump({key: entry}, sort_keys=False, allow_unicode=True, width=96)


def _because(base: RuleBase, reason: str, source: Sequence[str]) -> Iterator[str]:
    yield f"#   reason: {reason}"
    yield f"#   source: {'; '.join(str(base.sources[name]) for name in source)}"
