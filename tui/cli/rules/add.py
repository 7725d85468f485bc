"""`rules add` and `rules undo`: what the shop knows, put into its pack by questions."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
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
    from diagnose.authoring.adding.effect import Effect
    from rules.rulebase import RuleBase

UNFINISHED = ".unfinished.json"
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
    from diagnose.authoring.adding.questions import entry_kinds

    kinds = entry_kinds()
    if not folder.exists():
        _make(folder)
    stack = folder_stack(pack, folder)
    rules = load_rules(stack)
    own = rules.packs[-1].id
    typed, kind = _left(folder, kind)
    while kind not in kinds:
        if kind is not None:
            click.echo(f"{kind!r} is none of these.")
        for number, (name, entry) in enumerate(kinds.items(), 1):
            click.echo(f"  {number}  {name:12} {entry.title}")
        line = _typed("What do you want to add? ")
        kind = (
            list(kinds)[int(line) - 1] if line.isdigit() and 0 < int(line) <= len(kinds) else line
        )
    click.echo(f"Enter goes on, {_BACK} goes back, ? WORD looks for names, Ctrl-C stops and keeps "
               "what you said.")  # fmt: skip
    assert kind is not None
    adding = Adding(rules, own, kind)
    for line in typed:
        try:
            adding.say(line)
        except ValueError:
            break
    try:
        _asked(adding)
    except (click.Abort, EOFError, KeyboardInterrupt):
        _put_by(folder, adding)
        raise click.Abort from None
    (folder / UNFINISHED).unlink(missing_ok=True)
    _finish(adding, folder, stack, rules)


@click.command()
@click.argument("pack", type=PersonPath(file_okay=False), metavar="PACK")
def undo(pack: Path) -> None:
    """Take back what `rules add` put into PACK last."""
    from diagnose.authoring.adding.pack_edits import undo as undo_last

    taken = or_exit(lambda: undo_last(pack))
    click.echo(f"Taken back: {taken.title}. {', '.join(taken.before)} stands as before.")


def _make(pack: Path) -> None:
    from rules.loading.pack_files import OFFROAD
    from rules.writing.new_pack import new_pack, write_pack

    if not _yes(f"There is no pack {pack} yet. Make it? y/n "):
        refuse("nothing was made")
    files = or_exit(lambda: new_pack(pack, OFFROAD))
    or_exit(lambda: write_pack(pack, files))


# -- what was not finished -------------------------------------------------------------------------


def _left(pack: Path, kind: str | None) -> tuple[list[str], str | None]:
    """The lines of an entry that was not finished, where it is to be gone on with, and its kind."""
    try:
        kept = json.loads((pack / UNFINISHED).read_text(encoding="utf-8"))
        lines, was = [str(line) for line in kept["lines"]], str(kept["kind"])
    except (OSError, ValueError, KeyError, TypeError):
        return [], kind
    if kind not in (None, was) or not _yes(
        f"A {was} with {len(lines)} answers is not finished. Go on with it? y/n "
    ):
        return [], kind
    return lines, was


def _put_by(pack: Path, adding: Adding) -> None:
    from diagnose.records.file_writing import write_text

    if adding.lines:
        kept = {"kind": adding.kind.name, "lines": adding.lines}
        or_exit(lambda: write_text(pack / UNFINISHED, json.dumps(kept, ensure_ascii=False)))
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
    if prompt.is_numbered:
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
    from diagnose.authoring.adding.pack_edits import edited, tried, write
    from diagnose.authoring.pack_review import review_packs
    from diagnose.authoring.trials.trial import worked_paths
    from diagnose.case.files import load_worked_case
    from rules.loading.loader import load_packs
    from rules.problems import FileProblems

    texts = or_exit(lambda: edited(pack, adding.edits))
    names = {part for edit in adding.edits for part in edit.path[1:]}
    with tried(pack, texts) as copy:
        new_stack = (*stack[:-1], copy)
        try:
            after = load_packs(new_stack)
            own_case = next((copy / n for n in texts if n.startswith("worked_cases/")), None)
            if own_case is not None:
                load_worked_case(after, own_case)
            doubts = [d for d in review_packs(new_stack) if names & set(d.field.split("."))]
        except FileProblems as error:
            _put_by(pack, adding)
            refuse(f"{error}\nNothing was written.")
        say(("", *_written_lines(pack, texts)))
        if own_case is not None:
            say(_own_case_lines(new_stack, own_case))
        else:
            say(_effect_lines(rules, after, _effect(rules, after, worked_paths(stack, rules))))
        for doubt in doubts:
            say(wrapped(f"Doubtful: {doubt.field}: {doubt.message}", "  "))
    if not _yes("Keep it? y/n "):
        _put_by(pack, adding)
        return
    or_exit(lambda: write(pack, adding.title, texts))
    for name in texts:
        click.echo(f"{pack / name} is written.")
    click.echo(f"`badride rules undo {pack}` takes it back.")


def _written_lines(pack: Path, texts: dict[str, str]) -> Iterator[str]:
    """The lines that are new in each file."""
    import difflib

    for name, text in texts.items():
        path = pack / name
        old = path.read_text(encoding="utf-8") if path.exists() else ""
        yield f"{path}:"
        for row in difflib.ndiff(old.splitlines(), text.splitlines()):
            if row.startswith(("+ ", "- ")):
                yield f"  {row}".rstrip()
    yield ""


def _effect(before: RuleBase, after: RuleBase, paths: Sequence[Path]) -> Effect:
    from diagnose.authoring.adding.effect import effect_on
    from tui.cli.rules.progress_bar import progress

    with progress("worked cases") as bar:
        return or_exit(lambda: effect_on(before, after, paths, bar.start, bar.step))


def _effect_lines(before: RuleBase, after: RuleBase, effect: Effect) -> Iterator[str]:
    from diagnose.words.chances import percent

    if not effect.touched:
        yield f"It moves no chance in any of the {effect.cases} worked cases."
        return
    yield from wrapped(
        f"Of {effect.tried} worked cases that tell of it, it moves {effect.touched}. A true cause "
        f"stands first in {effect.first_after} of them; before, in {effect.first_before}. The most "
        "touched:"
    )
    for case in effect.shown:
        yield from wrapped(case.title, "  ")
        for moved in case.moved:
            cause = (after if moved.cause in after.causes else before).causes[moved.cause]
            true = " (true)" if moved.true else ""
            was, now = percent(moved.before), percent(moved.after)
            change = f"stays at {now}" if was == now else f"{was} -> {now}"
            yield from wrapped(f"{cause.title}{true}: {change}", "      ", "    ")
        for text in case.said:
            yield from wrapped(text, "      ", "    now said: ")


def _own_case_lines(stack: Packs, path: Path) -> Iterator[str]:
    from diagnose.authoring.trials.trial import rank
    from diagnose.words.chances import percent
    from rules.loading.loader import load_packs

    rules = load_packs(stack)
    (made,) = rank(stack, [path])
    yield "Judged by all that is told:"
    for key in dict.fromkeys((*made.leading, *made.true)):
        true = " (true)" if key in made.true else ""
        chance = percent(made.chances.get(key, 0.0))
        yield from wrapped(f"{rules.causes[key].title}{true}: {chance}", "    ", "  ")
    if not made.first:
        yield "The true cause does not stand first; `badride rules why` shows what speaks for it."
