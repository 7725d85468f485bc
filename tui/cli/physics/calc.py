"""`calc NAME`: the workshop's calculators, with units as people write them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from tui.cli.common import or_exit
from tui.cli.storing import say

if TYPE_CHECKING:
    from diagnose.calculators.model import Calculation, Calculator, Input


class _Calculators(click.Group):
    """One command a calculator, made from its table when it is asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names of the calculators."""
        from diagnose.calculators import calculators

        return list(calculators())

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of one calculator, or None where there is none of that name."""
        from diagnose.calculators import calculators

        found = calculators().get(cmd_name)
        return None if found is None else _command(found)

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command; an unknown name is answered with those there are."""
        name = args[0] if args else ""
        if name and not name.startswith("-") and self.get_command(ctx, name) is None:
            from rules.yaml_source import suggest

            names = self.list_commands(ctx)
            ctx.fail(
                f"{name!r} is not a calculator{suggest(name, names)}; there are {', '.join(names)}"
            )
        return super().resolve_command(ctx, args)


@click.command(cls=_Calculators, invoke_without_command=True)
@click.pass_context
def calc(ctx: click.Context) -> None:
    """Work something out: formula, inputs, result and source.

    Values are written as on the bench: 25 psi, 1.7 bar, 100 mm, 15 ft-lb, 20 °C.
    """
    if ctx.invoked_subcommand is None:
        from diagnose.calculators import calculators

        for item in calculators().values():
            click.echo(f"{item.name:<16}{item.title}")


def _command(calculator: Calculator) -> click.Command:
    options: list[click.Parameter] = [_option(item) for item in calculator.inputs]
    if calculator.name == "units":
        options = [click.Argument(["value"], required=True)]
    options.append(
        click.Option(["--json", "as_json"], is_flag=True, help="One JSON document instead of text.")
    )

    def run(as_json: bool, **written: Any) -> None:
        texts = {
            name.replace("_", "-"): (text,) if isinstance(text, str) else tuple(text)
            for name, text in written.items()
            if text
        }
        _run(calculator, texts, as_json=as_json)

    return click.Command(
        calculator.name, params=options, callback=run, help=f"{calculator.title}.",
        short_help=calculator.title,
        epilog=f"{calculator.formula}   Source: {calculator.source}",
    )  # fmt: skip


def _option(item: Input) -> click.Option:
    needed = item.default is None and not item.optional
    default = (
        "needed" if needed else f"default {item.default}" if item.default else "may be left out"
    )
    metavar = "|".join(item.words) or f"[{item.unit or 'NUMBER'}]"
    return click.Option(
        [f"--{item.name}", item.name.replace("-", "_")],
        metavar=metavar,
        multiple=item.many,
        help=f"{item.title} ({default}).",
    )


def _run(calculator: Calculator, texts: dict[str, tuple[str, ...]], *, as_json: bool) -> None:
    from diagnose.calculators.model import calculate

    done = or_exit(lambda: calculate(calculator, texts))
    if as_json:
        from diagnose.calculators.report import calculation_document

        click.echo(calculation_document(done).model_dump_json(indent=2))
        return
    say(_lines(done))


def _lines(done: Calculation) -> list[str]:
    from rules.units.quantities import Quantity, si_unit
    from tui.terminal.text import wrapped

    calculator = done.calculator
    lines = [*wrapped(calculator.title), *wrapped(calculator.formula, "  ", "Formula: ")]
    for question in done.questions:
        lines += wrapped(question, "  ", "CHECK: ")
    lines.append("Inputs:")
    for given in done.given:
        for value in given.values:
            text = str(value)
            if isinstance(value, Quantity) and si_unit(value.unit) != value.unit:
                text += f" = {value.to(si_unit(value.unit))}"
            why = f" (assumed: {given.input.source})" if given.assumed else ""
            lines += wrapped(f"{text}{why}", "      ", f"  {given.input.name}: ")
    lines.append("Result:")
    for figure in done.figures:
        lines += wrapped(f"{figure.title}: {figure.text()}", "      ", "  ")
    for sentence in done.says:
        lines += wrapped(sentence, "  ", "  ")
    for caution in calculator.cautions:
        lines += wrapped(caution, "  ", "CAUTION: ")
    lines += wrapped(f"{calculator.source}.", "  ", "Source: ")
    return lines
