"""`ask`: the interview line by line."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import click

from tui.cli.common import Packs, open_assessor, or_exit, refuse
from tui.cli.storing import no_learned_option, store_and_packs
from tui.terminal.statuses import INTERRUPTED, UNSOUND

if TYPE_CHECKING:
    from diagnose.diagnosis import Diagnosis


@click.command()
@click.option("--bike", help="A bike you keep: start from its record, and keep the case.")
@click.option("--case", "number", type=int, help="Go on with a kept case where it stopped.")
@click.option("--keep-nothing", is_flag=True, help="Use no store: all is gone at the end.")
@click.option("--person", help="Who asks: workshop, home or trail; what can be asked follows.")
@no_learned_option
@store_and_packs
def ask(
    bike: str | None,
    number: int | None,
    keep_nothing: bool,
    person: str | None,
    no_learned: bool,
    store: str | None,
    pack: Packs,
) -> None:
    """Interview line by line, in any terminal.

    Every answer is in the store before the next question is shown, and what proven cases taught is
    used. With --keep-nothing no store is read or written.
    """
    try:
        if keep_nothing:
            if bike is not None or number is not None:
                refuse("--bike and --case need the store; leave --keep-nothing out")
            from diagnose.diagnosis import Diagnosis

            _run(Diagnosis(open_assessor(pack)), person)
            click.echo("\nNothing of this was kept.")
            return
        from tui.cli.cases.kept_interview import finish, recorded

        kept = recorded(bike, number, store, pack, learned=not no_learned, read=_read_line)
        _run(kept.diagnosis, person)
        if not or_exit(lambda: finish(kept, _read_line)):
            sys.exit(UNSOUND)
    except KeyboardInterrupt:
        click.echo("\nStopped.")
        sys.exit(INTERRUPTED)


def _run(diagnosis: Diagnosis, person: str | None) -> None:
    from diagnose.case.events import read_person, standing
    from tui.plain.plain_interview import PlainInterview
    from tui.terminal.decimals import with_comma

    set_for_good = click.get_current_context().find_root().obj
    comma = set_for_good is not None and set_for_good.decimal_comma

    def say(text: str) -> None:
        click.echo(with_comma(text) if comma else text)

    if person is not None and standing(diagnosis.case).person != person:
        diagnosis.add(or_exit(lambda: read_person(diagnosis.rules, person)))
    PlainInterview(diagnosis, _read_line, say).run()


def _read_line(prompt: str) -> str:
    click.echo(prompt, nl=False)
    line = sys.stdin.readline()
    if not line:
        click.echo("")
        raise EOFError
    return line
