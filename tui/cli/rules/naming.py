"""`list`: everything that a pack or a case file can name."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from typing import TYPE_CHECKING

import click

from tui.cli.common import Packs, load_rules, pack_option, refuse

if TYPE_CHECKING:
    from rules.rulebase import RuleBase

Row = tuple[str, ...]


@click.command("list")
@click.argument("what", required=False)
@click.argument("words", nargs=-1)
@pack_option
def list_entries(what: str | None, words: tuple[str, ...], pack: Packs) -> None:
    """Print what can be named, an entry a line: id, then what it is.

    WHAT is causes, complaints, observations, corrections, cautions, findings, rules, groups,
    traits, targets, sources, scale or units; WORDS keep only the lines that hold them all. Any
    other WHAT is looked for everywhere. Without WHAT the kinds are counted.
    """
    rules = load_rules(pack)
    kinds = _kinds()
    if what is None:
        for name, rows in kinds.items():
            click.echo(f"{name}\t{sum(1 for _ in rows(rules))}")
        return
    if what in kinds:
        _print(_with(kinds[what](rules), words), rules, what)
        return
    found = [
        (name, *row) for name, rows in kinds.items() for row in _with(rows(rules), (what, *words))
    ]
    if not found:
        from rules.yaml_source import suggest

        text = " ".join((what, *words))
        known = ", ".join(kinds)
        refuse(f"nothing is called {text!r}{suggest(what, list(kinds))}; the kinds are {known}")
    for row in found:
        click.echo("\t".join(row).rstrip())


def _print(rows: Iterator[Row], rules: RuleBase, what: str) -> None:
    from diagnose.words.sources import pack_text

    section = "specs" if what == "targets" else what
    for row in rows:
        known = (section, row[0]) in rules.origins
        told = (*row, pack_text(rules, section, row[0])) if known and len(rules.packs) > 1 else row
        click.echo("\t".join(told).rstrip())


def _with(rows: Iterator[Row], words: tuple[str, ...]) -> Iterator[Row]:
    """The rows that hold every word, in any part."""
    for row in rows:
        text = " ".join(row).lower().replace("-", " ")
        if all(word.lower().replace("-", " ") in text for word in words):
            yield row


def _kinds() -> Mapping[str, Callable[[RuleBase], Iterator[Row]]]:
    """Rows by what can be listed."""
    return {
        "causes": lambda r: ((k, e.title, e.group) for k, e in r.causes.items()),
        "complaints": lambda r: (
            (k, e.title, ", ".join(e.places)) for k, e in r.complaints.items()
        ),
        "observations": lambda r: ((k, e.ask, e.kind) for k, e in r.observations.items()),
        "corrections": lambda r: ((k, e.title, e.who) for k, e in r.corrections.items()),
        "cautions": lambda r: ((k, e.text) for k, e in r.cautions.items()),
        "findings": lambda r: ((k, e.title, ", ".join(e.states)) for k, e in r.findings.items()),
        "rules": lambda r: ((k, _follows(r, k)) for k in r.rules),
        "groups": _groups,
        "traits": lambda r: ((k, e.title, ", ".join(e.options)) for k, e in r.traits.items()),
        "targets": lambda r: ((k, e.title, e.unit) for k, e in r.specs.items()),
        "sources": lambda r: ((k, str(e)) for k, e in r.sources.items()),
        "scale": lambda r: (
            (word, f"{low:g} to {high:g}") for word, (low, high) in r.scale.words.items()
        ),
        "units": _units,
    }


def _follows(rules: RuleBase, key: str) -> str:
    """What a rule concludes."""
    then = rules.rules[key].then
    if then.finding is not None:
        ((finding, state),) = then.finding.items()
        return f"{rules.findings[finding].title}: {rules.findings[finding].states[state]}"
    if then.caution is not None:
        return f"caution: {rules.cautions[then.caution].text}"
    return then.do_not_ride or then.contradiction or ""


def _groups(rules: RuleBase) -> Iterator[Row]:
    for name, count in Counter(cause.group for cause in rules.causes.values()).items():
        yield name, f"{count} cause{'' if count == 1 else 's'}"


def _units(rules: RuleBase) -> Iterator[Row]:
    from rules.units.unit_table import unit_spellings

    spelt: dict[str, list[str]] = {}
    kinds: dict[str, str] = {}
    for spelling, unit in unit_spellings().items():
        if unit.printed:
            kinds[unit.printed] = unit.kind
            spelt.setdefault(unit.printed, []).append(spelling)
    for printed, kind in kinds.items():
        yield printed, kind, ", ".join(spelt[printed])
