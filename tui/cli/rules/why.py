"""`rules why`: the path by which a cause and a complaint support each other."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from typing import TYPE_CHECKING

import click

from tui.cli.common import Packs, open_assessor, or_exit, pack_option, refuse
from tui.cli.storing import say
from tui.terminal.statuses import UNSOUND
from tui.terminal.text import wrapped

if TYPE_CHECKING:
    from diagnose.advice.assessor import Assessor
    from diagnose.authoring.strengths import Support
    from diagnose.case.events import Complained
    from rules.rulebase import RuleBase
    from rules.written import Origin

_RIVALS = 3


@click.command()
@click.argument("cause")
@click.argument("complaint")
@pack_option
def why(cause: str, complaint: str, pack: Packs) -> None:
    """The path by which CAUSE and COMPLAINT support each other, with numbers.

    Exit status 1 where there is none.
    """
    from diagnose.case.events import read_complaint
    from rules.yaml_source import suggest

    shop = open_assessor(pack)
    if cause not in shop.rules.causes:
        hint = suggest(cause, list(shop.rules.causes))
        refuse(f"{cause!r} is not a cause{hint}")
    complained = or_exit(lambda: read_complaint(shop.rules, complaint))
    path, lines = _explained(shop, cause, complained)
    for indent, line in lines:
        say(wrapped(line, "  " * indent + "  ", "  " * indent))
    sys.exit(0 if path else UNSOUND)


def _explained(
    shop: Assessor, cause: str, complained: Complained
) -> tuple[bool, list[tuple[int, str]]]:
    """Whether there is a path, and lines with how deep they are indented."""
    from diagnose.authoring.strengths import supports
    from diagnose.inference.evidence import nodes_of

    rules = shop.rules
    found = supports(rules, cause)
    wanted = set(nodes_of(rules, complained))
    path = [support for support in found if support.node in wanted]
    lines = [*_before(rules, cause, complained)]
    if path:
        lines.append((0, "By itself it gives this:"))
        lines += [line for support in path for line in _said(rules, support)]
    else:
        given = [s.node for s in found if rules.nodes[s.node].kind == "complaint"]
        lines.append((0, f"No path: it does not give this. It gives {', '.join(given)}."))
    lines += _after(shop, cause, complained)
    if path:
        checks = [support for support in found if support.confirms]
        lines.append((0, "It can be confirmed by:" if checks else "Nothing can confirm it."))
        lines += [line for support in checks for line in _said(rules, support)]
    return bool(path), lines


def _before(rules: RuleBase, cause: str, complained: Complained) -> Iterator[tuple[int, str]]:
    from diagnose.authoring.complaint_odds import machine_for
    from diagnose.records.cases.case_title import complaint_title

    entry = rules.causes[cause]
    yield 0, f"{entry.title} ({cause}) and {complaint_title(rules, complained)}"
    machine = ", ".join(f"{trait}: {option}" for trait, option in machine_for(rules, cause).items())
    if machine:
        yield 0, f"Not on every bike; worked out for one with {machine}."
    where = _where(rules.origin("causes", cause, "per_100"))
    yield 0, f"Before any fact: behind {entry.per_100:g} of 100 bad rides {where}."


def _after(shop: Assessor, cause: str, complained: Complained) -> Iterator[tuple[int, str]]:
    from diagnose.authoring.complaint_odds import OddsBook

    book = OddsBook(shop)
    odds = book.given(cause, [complained])
    place = f"number {odds.rank}" if odds.rank else "not among its causes"
    yield 0, f"The complaint alone makes {odds.probability:.1%} of {odds.prior:.1%}: {place}."
    rivals = [o for o in book.complaint(complained.key) if o.cause != cause][:_RIVALS]
    if rivals:
        listed = ", ".join(
            f"{shop.rules.causes[o.cause].title} {o.probability:.1%}" for o in rivals
        )
        yield 0, f"Beside it: {listed}."


def _said(rules: RuleBase, support: Support) -> Iterator[tuple[int, str]]:
    from diagnose.words.sources import source_lines

    node = rules.nodes[support.node]
    yield 1, f"{support.node}: {node.title} {_where(support.origin)}"
    for s in support.states:
        yield (
            2,
            f"{node.label(s.state)}: {s.word}, {s.shown:.1%} by itself, {s.anyway:.1%} without it;"
            f" {_times(s.factor)}",
        )
    yield 2, f"{node.label(node.states[0])}: {_times(support.absent)}"
    for line in source_lines(rules, support.sources):
        yield 2, line


def _times(factor: float) -> str:
    """What a likelihood ratio does to the odds."""
    side, by = ("for", factor) if factor >= 1 else ("against", 1 / factor)
    return f"speaks {side} it {by:.0f} times" if by >= 10 else f"speaks {side} it {by:.1f} times"


def _where(origin: Origin) -> str:
    return f"({origin.pack}, {origin.file}:{origin.line})"
