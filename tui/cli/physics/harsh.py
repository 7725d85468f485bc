"""`harsh`: tyre or damping, as a budget of the extra harshness and what each change would do."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from typing import TYPE_CHECKING

import click

from tui.cli.common import or_exit, refuse
from tui.cli.storing import say
from tui.terminal.statuses import INTERRUPTED

if TYPE_CHECKING:
    from diagnose.harshness.compared_bike import HarshnessCase


class _Harsh(click.Command):
    """With an option a value; they are read when the command is used, so that others start fast."""

    def get_params(self, ctx: click.Context) -> list[click.Parameter]:
        """The options, those of the values first."""
        from diagnose.harshness.values import PLACES, VALUES

        values = (*VALUES.values(), *PLACES.values())
        options = (click.Option([f"--{v.name}"], metavar="VALUE", help=v.option) for v in values)
        return [*options, *super().get_params(ctx)]


@click.command(cls=_Harsh)
@click.option(
    "--target",
    "targets",
    multiple=True,
    metavar="NAME=VALUE",
    help="What one of these should be by the manual, as front-tyre='13 psi'. May be repeated.",
)
@click.option(
    "--machine",
    multiple=True,
    metavar="TRAIT=OPTION",
    help="What kind of bike it is, as class=adventure or fork=air-single; by default a full-size"
    " coil bike. May be repeated.",
)
@click.option(
    "--ask/--no-ask",
    "wanted",
    default=None,
    help="Ask for what is not given; by default only on a terminal.",
)
@click.option("--ascii", "only_ascii", is_flag=True, help="Draw with ASCII characters only.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document instead of text.")
def harsh(
    targets: tuple[str, ...],
    machine: tuple[str, ...],
    wanted: bool | None,
    only_ascii: bool,
    as_json: bool,
    **given: str | None,
) -> None:
    """Tyre or damping? Share the extra harshness out over what makes it, and try changes.

    Values are written as on the bench: 25 psi, 1.7 bar, 8 clicks, 20 mm. Leave out what you do not
    know.
    """
    try:
        _run(targets, machine, wanted, only_ascii, as_json, given)
    except KeyboardInterrupt:
        click.echo("\nStopped.", err=True)
        sys.exit(INTERRUPTED)


def _run(
    targets: tuple[str, ...],
    machine: tuple[str, ...],
    wanted: bool | None,
    only_ascii: bool,
    as_json: bool,
    given: Mapping[str, str | None],
) -> None:
    from diagnose.harshness.compared_bike import build_case
    from diagnose.harshness.values import questions
    from tui.cli.physics.harsh_asking import ask_values, bike_of_kind, known_values

    known = or_exit(lambda: known_values(bike_of_kind(machine), given, targets))
    if wanted or (wanted is None and not as_json and sys.stdin.isatty()):
        known = ask_values(known)
    case = or_exit(lambda: build_case(known))
    if not any(item.measured for item in case.used):
        refuse(
            "Nothing measured, so nothing to compare: give at least one value, "
            "such as --front-tyre '25 psi', or --ask to be asked."
        )
    if as_json:
        from diagnose.harshness.budget_document import harshness_document

        click.echo(or_exit(lambda: harshness_document(known, case)).model_dump_json(indent=2))
        return
    for question in questions(known):
        click.echo(f"CHECK: {question}")
    or_exit(lambda: _show(case, only_ascii))


def _show(case: HarshnessCase, only_ascii: bool) -> None:
    from diagnose.harshness.shares import first_number
    from diagnose.harshness.values import End
    from tui.harshness.harsh_lines import basis_lines, end_lines, first_lines
    from tui.terminal.charts import fancy_output

    ends = [end for end in End if case.any_measured(end)]
    for end in ends:
        say(first_lines(end, *first_number(case, end)))
        sys.stdout.flush()
    fancy = not only_ascii and fancy_output()
    for end in ends:
        say(end_lines(case, end, fancy=fancy))
    say(basis_lines(case))
