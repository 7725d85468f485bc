"""`harsh`: tyre or damping, as a budget of the extra harshness and what each change would do."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

import click

from diagnose.harshness.values import PLACES, VALUES, End, Known, Value, questions, read_value
from rules.problems import BadInput
from rules.units.quantities import Quantity, with_unit
from tui.cli.common import BAD_INPUT, INTERRUPTED, or_exit

if TYPE_CHECKING:
    from diagnose.harshness.compared_bike import HarshnessCase


def _value_options(command: Callable[..., None]) -> Callable[..., None]:
    for value in reversed([*VALUES.values(), *PLACES.values()]):
        command = click.option(f"--{value.name}", metavar="VALUE", help=value.option)(command)
    return command


@click.command()
@_value_options
@click.option(
    "--target",
    "targets",
    multiple=True,
    metavar="NAME=VALUE",
    help="What one of these should be by the manual, as front-tyre='13 psi'. May be repeated.",
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
        _run(targets, wanted, only_ascii, as_json, given)
    except KeyboardInterrupt:
        click.echo("\nStopped.", err=True)
        sys.exit(INTERRUPTED)


def _run(
    targets: tuple[str, ...],
    wanted: bool | None,
    only_ascii: bool,
    as_json: bool,
    given: Mapping[str, str | None],
) -> None:
    from diagnose.harshness.compared_bike import build_case

    should = or_exit(lambda: _targets(targets))
    known = Known(or_exit(lambda: _measured(given, should)), should)
    if wanted or (wanted is None and not as_json and sys.stdin.isatty()):
        known = _asked(known)
    case = or_exit(lambda: build_case(known))
    if not any(item.measured for item in case.used):
        click.echo(
            "Nothing measured, so nothing to compare: give at least one value, "
            "such as --front-tyre '25 psi', or --ask to be asked.",
            err=True,
        )
        sys.exit(BAD_INPUT)
    if as_json:
        from diagnose.harshness.budget_document import harshness_document

        click.echo(or_exit(lambda: harshness_document(known, case)).model_dump_json(indent=2))
        return
    for question in questions(known):
        click.echo(f"CHECK: {question}")
    or_exit(lambda: _show(case, only_ascii))


def _show(case: HarshnessCase, only_ascii: bool) -> None:
    from diagnose.harshness.shares import first_number
    from tui.harshness.harsh_lines import basis_lines, end_lines, first_lines
    from tui.terminal.charts import fancy_output

    ends = [end for end in End if case.any_measured(end)]
    for end in ends:
        _echo(first_lines(end, first_number(case, end)))
        sys.stdout.flush()
    fancy = not only_ascii and fancy_output()
    for end in ends:
        _echo(end_lines(case, end, fancy=fancy))
    _echo(basis_lines(case))


def _echo(lines: Any) -> None:
    for line in lines:
        click.echo(line)


def _measured(
    given: Mapping[str, str | None], should: Mapping[str, Quantity]
) -> dict[str, Quantity]:
    """What was measured; a bare number is in the unit of what it should be."""
    named = {name.replace("_", "-"): text for name, text in given.items()}
    return {
        name: _read(name, text, _unit(name, should))
        for name, text in named.items()
        if text is not None
    }


def _unit(name: str, should: Mapping[str, Quantity]) -> str:
    return should[name].unit if name in should else {**VALUES, **PLACES}[name].unit


def _read(name: str, text: str, unit: str) -> Quantity:
    return read_value(name, with_unit(text, unit))


def _targets(texts: tuple[str, ...]) -> dict[str, Quantity]:
    read = {}
    for text in texts:
        name, equals, value = text.partition("=")
        if not equals:
            raise BadInput(
                f"--target {text!r}: write it as NAME=VALUE, such as front-tyre='13 psi'"
            )
        if name not in VALUES:
            raise BadInput(f"--target {name!r}: there are {', '.join(VALUES)}")
        read[name] = read_value(name, value)
    return read


def _asked(known: Known) -> Known:
    """Ask for everything else that people know, a line each; the end of input ends the asking."""
    measured = dict(known.measured)
    told = "trapped-air" in measured
    try:
        click.echo("Enter alone: don't know. A number alone takes the unit in brackets.", err=True)
        for value in (*VALUES.values(), *PLACES.values()):
            if value.name in measured or not value.asked or (told and value.end is None):
                continue
            answer = _ask_one(value, _unit(value.name, known.targets))
            if answer is not None:
                measured[value.name] = answer
    except EOFError:
        click.echo("", err=True)
    return Known(measured, known.targets)


def _ask_one(value: Value, unit: str) -> Quantity | None:
    while True:
        text = _line(f"{value.title} [{unit}]: ")
        if text in ("", "?"):
            return None
        try:
            quantity = _read(value.name, text, unit)
        except BadInput as error:
            click.echo(f"  {error}", err=True)
            continue
        doubt = next(iter(questions(Known({value.name: quantity}))), None)
        if doubt is None or _line(f"  {doubt} [y/n]: ").lower().startswith("y"):
            return quantity


def _line(prompt: str) -> str:
    """One line of input; the prompts go to standard error, so that the answer can be piped on."""
    click.echo(prompt, nl=False, err=True)
    line = sys.stdin.readline()
    if not line:
        raise EOFError
    return line.strip()
