"""`rules test`: a pack's worked cases are its tests."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tui.cli.common import load_rules, or_exit
from tui.cli.person_path import PersonPath
from tui.cli.rules.progress_bar import progress
from tui.cli.storing import say
from tui.terminal.statuses import UNSOUND
from tui.terminal.text import wrapped

if TYPE_CHECKING:
    from diagnose.authoring.trials.working import Decision


def _own_line(title: str, own: list[Decision]) -> str:
    """How the cases of one pack did."""
    if not own:
        return f"{title}: no cases of its own yet; they go into its folder worked_cases/."
    first = sum(decision.first for decision in own)
    many = f"{len(own)} case{'' if len(own) == 1 else 's'} of its own"
    return f"{title}: {many}, a true cause first in {first}."


@click.command("test")
@click.argument("packs", nargs=-1, type=PersonPath(file_okay=False))
@click.option("--json", "as_json", is_flag=True, help="Every case as one JSON document.")
def run_tests(packs: tuple[Path, ...], as_json: bool) -> None:
    """Run the worked cases of PACKS, each building on those before it (none: the one that ships).

    How the uppermost pack's own cases did is said first. Cases of the lower packs that name what
    an upper one has switched off are left out, and said.
    Exit status: 0 when all true causes of every case are in the top three (of several, in the
    top five), 1 when not or when there are no cases, 2 for a case that cannot be read.
    """
    from diagnose.authoring.trials.trial import own_cases, rank
    from diagnose.words.chances import percent

    rules = load_rules(packs)
    chosen, switched_off = own_cases(packs, rules)
    with progress("worked cases") as bar:
        bar.start(len(chosen))
        decisions = or_exit(lambda: rank(packs, chosen, bar.step))
    missed = [
        (path.stem, decision)
        for path, decision in zip(chosen, decisions, strict=True)
        if not decision.top_three or set(decision.true) - set(decision.able)
    ]
    if as_json:
        document = [
            {
                "case": path.stem,
                "true": list(d.true),
                "named": d.named,
                "first": d.first,
                "top_three": (path.stem, d) not in missed,
                "chances": {
                    key: round(d.chances.get(key, 0.0), 6) for key in (*d.true, *d.leading)
                },
            }
            for path, d in zip(chosen, decisions, strict=True)
        ]
        click.echo(json.dumps(document, indent=2, ensure_ascii=False))
        sys.exit(UNSOUND if missed or not chosen else 0)
    if len(rules.packs) > 1:
        own = [
            decision
            for path, decision in zip(chosen, decisions, strict=True)
            if path.parent.parent == packs[-1]
        ]
        say(wrapped(_own_line(rules.packs[-1].title, own)))
    for name, decision in missed:
        ranked = ", ".join(f"{key} {percent(decision.chances[key])}" for key in decision.leading)
        true = ", ".join(f"{key} {percent(decision.chances.get(key, 0))}" for key in decision.true)
        say(wrapped(f"{name}: true {true}; ranked {ranked}", "  ", ""))
    if switched_off:
        names = ", ".join(path.stem for path in switched_off)
        say(wrapped(f"Left out, as they name what is switched off: {names}"))
    first = sum(decision.first for decision in decisions)
    click.echo(
        f"{len(chosen)} cases, a true cause first in {first}, all in the top three "
        f"(several: five) in {len(chosen) - len(missed)}."
    )
    sys.exit(UNSOUND if missed or not chosen else 0)
