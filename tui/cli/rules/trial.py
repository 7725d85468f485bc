"""`rules trial`: how a rule base does on worked cases and on simulated bad rides."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import click

from tui.cli.common import Packs, load_rules, or_exit, pack_option, refuse
from tui.cli.person_path import PersonPath
from tui.cli.rules.progress_bar import progress
from tui.cli.storing import say

if TYPE_CHECKING:
    from diagnose.authoring.trials.trial import Trial, Whose
    from rules.rulebase import RuleBase


@click.command()
@click.option(
    "--cases",
    type=click.IntRange(10, 100_000),
    default=200,
    show_default=True,
    help="How many to simulate.",
)
@click.option("--seed", type=click.IntRange(0), default=0, show_default=True, help="First seed.")
@click.option(
    "--list",
    "checklists",
    multiple=True,
    metavar="[NAME=]ID,ID,...",
    help="A fixed checklist of observations to hold it against; may be given several times.",
)
@click.option(
    "--against",
    multiple=True,
    type=PersonPath(file_okay=False),
    help="Folder of another pack to compare with, case by case; given several times, a stack.",
)
@click.option(
    "--truth",
    type=click.Choice(["both", "this", "other"]),
    default="both",
    show_default=True,
    help="With --against: which rule base draws the faults and answers for the bike.",
)
@click.option(
    "--person",
    "people",
    multiple=True,
    metavar="KIND",
    help="Also work bikes with one to four faults as such a person would: workshop, home, trail.",
)
@click.option("--simulated-only", is_flag=True, help="Leave the worked cases out; quicker.")
@click.option("--json", "as_json", is_flag=True, help="Everything, case by case, as JSON.")
@pack_option
def trial(
    cases: int,
    seed: int,
    checklists: tuple[str, ...],
    against: Packs,
    truth: Whose,
    people: tuple[str, ...],
    simulated_only: bool,
    as_json: bool,
    pack: Packs,
) -> None:
    """Work simulated bad rides and the worked cases, and say how it went, with 95 % intervals.

    The bikes are drawn and answered for by the rule base itself, so this shows how well the
    program works if the rule base is right; only the worked cases, and the shop's own closed cases,
    can show whether it is. With --against, two rule bases work the same cases. Each does best where
    it is the truth, so by default each is the truth
    once, the other for half as many rides. The verdict stands in the first three lines.
    """
    from diagnose.authoring.trials.trial import PROGRAM, run_trial
    from diagnose.authoring.trials.trial_document import trial_document
    from tui.cli.rules.trial_lines import trial_lines

    base = load_rules(pack)
    lists = dict(_read_list(base, number, text) for number, text in enumerate(checklists, 1))
    if len(lists) < len(checklists) or PROGRAM in lists:
        refuse("give each --list a name of its own")
    if against:
        load_rules(against)
    for kind in people:
        if kind not in base.policy.people:
            known = ", ".join(base.policy.people) or "none, as this pack tells no people apart"
            refuse(f"{kind!r} is no kind of person; there are {known}")
    with progress("") as bar:

        def started(label: str, length: int) -> None:
            bar.label = label
            bar.start(length)

        made: Trial = or_exit(
            lambda: run_trial(
                pack,
                range(seed, seed + cases),
                lists,
                against,
                truth,
                started,
                bar.step,
                worked=not simulated_only,
                people=people,
            )
        )
    if as_json:
        click.echo(json.dumps(trial_document(made), indent=2, ensure_ascii=False))
        return
    say(trial_lines(made))


def _read_list(base: RuleBase, number: int, text: str) -> tuple[str, tuple[str, ...]]:
    """(name, observations) from `name=id,id`, or from `id,id`, which gets a name."""
    from rules.yaml_source import suggest

    name, named, ids = text.rpartition("=")
    names = tuple(word.strip() for word in ids.split(",") if word.strip())
    for word in names:
        if word not in base.observations:
            hint = suggest(word, list(base.observations))
            refuse(f"{word!r} is not an observation{hint}")
    if not names:
        refuse("--list names no observations")
    return (name if named else f"checklist {number}"), names
