"""Reading the values of `harsh` from its options, and asking for the rest."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from dataclasses import replace

import click

from diagnose.harshness.values import PLACES, VALUES, KnownValues, Value, questions, read_value
from rules.problems import BadInput
from rules.units.quantities import Quantity, with_unit

__all__ = ["ask_values", "bike_of_kind", "known_values"]


def bike_of_kind(machine: tuple[str, ...]) -> KnownValues:
    """What a bike of some kind should have, from `TRAIT=OPTION` each. Raises `BadInput`."""
    if not machine:
        # a full-size bike needs no more of the pack than its defaults, which are read fast
        return KnownValues()
    from diagnose.case.events import Case, read_trait
    from rules.loading.loader import load_pack
    from tui.harshness.value_sheet import sheet_of

    rules = load_pack()
    split = [text.partition("=") for text in machine]
    return sheet_of(rules, Case(dict(read_trait(rules, t, option) for t, _, option in split))).known


def known_values(
    bike: KnownValues, given: Mapping[str, str | None], targets: tuple[str, ...]
) -> KnownValues:
    """The bike with what was measured and what it should be by the manual, `NAME=VALUE` each; a
    bare number measured is in the unit of what it should be. Raises `BadInput`, also for what the
    bike has not."""
    named = {name.replace("_", "-"): text for name, text in given.items()}
    should = {**bike.targets, **_target_values(targets)}
    measured = {
        name: _read(name, text, _unit(name, should))
        for name, text in named.items()
        if text is not None
    }
    for name in measured:
        if name in VALUES and not VALUES[name].is_on(bike.traits):
            needs = "; ".join(f"{t}: {', '.join(ok)}" for t, ok in VALUES[name].needs.items())
            raise BadInput(f"{name}: only a bike with {needs} has it")
    thumbs = bike.thumbs - {text.partition("=")[0] for text in targets}
    return replace(bike, measured=measured, targets=should, thumbs=thumbs)


def _unit(name: str, should: Mapping[str, Quantity]) -> str:
    return should[name].unit if name in should else {**VALUES, **PLACES}[name].unit


def _read(name: str, text: str, unit: str) -> Quantity:
    return read_value(name, with_unit(text, unit))


def _target_values(texts: tuple[str, ...]) -> dict[str, Quantity]:
    """What it should be, from `NAME=VALUE` each. Raises `BadInput`."""
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


def ask_values(known: KnownValues) -> KnownValues:
    """Ask for everything else that people know, a line each; the end of input ends the asking."""
    measured = dict(known.measured)
    told = "trapped-air" in measured
    try:
        click.echo("Enter alone: don't know. A number alone takes the unit in brackets.", err=True)
        for value in (*VALUES.values(), *PLACES.values()):
            is_on = value.asked and value.is_on(known.traits)
            if value.name in measured or not is_on or (told and value.end is None):
                continue
            answer = _ask_one(value, _unit(value.name, known.targets), known)
            if answer is not None:
                measured[value.name] = answer
    except EOFError:
        click.echo("", err=True)
    return replace(known, measured=measured)


def _ask_one(value: Value, unit: str, known: KnownValues) -> Quantity | None:
    while True:
        text = _line(f"{value.title} [{unit}]: ")
        if text in ("", "?"):
            return None
        try:
            quantity = _read(value.name, text, unit)
        except BadInput as error:
            click.echo(f"  {error}", err=True)
            continue
        doubt = next(iter(questions(replace(known, measured={value.name: quantity}))), None)
        if doubt is None or _line(f"  {doubt} [y/n]: ").lower().startswith("y"):
            return quantity


def _line(prompt: str) -> str:
    """One line of input; the prompts go to standard error, so that the answer can be piped on."""
    click.echo(prompt, nl=False, err=True)
    line = sys.stdin.readline()
    if not line:
        raise EOFError
    return line.strip()
