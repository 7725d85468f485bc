"""A handbook made of a rule base: its chapters and its matrix of causes and complaints."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from diagnose.advice.assessor import Assessor
from diagnose.authoring.handbook import finding_pages as findings
from diagnose.authoring.handbook import trouble_pages as troubles
from diagnose.authoring.handbook.chance_pages import chances
from diagnose.authoring.handbook.index import Index, anchor, in_100
from diagnose.authoring.handbook.parts import (
    Cell,
    Chapter,
    EntryGroup,
    Handbook,
    HandbookTable,
    Listing,
    Matrix,
    Mention,
)
from diagnose.authoring.trials.working import Decision
from diagnose.cards.blocks import clean
from diagnose.words.titles import lowered
from rules.language.schema import Correction, Observation
from rules.review.provenance import provenance, rank


def build_handbook(assessor: Assessor, worked: Sequence[Decision] = ()) -> Handbook:
    """Everything the rule base holds, in words, and how its chances fared in the worked cases as
    they were ranked (no such chapter without any)."""
    index = Index(assessor)
    rules = assessor.rules
    chapters = [
        _reading_it(index),
        troubles.complaints(index),
        troubles.causes(index),
        findings.observations(index),
        findings.findings(index),
        troubles.corrections(index),
        _cautions(index),
        _pictures(index),
        findings.machine(index),
        _before_a_ride(index),
        _switched_off(index),
        chances(worked),
        _sources(index),
    ]
    packs = tuple(f"{pack.id} {pack.version}" for pack in rules.packs)
    return Handbook(
        f"{rules.info.title}: handbook of the rule base",
        (
            rules.info.about,
            f"Version {rules.info.version}. Generated from the rule base; edit that, not this.",
            "It helps to find a cause and proves nothing by itself. The owner's manual of the"
            " bike comes first, and work that can hurt somebody when it is done wrong belongs"
            " to a qualified technician.",
        ),
        packs,
        tuple(chapter for chapter in chapters if not chapter.is_empty),
        _matrix(index),
    )


def _reading_it(index: Index) -> Chapter:
    scale, policy = index.rules.scale, index.rules.policy
    words = tuple(
        (
            Mention(word),
            Mention(f"{100 * low:g} to {100 * high:g}"),
            Mention(in_100(scale.number(word))),
        )
        for word, (low, high) in scale.words.items()
    )
    minutes = (
        (Mention("turning to any question or check"), Mention(f"{policy.attention_minutes:g}")),
        (Mention("a ride"), Mention(f"{policy.ride_minutes:g}")),
        (Mention("handing the bike over"), Mention(f"{policy.hand_over_minutes:g}")),
        *(
            (Mention(f"handing over, {lowered(who.title)}"), Mention(f"{who.hand_over.minutes:g}"))
            for who in policy.people.values()
            if who.hand_over.minutes is not None
        ),
        *(
            (Mention(f"parts: {size}"), Mention(f"{cost:g}"))
            for size, cost in policy.parts_minutes.items()
        ),
    )
    about = (
        "How likely things are is written in words; the middle of a word's range is the number"
        " used. Of the scale: " + _sources_of(index, scale.source) + ". Of the costs: "
        + _sources_of(index, policy.source) + "."
    )  # fmt: skip
    return Chapter(
        "reading",
        "How to read it",
        about,
        tables=(
            HandbookTable("The scale", ("Word", "Range in 100", "Number used"), words),
            HandbookTable(
                "What things cost, in minutes at the bench", ("What", "Minutes"), minutes
            ),
        ),
    )


def _sources_of(index: Index, names: tuple[str, ...]) -> str:
    return "; ".join(str(index.rules.sources[name]) for name in names)


def _steps(index: Index, has: Callable[[Observation | Correction], bool]) -> list[Mention]:
    """The observations and corrections of which `has` is true."""
    asked, done = index.rules.observations.items(), index.rules.corrections.items()
    return [
        *(Mention(entry.ask, anchor("observations", key)) for key, entry in asked if has(entry)),
        *(Mention(entry.title, anchor("corrections", key)) for key, entry in done if has(entry)),
    ]


def _pictures(index: Index) -> Chapter:
    entries = []
    for key, picture in index.rules.pictures.items():
        used = _steps(index, lambda entry, key=key: entry.picture == key)  # type: ignore[misc]
        entries.append(
            index.entry(
                "pictures",
                key,
                picture.title,
                text=picture.description,
                lists=[Listing("Shows how", tuple(used))],
                sources=picture.source,
                picture=key,
            )
        )
    about = "How things are measured and done, where words explain it badly. Not to scale."
    return Chapter("pictures", "Drawings", about, (EntryGroup("", tuple(entries)),))


def _cautions(index: Index) -> Chapter:
    entries = []
    for key, caution in index.rules.cautions.items():
        used = _steps(index, lambda entry, key=key: key in entry.cautions)  # type: ignore[misc]
        if key in index.rules.policy.ride_cautions:
            used.append(Mention("every ride"))
        entries.append(
            index.entry(
                "cautions",
                key,
                key.replace("-", " ").capitalize(),
                text=caution.text,
                lists=[Listing("Shown before", tuple(used))],
                sources=caution.source,
            )
        )
    about = "Each is shown before the step it is about."
    return Chapter("cautions", "Cautions", about, (EntryGroup("", tuple(entries)),))


def _before_a_ride(index: Index) -> Chapter:
    entries = []
    for key, check in index.rules.before_ride.items():
        how = index.rules.corrections[check.correction] if check.correction else None
        entries.append(
            index.entry(
                "before_ride",
                key,
                check.title,
                facts=[
                    ("Due", "each ride" if check.interval is None else f"every {check.every}"),
                    ("Only on", index.needs(check.needs)),
                    (
                        "How",
                        Mention(how.title, anchor("corrections", check.correction or ""))
                        if how
                        else "",
                    ),
                ],
                warnings=check.cautions,
                sources=check.source,
            )
        )
    return Chapter("before-a-ride", "Before a ride", "", (EntryGroup("", tuple(entries)),))


def _switched_off(index: Index) -> Chapter:
    rows = tuple(
        (Mention(f"{section}, {key}"), Mention(off.pack), Mention(off.reason),
         Mention(_sources_of(index, off.source)))
        for (section, key), off in index.rules.off.items()
    )  # fmt: skip
    table = HandbookTable("Switched off", ("Entry", "By pack", "Reason", "Source"), rows)
    about = "What a pack leaves out of those it builds on."
    return Chapter("switched-off", "Switched off", about, tables=(table,) if rows else ())


def _sources(index: Index) -> Chapter:
    counted = tuple(
        (Mention(item.rank), *(Mention(str(n)) for n in (item.sources, item.entries, item.links)))
        for item in provenance(index.rules)
    )
    rows = tuple(
        (Mention(key), Mention(rank(source)), Mention(str(source)),
         Mention(index.rules.origins[("sources", key)].pack))
        for key, source in index.rules.sources.items()
    )  # fmt: skip
    about = (
        "What each claim rests on. A source under a strength shows that the cause can do this; how"
        " often it does is judgement throughout."
    )
    how_much = HandbookTable(
        "How much rests on what, each counted under its weightiest source",
        ("Kind and grade", "Sources", "Entries", "Strengths"),
        counted,
    )
    head = ("Id", "Kind and grade", "Source", "Pack")
    return Chapter(
        "sources", "Sources", about, tables=(how_much, HandbookTable("Sources", head, rows))
    )


def _matrix(index: Index) -> Matrix:
    """Causes in the order of the pack (so by file and group), complaints as rows of places."""
    rules = index.rules
    scale = tuple(rules.scale.words)
    nodes = [node for node in rules.nodes.values() if node.kind == "complaint"]
    column = {node.id: number for number, node in enumerate(nodes)}
    row = {cause: number for number, cause in enumerate(rules.causes)}
    cells = []
    for link in rules.links:
        if link.node in column:
            word = link.words["yes"]
            cells.append(
                Cell(
                    row[link.cause],
                    column[link.node],
                    scale.index(word) + 1,
                    clean(
                        f"{rules.causes[link.cause].title}, {rules.nodes[link.node].title}: {word}"
                    ),
                )
            )
    return Matrix(
        tuple((clean(cause.title), anchor("causes", key)) for key, cause in rules.causes.items()),
        tuple(
            (clean(node.title), anchor("complaints", node.id.partition("/")[0])) for node in nodes
        ),
        tuple(sorted(cells, key=lambda cell: (cell.row, cell.column))),
        tuple(clean(word) for word in scale),
    )
