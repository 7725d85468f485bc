"""`rules sensitive`: which strengths the outcomes hang on."""

from __future__ import annotations

import json
import sys
from typing import TYPE_CHECKING, Any

import click

from tui.cli.common import Packs, load_rules, or_exit, pack_option
from tui.cli.rules.progress_bar import progress
from tui.cli.storing import say
from tui.terminal.charts import bar, chart, fancy_output
from tui.terminal.statuses import UNSOUND
from tui.terminal.text import WIDTH, wrapped

if TYPE_CHECKING:
    from diagnose.authoring.sensitivity import BothMoves, StrengthMove
    from diagnose.authoring.strengths import Strength

_BAR = 20


@click.command()
@click.option(
    "--top", type=click.IntRange(1, 10_000), default=20, show_default=True, help="How many to show."
)
@click.option("--plot", is_flag=True, help="Also draw how the swing falls off.")
@click.option("--json", "as_json", is_flag=True, help="All strengths as one JSON document.")
@pack_option
def sensitive(top: int, plot: bool, as_json: bool, pack: Packs) -> None:
    """Move each strength by itself and rank the worked cases again: the ones that matter first.

    A word goes one word up and one down the scale, a prior is doubled and halved. The swing is how
    far the mean probability of the worked cases' true causes goes, in percentage points.
    """
    from diagnose.authoring.sensitivity import sensitivity

    load_rules(pack)  # a mistake is told before the bar begins
    with progress("strengths") as bar_of:
        found = or_exit(lambda: sensitivity(pack, bar_of.start, bar_of.step))
    if found is None:
        click.echo("There are no worked cases to hold it against.", err=True)
        sys.exit(UNSOUND)
    if as_json:
        data = {
            "cases": found.cases,
            "mean_probability_of_truth": found.truth,
            "strengths": [_as_data(effect) for effect in found.effects],
        }
        click.echo(json.dumps(data, indent=2, ensure_ascii=False))
        return
    click.echo(
        f"{len(found.effects)} strengths, {found.cases} worked cases; true causes have"
        f" {found.truth:.1%} on average."
    )
    if found.skipped:
        names = ", ".join(path.stem for path in found.skipped)
        click.echo(f"Left out, as they name what is not in the rule base: {names}")
    widest = max(effect.swing for effect in found.effects) or 1.0
    fancy = fancy_output()
    for number, effect in enumerate(found.effects[:top], 1):
        drawn = bar(effect.swing / widest, _BAR, fancy=fancy)
        click.echo(f"{number:3} {drawn:{_BAR}} {100 * effect.swing:.2f} points")
        say(wrapped(_name(effect.strength), "      ", "    "))
        for shift in effect.shifts:
            say(wrapped(_shift(shift), "        ", "      "))
    moving = sum(bool(s.gained or s.lost) for e in found.effects for s in e.shifts)
    click.echo(f"{moving} of the moves change whether a true cause stands first in some case.")
    if plot:
        _plot(found.effects, fancy=fancy)


def _name(strength: Strength) -> str:
    if strength.is_prior:
        return f"{strength.cause}: how often it is there, {strength.word}"
    return f"{strength.cause} shows {strength.shows} = {strength.state}: {strength.word}"


def _shift(shift: StrengthMove) -> str:
    text = f"{shift.to}: {100 * shift.truth:+.2f} points"
    if shift.largest:
        text += f", most in {shift.largest} ({100 * shift.largest_change:+.1f})"
    if shift.gained:
        text += f"; a true cause comes first in {', '.join(shift.gained)}"
    if shift.lost:
        text += f"; no true cause is first any more in {', '.join(shift.lost)}"
    return text


def _plot(effects: tuple[BothMoves, ...], *, fancy: bool) -> None:
    """Swing of the strengths as a share of the largest, in their order."""
    widest = effects[0].swing or 1.0
    shares = [100 * effect.swing / widest for effect in effects]
    click.echo("Swing in % of the largest, over the strengths in that order:")
    order = [float(number) for number in range(1, len(shares) + 1)]
    drawn = {"swing": shares}
    say(chart(order, drawn, unit="", mark=1.0, span=(0.0, 100.0), fancy=fancy, width=WIDTH))


def _as_data(effect: BothMoves) -> dict[str, Any]:
    strength = effect.strength
    return {
        "cause": strength.cause,
        "shows": strength.shows,
        "state": strength.state,
        "word": strength.word,
        "swing": effect.swing,
        "down": _shift_data(effect.down),
        "up": _shift_data(effect.up),
    }


def _shift_data(shift: StrengthMove | None) -> dict[str, Any] | None:
    if shift is None:
        return None
    return {
        "to": shift.to,
        "truth": shift.truth,
        "gained": list(shift.gained),
        "lost": list(shift.lost),
        "largest": shift.largest,
        "largest_change": shift.largest_change,
    }
