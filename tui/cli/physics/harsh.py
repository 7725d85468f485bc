"""`harsh`: tyre or damping, as a budget of the extra harshness and what each change would do."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

import click

from tui.cli.common import or_exit
from tui.terminal.statuses import BAD_INPUT, INTERRUPTED

if TYPE_CHECKING:
    from diagnose.harshness.inputs import HarshnessCase, Known, Value
    from rules.units.quantities import Quantity

# Named here so that the command line need not load the physics to start; a test holds them equal
# to `diagnose.harshness.inputs`.
OPTIONS: Mapping[str, str] = {
    "front-tyre": "Front tyre pressure, cold.",
    "fork-compression": "Fork compression, clicks out.",
    "fork-high-speed": "Fork high-speed compression, turns out.",
    "fork-rebound": "Fork rebound, clicks out.",
    "front-gap": "Front: gap between its rest points, pushed down and lifted.",
    "front-sag": "Front sag, rider on, along the leg.",
    "fork-spring": "Rate of each fork spring.",
    "trapped-air": "Air in the fork, gauge, fully extended.",
    "rear-tyre": "Rear tyre pressure, cold.",
    "shock-low-speed": "Shock low-speed compression, clicks out.",
    "shock-high-speed": "Shock high-speed compression, turns out.",
    "shock-rebound": "Shock rebound, clicks out.",
    "rear-gap": "Rear: gap between its rest points.",
    "rear-sag": "Rear sag, rider on.",
    "shock-spring": "Shock spring rate.",
    "bled-at": "Height where the forks were last bled.",
    "ridden-at": "Height where it is ridden.",
    "bled-temperature": "Temperature of the fork when bled.",
    "fork-temperature": "Temperature of the fork on the ride.",
}


def _value_options(command: Callable[..., None]) -> Callable[..., None]:
    for name, text in reversed(list(OPTIONS.items())):
        command = click.option(f"--{name}", metavar="VALUE", help=text)(command)
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
    from diagnose.harshness.inputs import Known, build_case, questions

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
    from diagnose.harshness.answers import first_number
    from diagnose.harshness.inputs import End
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


def _ends() -> Mapping[str, Value]:
    from diagnose.harshness.inputs import VALUES

    return VALUES


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
    from diagnose.harshness.inputs import PLACES

    return should[name].unit if name in should else {**_ends(), **PLACES}[name].unit


def _read(name: str, text: str, unit: str) -> Quantity:
    from diagnose.harshness.inputs import read_value
    from rules.units.quantities import with_unit

    return read_value(name, with_unit(text, unit))


def _targets(texts: tuple[str, ...]) -> dict[str, Quantity]:
    from diagnose.harshness.inputs import read_value
    from rules.problems import BadInput

    read = {}
    for text in texts:
        name, equals, value = text.partition("=")
        if not equals:
            raise BadInput(
                f"--target {text!r}: write it as NAME=VALUE, such as front-tyre='13 psi'"
            )
        if name not in _ends():
            raise BadInput(f"--target {name!r}: there are {', '.join(_ends())}")
        read[name] = read_value(name, value)
    return read


def _asked(known: Known) -> Known:
    """Ask for everything else that people know, a line each; the end of input ends the asking."""
    from diagnose.harshness.inputs import PLACES, Known

    measured = dict(known.measured)
    told = "trapped-air" in measured
    try:
        click.echo("Enter alone: don't know. A number alone takes the unit in brackets.", err=True)
        for value in (*_ends().values(), *PLACES.values()):
            if value.name in measured or not value.asked or (told and value.end is None):
                continue
            answer = _ask_one(value, _unit(value.name, known.targets))
            if answer is not None:
                measured[value.name] = answer
    except EOFError:
        click.echo("", err=True)
    return Known(measured, known.targets)


def _ask_one(value: Value, unit: str) -> Quantity | None:
    from diagnose.harshness.inputs import Known, questions
    from rules.problems import BadInput

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
