"""Load a pack or a stack of packs: folders of YAML files, each with any of the known sections."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from rules.language.sections import SINGLES
from rules.loading.drawings import read_drawings
from rules.loading.linking import MOST_CERTAIN, make_links, make_nodes
from rules.loading.pack_draft import PackDraft
from rules.loading.pack_files import OFFROAD, TRAINING, WORKED_CASES, pack_documents
from rules.loading.pack_quantities import check_measures
from rules.loading.pack_reading import PackSource, read_info, read_pack
from rules.loading.references import check_references, check_use
from rules.loading.stacking import amend
from rules.problems import FileProblems, Problem
from rules.rulebase import RuleBase
from rules.yaml_source import YamlText, suggest

__all__ = ["MOST_CERTAIN", "OFFROAD", "TRAINING", "WORKED_CASES", "load_pack", "load_packs"]

MOST_PACKS = 20


def load_pack(folder: Path = OFFROAD) -> RuleBase:
    """Load and check the pack in `folder`, on the one that ships if it builds on another.

    Raises `FileProblems` with every problem found, each with file, line and field.
    """
    return load_packs((folder,))


def load_packs(folders: Sequence[Path]) -> RuleBase:
    """Load a stack of packs, the first at the bottom; without folders, the pack that ships.

    Where the first builds on another, the pack that ships is put under it. The stack is checked as
    one pack. Raises `FileProblems`.
    """
    if len(folders) > MOST_PACKS:
        message = f"{len(folders)} packs; at most {MOST_PACKS} go on one another"
        raise FileProblems([Problem(str(folders[MOST_PACKS]), 1, 1, "too-large", "", message)])
    sources = _sources(folders or (OFFROAD,))
    try:
        return _load(sources)
    except FileProblems as error:
        if len(sources) == 1:
            raise
        raise FileProblems(_explained(error, sources)) from error


def _sources(folders: Sequence[Path]) -> list[PackSource]:
    first = _source(folders[0], frozenset())
    sources = [first]
    if first.info.builds_on is not None and folders[0].resolve() != OFFROAD:
        sources.insert(0, _source(OFFROAD, frozenset()))
    for folder in folders[1:]:
        source = _source(folder, frozenset(s.folder.name for s in sources))
        sources.append(source)
    below: list[str] = []
    for source in sources:
        _check_place(source, below)
        below.append(source.info.id)
    return sources


def _source(folder: Path, taken: frozenset[str]) -> PackSource:
    documents: list[YamlText] = []
    unread: tuple[Problem, ...] = ()
    try:
        documents.extend(pack_documents(folder, taken))
    except FileProblems as error:
        unread = error.problems
        if not documents or any(problem.code == "too-large" for problem in unread):
            raise
    if not documents:
        message = "the .yaml files of this folder hold nothing"
        raise FileProblems([Problem(str(folder), 1, 1, "empty", "", message)])
    draft = PackDraft()
    info = read_info(draft, documents)
    if info is None or draft.problems:
        # the file that cannot be read may be the one that says who the pack is
        raise FileProblems(unread or draft.problems)
    return PackSource(folder.resolve(), documents, info, unread)


def _check_place(source: PackSource, below: Sequence[str]) -> None:
    """Raises `FileProblems` unless a pack may stand on those below it."""
    info, field, message = source.info, "id", ""
    if info.id in below:
        message = f"a pack with the id {info.id!r} is loaded already"
    elif below and info.builds_on is None:
        message = (
            "this pack stands by itself and must be the first; a pack that adds to another says "
            f"`builds_on: {below[0]}`"
        )
    elif info.builds_on is not None and info.builds_on not in below:
        field = "builds_on"
        known = ", ".join(below) or "none"
        message = (
            f"{info.builds_on!r} is not below it{suggest(info.builds_on, below)} (are: {known})"
        )
    if message:
        document = next(d for d in source.documents if "pack" in d.data)
        raise FileProblems([document.problem("stack", ("pack", field), message)])


def _load(sources: Sequence[PackSource]) -> RuleBase:
    draft = PackDraft()
    for source in sources:
        source.amendments.clear()
        draft.problems.extend(source.unread)
        read_pack(draft, source)
        amend(draft, source)
        if source.unread or source is not sources[-1]:
            draft.stop_on_problems()
        draft.packs.append(source.info)
    for name in SINGLES:
        if name != "pack" and name not in draft.singles:
            message = f"the pack has no `{name}:` section; if it adds to another, say `builds_on`"
            draft.complain("pack", "", (), message, "missing")
    if any(name not in draft.singles for name in ("scale", "policy")):
        draft.stop_on_problems()
    check_references(draft.tables, draft.singles, draft.complain)
    check_measures(draft.tables, draft.complain)
    drawings = read_drawings(draft, {source.info.id: source.folder for source in sources})
    nodes = make_nodes(draft)
    links = make_links(draft, nodes)
    draft.stop_on_problems()
    check_use(draft.tables, draft.complain)
    draft.stop_on_problems()
    return RuleBase(
        info=draft.packs[0],
        scale=draft.singles["scale"],
        policy=draft.singles["policy"],
        **draft.tables,
        nodes=nodes,
        links=links,
        origins={name: written.origin() for name, written in draft.written.items()},
        packs=tuple(draft.packs),
        drawings=drawings,
        written=draft.written,
        off=draft.off,
    )


def _explained(error: FileProblems, sources: Sequence[PackSource]) -> list[Problem]:
    """The problems; one in a file that was sound without the top pack says which pack caused it."""
    try:
        _load(sources[:-1])
        before: frozenset[Problem] = frozenset()
    except FileProblems as earlier:
        before = frozenset(earlier.problems)
    top = sources[-1]
    own = {document.file for document in top.documents}
    return [
        problem
        if problem.file in own or problem in before
        else replace(
            problem, message=f"{problem.message}; this was sound before {top.info.id} changed it"
        )
        for problem in error.problems
    ]
