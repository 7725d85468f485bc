"""`learned`: what the shop's own proven cases have moved."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from tui.cli.common import Packs, load_rules, or_exit
from tui.cli.storing import open_or_exit, opened_store, say, store_and_packs

if TYPE_CHECKING:
    from diagnose.records.store.store import Store
    from rules.rulebase import RuleBase


@click.command()
@click.option("--off", "action", flag_value="off", help="Stop using what was learned.")
@click.option("--on", "action", flag_value="on", help="Use it again.")
@click.option("--reset", "action", flag_value="reset", help="Count only cases closed from now on.")
@click.option("--unreset", "action", flag_value="unreset", help="Count all cases again.")
@click.option("--relearn", is_flag=True, help="Go through all proven cases anew.")
@click.option("--all", "every", is_flag=True, help="Causes that hardly moved and the scores too.")
@store_and_packs
def learned(action: str | None, relearn: bool, every: bool, store: str | None, pack: Packs) -> None:
    """What proven cases moved, by how many cases, and how good past rankings were.

    Nothing is learned from a case that is not proven, and nothing is deleted by --off or --reset.
    """
    from diagnose.records.learning import lessons
    from diagnose.records.learning.calibration import calibrate
    from diagnose.records.learning.learned import learn
    from diagnose.records.store.store_problems import NoStore
    from tui.cli.cases.learned_lines import learned_lines

    rules = load_rules(pack)
    if action is None and not relearn:
        try:
            opened_store(store)
        except NoStore:
            click.echo("Nothing was learned yet: no case is kept. `badride ask` begins one.")
            return
    kept = open_or_exit(store)
    actions = {
        "off": lambda: lessons.switch_learning(kept, False),
        "on": lambda: lessons.switch_learning(kept, True),
        "reset": lambda: lessons.reset_learning(kept),
        "unreset": lambda: lessons.unreset_learning(kept),
    }
    if action is not None:
        or_exit(actions[action])
    if relearn:
        or_exit(lambda: _relearn(kept, rules))
    state = or_exit(lambda: lessons.learning_state(kept))
    found = or_exit(lambda: lessons.read_lessons(kept, rules.info.id, state.since))
    say(learned_lines(rules, state, learn(rules, found), calibrate(found), every=every))


def _relearn(store: Store, rules: RuleBase) -> None:
    from diagnose.advice.assessor import Assessor
    from diagnose.records.cases.case_book import CaseBook
    from diagnose.records.cases.closing import relearn
    from diagnose.words.chances import counted

    number = relearn(CaseBook(store, rules), Assessor(rules))
    click.echo(f"Learned anew from {counted(number, 'proven case')}.")
