"""`rules`: check a rule base, look into it, and see how it does."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tui.commands.common import BAD_INPUT, load_rules, open_workshop, or_exit, pack_option

if TYPE_CHECKING:
    from diagnose.simulation.run import Outcome
    from diagnose.simulation.trial import Figure

UNSOUND = 1


@click.group()
def rules() -> None:
    """Check a rule base, look into it, and see how it does."""


@rules.command()
@click.argument("pack", type=click.Path(path_type=Path, file_okay=False), required=False)
@click.option("--json", "as_json", is_flag=True, help="Problems and doubts as one JSON document.")
def check(pack: Path | None, as_json: bool) -> None:
    """Say what is wrong or doubtful in PACK (the one that ships by default).

    Exit status: 0 sound, 1 loads with doubts, 2 does not load.
    """
    from diagnose.pack_review import review
    from rules.loader import OFFROAD, load_pack
    from rules.problems import FileProblems

    try:
        doubts = review(load_pack(pack or OFFROAD))
    except FileProblems as error:
        if as_json:
            click.echo(json.dumps([asdict(problem) for problem in error.problems], indent=2))
        else:
            click.echo(str(error), err=True)
        sys.exit(BAD_INPUT)
    if as_json:
        click.echo(json.dumps([asdict(doubt) for doubt in doubts], indent=2))
    else:
        for doubt in doubts:
            click.echo(str(doubt))
        click.echo(f"{len(doubts)} doubts.")
    sys.exit(UNSOUND if doubts else 0)


@rules.command()
@click.argument("name")
@pack_option
def show(name: str, pack: Path | None) -> None:
    """Print everything the rule base holds under the id NAME, and where it stands."""
    from rules.yaml_source import suggest

    base = load_rules(pack)
    found = [key for key in base.origins if key[1] == name]
    if not found:
        known = [key for _, key in base.origins if key]
        click.echo(f"{name!r} is not an id of this rule base{suggest(name, known)}", err=True)
        sys.exit(BAD_INPUT)
    import yaml

    for section, key in found:
        origin = base.origins[(section, key)]
        click.echo(f"# {section}, {origin.file}, line {origin.line}")
        entry = getattr(base, section)[key].model_dump(
            mode="json", by_alias=True, exclude_defaults=True
        )
        click.echo(yaml.safe_dump({key: entry}, sort_keys=False, allow_unicode=True, width=96))


@rules.command()
@click.argument("cause")
@click.argument("complaint")
@pack_option
def why(cause: str, complaint: str, pack: Path | None) -> None:
    """The path by which CAUSE and COMPLAINT support each other, with numbers."""
    from diagnose.case import Case, read_complaint
    from diagnose.checks import checks_by_cause
    from diagnose.evidence import nodes_of
    from rules.yaml_source import suggest

    workshop = open_workshop(pack, 2)
    base = workshop.rules
    if cause not in base.causes:
        click.echo(f"{cause!r} is not a cause{suggest(cause, list(base.causes))}", err=True)
        sys.exit(BAD_INPUT)
    complained = or_exit(lambda: read_complaint(base, complaint))
    ranking = workshop.assess(Case(events=(complained,))).ranking
    entry = ranking.find(cause)
    click.echo(f"{base.causes[cause].title}: {entry.prior:.1%} of bad rides, before any fact.")
    links = {(link.cause, link.node): link for link in base.links}
    for node in nodes_of(base, complained):
        link = links.get((cause, node))
        background = 1 - base.nodes[node].background[0]
        said = f"{1 - link.chances[0]:.1%} ({', '.join(link.words.values())})" if link else "never"
        click.echo(
            f"{base.nodes[node].title}: it alone gives this {said}; otherwise {background:.1%}."
        )
    click.echo(f"With the complaint alone: {entry.probability:.1%}.")
    click.echo("It can be confirmed by:")
    for node in sorted(checks_by_cause(base)[cause]):
        link = links[(cause, node)]
        words = ", ".join(f"{state} {word}" for state, word in link.words.items())
        click.echo(f"  {node}: {base.nodes[node].title} ({words})")


@rules.command("test")
@click.argument("pack", type=click.Path(path_type=Path, file_okay=False), required=False)
def run_tests(pack: Path | None) -> None:
    """Run a rule base's worked cases. Exit status 1 when a true cause is not in the top three."""
    from diagnose.casefile import load_worked_cases
    from rules.loader import OFFROAD, WORKED_CASES

    workshop = open_workshop(pack, 2)
    cases = or_exit(lambda: load_worked_cases(workshop.rules, (pack or OFFROAD) / WORKED_CASES))
    missed = first = 0
    for worked in cases:
        causes = [c.cause for c in workshop.assess(worked.case).ranking.causes if c.relevant]
        first += causes[0] in worked.truth
        if not set(worked.truth) <= set(causes[:3]):
            missed += 1
            click.echo(f"{worked.name}: {', '.join(worked.truth)}; ranked {', '.join(causes[:3])}")
    found = len(cases) - missed
    click.echo(
        f"{len(cases)} cases, a true cause first in {first}, all in the top three in {found}."
    )
    sys.exit(UNSOUND if missed or not cases else 0)


@rules.command()
@click.option("--cases", type=click.IntRange(10, 100_000), default=200, show_default=True)
@click.option("--seed", type=click.IntRange(0), default=0, show_default=True, help="First seed.")
@click.option(
    "--list", "checklist", help="Ids of a fixed checklist to hold it against, with commas."
)
@pack_option
def trial(cases: int, seed: int, checklist: str | None, pack: Path | None) -> None:
    """Simulated bad rides worked by the program, and by a fixed checklist on the same rides."""
    from diagnose.simulation.trial import ratio, run_trial, summarise
    from rules.loader import OFFROAD
    from rules.yaml_source import suggest

    base = load_rules(pack)
    names = [name.strip() for name in (checklist or "").split(",") if name.strip()]
    for name in names:
        if name not in base.observations:
            hint = suggest(name, list(base.observations))
            click.echo(f"{name!r} is not an observation{hint}", err=True)
            sys.exit(BAD_INPUT)
    folder, seeds = pack or OFFROAD, range(seed, seed + cases)

    def worked(label: str, items: Sequence[str]) -> list[Outcome]:
        with click.progressbar(length=cases, label=label, file=sys.stderr) as bar:
            return run_trial(folder, seeds, items, lambda: bar.update(1))

    ours = worked("the program", ())
    _print_summary("The program", summarise(ours))
    if names:
        theirs = worked("the checklist", names)
        _print_summary("The checklist", summarise(theirs))
        cost = ratio([o.minutes for o in ours], [o.minutes for o in theirs])
        click.echo(f"Cost of the program over the checklist: {_span(cost, '.2f')}")


def _print_summary(title: str, summary: object) -> None:
    from diagnose.simulation.trial import Summary

    assert isinstance(summary, Summary)
    click.echo(f"{title}, {summary.cases} simulated cases (95 % intervals):")
    click.echo(f"  minutes to cured or handed over  {_span(summary.minutes, '.0f')}")
    click.echo(f"  observations                     {_span(summary.observations, '.1f')}")
    click.echo(f"  corrections                      {_span(summary.corrections, '.2f')}")
    click.echo(f"  cured                            {_span(summary.cured, '.0%')}")
    click.echo(f"  a true cause first               {_span(summary.first, '.0%')}")
    click.echo(f"  all true causes in top three     {_span(summary.top_three, '.0%')}")


def _span(value: Figure, form: str) -> str:
    return f"{value.mean:{form}} ({value.low:{form}} to {value.high:{form}})"
