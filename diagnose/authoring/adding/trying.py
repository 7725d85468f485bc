"""What an addition comes to, tried on a copy of the pack before it is kept; in words."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from diagnose.authoring.adding.adding import Adding
from diagnose.authoring.adding.effect import Effect, effect_on
from diagnose.authoring.adding.pack_edits import edited, tried
from diagnose.authoring.pack_review import review_packs
from diagnose.authoring.trials.trial import rank, worked_paths
from diagnose.case.files import load_worked_case
from diagnose.words.chances import percent
from rules.loading.loader import load_packs
from rules.problems import BadInput, FileProblems
from rules.rulebase import RuleBase


@dataclass(frozen=True, slots=True)
class TriedAddition:
    """An addition called `title` that its pack loads with: the `texts` of the files it changes, and
    in words what is new in each file, what it does to worked cases, and what is doubtful."""

    title: str
    texts: Mapping[str, str]
    written: tuple[str, ...]
    effect: tuple[str, ...]
    doubts: tuple[str, ...]


def try_addition(
    adding: Adding,
    stack: Sequence[Path],
    before: RuleBase,
    started: Callable[[int], None] = lambda length: None,
    progress: Callable[[], None] = lambda: None,
) -> TriedAddition:
    """Try a finished entry for the pack at the top of `stack`, which makes `before`.

    `started` is told how many worked cases there are, `progress` is called after each. Raises
    `BadInput`; nothing is written then either.
    """
    folder = stack[-1]
    texts = edited(folder, adding.edits)
    names = {part for edit in adding.edits for part in edit.path[1:]}
    with tried(folder, texts) as copy:
        new_stack = (*stack[:-1], copy)
        own_case = next((copy / name for name in texts if name.startswith("worked_cases/")), None)
        try:
            after = load_packs(new_stack)
            if own_case is not None:
                load_worked_case(after, own_case)
        except FileProblems as error:  # of the copy, which nobody is to look for
            raise BadInput(str(error).replace(str(copy), str(folder))) from error
        if own_case is not None:
            effect = tuple(_own_case_lines(after, new_stack, own_case))
        else:
            paths = worked_paths(tuple(stack), before)
            found = effect_on(before, after, paths, started, progress)
            effect = tuple(_effect_lines(before, after, found))
        doubts = tuple(
            f"{_titled(after, doubt.field)}: {doubt.message}"
            for doubt in review_packs(new_stack)
            if names & set(doubt.field.split("."))
        )
    return TriedAddition(adding.title, texts, tuple(_written(folder, texts)), effect, doubts)


def _titled(rules: RuleBase, field: str) -> str:
    """What the entry of a field is called; the field itself where it is of none."""
    section, _, rest = field.partition(".")
    table = getattr(rules, section, {})
    entry = table.get(rest.partition(".")[0]) if isinstance(table, Mapping) else None
    called = (getattr(entry, name, None) for name in ("title", "ask", "text"))
    return str(next(filter(None, called), field))


def _written(folder: Path, texts: Mapping[str, str]) -> Iterator[str]:
    """The lines that are new in each file."""
    for name, text in texts.items():
        path = folder / name
        old = path.read_text(encoding="utf-8") if path.exists() else ""
        yield f"{path}:"
        for row in difflib.ndiff(old.splitlines(), text.splitlines()):
            if row.startswith(("+ ", "- ")):
                yield f"  {row}".rstrip()


def _effect_lines(before: RuleBase, after: RuleBase, effect: Effect) -> Iterator[str]:
    if not effect.touched:
        yield f"It moves no chance in any of the {effect.cases} worked cases."
        return
    yield (
        f"Of {effect.tried} worked cases that tell of it, it moves {effect.touched}. A true cause "
        f"stands first in {effect.first_after} of them; before, in {effect.first_before}. The most "
        "touched:"
    )
    for case in effect.shown:
        yield f"  {case.title}"
        for moved in case.moved:
            cause = (after if moved.cause in after.causes else before).causes[moved.cause]
            true = " (true)" if moved.true else ""
            was, now = percent(moved.before), percent(moved.after)
            change = f"stays at {now}" if was == now else f"{was} -> {now}"
            yield f"    {cause.title}{true}: {change}"
        for text in case.said:
            yield f"    now said: {text}"


def _own_case_lines(rules: RuleBase, stack: Sequence[Path], path: Path) -> Iterator[str]:
    (made,) = rank(tuple(stack), [path])
    yield "Judged by all that is told:"
    for key in dict.fromkeys((*made.leading, *made.true)):
        true = " (true)" if key in made.true else ""
        chance = percent(made.chances.get(key, 0.0))
        yield f"  {rules.causes[key].title}{true}: {chance}"
    if not made.first:
        yield "The true cause does not stand first; `badride rules why` shows what speaks for it."
