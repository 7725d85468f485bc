"""`ask`: the interview line by line."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import click

from tui.cli.common import Packs, open_assessor, or_exit
from tui.cli.storing import no_learned_option, store_and_packs
from tui.terminal.statuses import INTERRUPTED, UNSOUND

if TYPE_CHECKING:
    from diagnose.diagnosis import Diagnosis


@click.command()
@click.option("--bike", help="A bike you keep: start from its record, and keep the case.")
@click.option("--case", "number", type=int, help="Go on with a kept case where it stopped.")
@click.option("--keep", is_flag=True, help="Keep the case, of a bike that is not kept.")
@click.option("--person", help="Who asks: workshop, home or trail; what can be asked follows.")
@no_learned_option
@store_and_packs
def ask(
    bike: str | None,
    number: int | None,
    keep: bool,
    person: str | None,
    no_learned: bool,
    store: str | None,
    pack: Packs,
) -> None:
    """Interview line by line, in any terminal.

    With --bike, --case or --keep every answer is in the store before the next question is shown,
    and what proven cases taught is used. Without them no store is read, and the case is kept only
    where you say so at the end.
    """
    try:
        unkept: Diagnosis | None = None
        if bike is None and number is None and not keep:
            from diagnose.diagnosis import Diagnosis

            unkept = Diagnosis(open_assessor(pack))
            _run(unkept, person)
            if not _is_to_be_kept(unkept):
                return
        from tui.cli.cases.kept_interview import finish, kept_after_all, recorded

        if unkept is not None:
            kept = kept_after_all(unkept, store, _read_line)
        else:
            kept = recorded(bike, number, store, pack, learned=not no_learned, read=_read_line)
            _run(kept.diagnosis, person)
        if kept is None or not or_exit(lambda: finish(kept, _read_line)):
            sys.exit(UNSOUND)
    except KeyboardInterrupt:
        click.echo("\nStopped.")
        sys.exit(INTERRUPTED)


def _is_to_be_kept(diagnosis: Diagnosis) -> bool:
    """Say that nothing is kept, and offer to keep it; a case without a complaint is no loss."""
    from diagnose.case.events import standing

    if not standing(diagnosis.case).complaints:
        return False
    click.echo("\nNothing of this is kept; `badride ask --keep` keeps every answer as it is given.")
    while True:
        try:
            answer = _read_line("Keep it now? y, or Enter to leave it> ").strip().lower()
        except EOFError:
            return False
        if answer in ("", "n", "no", "y", "yes"):
            return answer.startswith("y")


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
