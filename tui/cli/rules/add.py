"""`rules add` and `rules undo`: what the shop knows, put into its pack by questions."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from tui.cli.common import Packs, folder_stack, load_rules, or_exit, pack_option, refuse
from tui.cli.person_path import PersonPath
from tui.cli.storing import say
from tui.terminal.text import wrapped

if TYPE_CHECKING:
    from diagnose.authoring.adding.adding import Adding
    from diagnose.authoring.adding.choosing import Choice, Prompt
    from rules.rulebase import RuleBase

_BACK = "<"


@click.command()
@click.argument("folder", type=PersonPath(file_okay=False), metavar="PACK")
@click.argument("kind", required=False)
@pack_option
def add(folder: Path, kind: str | None, pack: Packs) -> None:
    """Add to PACK by questions: a cause, check, measurement, rule, correction, caution, source,
    worked case (case), or a change of an entry that is there (change).

    What it does to worked cases is shown before it is kept. `rules undo PACK` takes it back. A PACK
    that is not there yet is made. `badride list` has everything that can be named.
    """
    from diagnose.authoring.adding.adding import Adding
    from diagnose.authoring.adding.begun_entry import forget

    if not folder.exists():
        _make(folder)
    stack = folder_stack(pack, folder)
    rules = load_rules(stack)
    adding = _begun(folder, kind, rules) or Adding(rules, rules.packs[-1].id, _kind(kind))
    click.echo(f"Enter goes on, {_BACK} goes back, ? WORD looks for names, Ctrl-C stops and keeps "
               "what you said.")  # fmt: skip
    try:
        _asked(adding)
    except (click.Abort, EOFError, KeyboardInterrupt):
        _put_by(folder, adding)
        raise click.Abort from None
    forget(folder)
    _finish(adding, folder, stack, rules)


def _kind(given: str | None) -> str:
    """The kind of entry to add, asked for until it is one."""
    from diagnose.authoring.adding.questions import entry_kinds

    kinds = entry_kinds()
    while given is None or given not in kinds:
        if given is not None:
            click.echo(f"{given!r} is none of these.")
        for number, (name, entry) in enumerate(kinds.items(), 1):
            click.echo(f"  {number}  {name:12} {entry.title}")
        line = _typed("What do you want to add? ")
        given = (
            list(kinds)[int(line) - 1] if line.isdigit() and 0 < int(line) <= len(kinds) else line
        )
    return given


@click.command()
@click.argument("pack", type=PersonPath(file_okay=False), metavar="PACK")
def undo(pack: Path) -> None:
    """Take back what `rules add` put into PACK last."""
    from diagnose.authoring.adding.pack_edits import undo as undo_last

    taken = or_exit(lambda: undo_last(pack))
    click.echo(f"Taken back: {taken.title}. {', '.join(taken.before)} stands as before.")


def _make(pack: Path) -> None:
    from diagnose.authoring.adding.own_pack import made_pack

    if not _yes(f"There is no pack {pack} yet. Make it? y/n "):
        refuse("nothing was made")
    or_exit(lambda: made_pack(pack))


# -- what was not finished -------------------------------------------------------------------------


def _begun(folder: Path, kind: str | None, rules: RuleBase) -> Adding | None:
    """The entry that was not finished, where it is to be gone on with."""
    from diagnose.authoring.adding.begun_entry import begun_entry
    from diagnose.authoring.adding.questions import entry_kinds

    kept = begun_entry(folder)
    if kept is None or kept.kind not in entry_kinds() or kind not in (None, kept.kind):
        return None
    if not _yes(f"A {kept.kind} with {len(kept.lines)} answers is not finished. Go on? y/n "):
        return None
    return kept.adding(rules, rules.packs[-1].id)


def _put_by(pack: Path, adding: Adding) -> None:
    from diagnose.authoring.adding.begun_entry import BegunEntry, put_by

    if adding.lines:
        kept = BegunEntry(adding.kind.name, tuple(adding.lines))
        or_exit(lambda: put_by(pack, kept))
        click.echo(f"\nPut by. `badride rules add {pack}` goes on with it. The pack is as it was.")


# -- asking ----------------------------------------------------------------------------------------


def _asked(adding: Adding) -> None:
    """Ask until nothing is left to ask."""
    from rules.problems import BadInput

    about = ""
    asked: Prompt | None = None
    while (prompt := adding.prompt) is not None:
        if adding.about != about:
            about, asked = adding.about, None
            click.echo(f"\n-- {about} --")
        if prompt != asked:
            _show(prompt)
            asked = prompt
        line = _typed("> ", prompt)
        if line.strip() == _BACK:
            adding.back()
            asked = None
            continue
        if line.lstrip().startswith("?"):
            _look_up(prompt, line.strip()[1:].strip())
            continue
        try:
            adding.say(line)
        except BadInput as error:
            say(line for row in str(error).split("\n") for line in wrapped(row, "  "))


def _show(prompt: Prompt) -> None:
    ask = prompt.ask + (f" ({prompt.detail})" if prompt.detail else "")
    if prompt.so_far:
        say(wrapped("So far: " + "; ".join(prompt.so_far), "  "))
    if prompt.such_as:
        ask += f" Such as: {prompt.such_as}"
    say(("", *wrapped(ask)))
    if prompt.is_numbered and not prompt.is_yes_or_no:
        for number, choice in enumerate(prompt.choices, 1):
            say(wrapped(_named(choice), "     ", f"  {number}  "))
    hints = []
    if prompt.choices and not prompt.is_numbered:
        hints.append(f"? WORD looks through {len(prompt.choices)} names")
    if prompt.new:
        hints.append(f"new: a {prompt.new} of your own")
    if prompt.default:
        hints.append(f"Enter: {prompt.default}")
    elif prompt.may_end:
        hints.append("Enter: no more" if prompt.so_far else "Enter: none")
    if hints:
        say(wrapped("; ".join(hints), "  "))


def _named(choice: Choice) -> str:
    return f"{choice.name}  {choice.title}" if choice.title else choice.name


def _look_up(prompt: Prompt, words: str) -> None:
    from diagnose.authoring.adding.choosing import matching

    found = matching(prompt, words) if prompt.choices else []
    for choice in found[:20]:
        say(wrapped(_named(choice), "      ", "  "))
    if len(found) > 20:
        click.echo(f"  and {len(found) - 20} more; add a word")
    if not found:
        click.echo("  Nothing of that name." if prompt.choices else "  Write it in your own words.")


def _typed(text: str, prompt: Prompt | None = None) -> str:
    """A line that is typed; Tab completes the names that can be given, where the terminal can."""
    from tui.cli.rules.completing import completing

    with completing([choice.name for choice in prompt.choices] if prompt else []):
        return str(click.prompt(text, prompt_suffix="", default="", show_default=False))


def _yes(text: str) -> bool:
    return _typed(text).strip().lower() in ("y", "yes")


# -- keeping ---------------------------------------------------------------------------------------


def _finish(adding: Adding, pack: Path, stack: Packs, rules: RuleBase) -> None:
    """Try the addition, show what it does, and keep it or not."""
    from diagnose.authoring.adding.pack_edits import write
    from diagnose.authoring.adding.trying import try_addition
    from rules.problems import BadInput
    from tui.cli.rules.progress_bar import progress

    try:
        with progress("worked cases") as bar:
            made = try_addition(adding, stack, rules, bar.start, bar.step)
    except BadInput as error:
        _put_by(pack, adding)
        refuse(f"{error}\nNothing was written.")
    say(("", *made.written, ""))
    for line in made.effect:
        indent = " " * (len(line) - len(line.lstrip()))
        say(wrapped(line.strip(), f"{indent}  " if indent else "", indent))
    for doubt in made.doubts:
        say(wrapped(f"Doubtful: {doubt}", "  "))
    if not _yes("Keep it? y/n "):
        _put_by(pack, adding)
        return
    or_exit(lambda: write(pack, made.title, made.texts))
    for name in made.texts:
        click.echo(f"{pack / name} is written.")
    click.echo(f"`badride rules undo {pack}` takes it back.")
