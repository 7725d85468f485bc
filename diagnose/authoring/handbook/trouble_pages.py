"""Chapters on complaints, causes and corrections."""

from __future__ import annotations

from diagnose.authoring.handbook.index import Index, in_100, plain
from diagnose.authoring.handbook.parts import (
    Chapter,
    Entry,
    EntryGroup,
    HandbookTable,
    Listing,
    Mention,
)
from diagnose.inference.confirming import is_check
from diagnose.words.chances import about_minutes
from rules.rulebase import Link, complaint_nodes


def complaints(index: Index) -> Chapter:
    """The chapter of complaints, each with its causes, likeliest first."""
    entries = []
    for key, complaint in index.rules.complaints.items():
        tables = [_ranked(index, node) for node in complaint_nodes(key, complaint)]
        facts = [
            ("Asked for each of", ", ".join(complaint.places)),
            ("Felt anyway", f"{complaint.background}, {_background(index, key)}"),
        ]
        said = Listing("What riders say", plain(complaint.said))
        entries.append(
            index.entry(
                "complaints",
                key,
                complaint.title,
                facts=facts,
                lists=[said],
                tables=tables,
                sources=complaint.source,
            )
        )
    about = (
        "Causes are ranked by how probable each is when nothing is known but the complaint, on a"
        " bike that can have the cause."
    )
    return Chapter("complaints", "Complaints", about, (EntryGroup("", tuple(entries)),))


def _background(index: Index, complaint: str) -> str:
    node = complaint_nodes(complaint, index.rules.complaints[complaint])[0]
    return in_100(index.rules.nodes[node].background[1])


def _ranked(index: Index, node: str) -> HandbookTable:
    links = {link.cause: link for link in index.links_to[node]}
    rows = tuple(
        (
            index.cause(odds.cause),
            Mention(in_100(odds.probability)),
            Mention(in_100(odds.prior)),
            Mention(index.strength(links[odds.cause]) if odds.cause in links else ""),
        )
        for odds in index.odds.complaint(node)
        if odds.cause in links
    )
    head = ("Cause", "With this complaint", "Before it", "By itself the cause gives it")
    return HandbookTable(f"Causes of: {index.rules.nodes[node].title}", head, rows)


def causes(index: Index) -> Chapter:
    """The chapter of causes, by group."""
    groups: dict[str, list[Entry]] = {}
    for key, cause in index.rules.causes.items():
        groups.setdefault(cause.group, []).append(_cause(index, key))
    about = "Before any fact is known, and what each cause shows by itself."
    return Chapter(
        "causes",
        "Causes",
        about,
        tuple(
            EntryGroup(name.replace("-", " ").capitalize(), tuple(entries))
            for name, entries in groups.items()
        ),
    )


def _cause(index: Index, key: str) -> Entry:
    cause = index.rules.causes[key]
    links = index.links_of[key]
    correction = index.rules.corrections[cause.correction]
    facts: list[tuple[str, Mention | str]] = [
        ("Behind a bad ride", f"{cause.per_100:g} in 100"),
        ("Only on", index.needs(cause.needs)),
        ("Not safe to ride with", "yes" if cause.unsafe else ""),
        ("Lies", "inside a closed unit" if cause.inside else ""),
        ("Correction", Mention(correction.title, f"corrections-{cause.correction}")),
    ]
    others = tuple(index.cause(other) for other in cause.not_separable_from)
    return index.entry(
        "causes",
        key,
        cause.title,
        text=cause.what,
        facts=facts,
        lists=[
            Listing("Gives the complaints", _shown(index, links, "complaint")),
            Listing("Shows on", _shown(index, links, "observation")),
            Listing("Is concluded from", _shown(index, links, "finding")),
            Listing("Can be confirmed by", _checks(index, links)),
            Listing("Cannot be told from", others),
        ],
        sources=(*cause.source, *(name for link in links for name in link.source)),
    )


def _shown(index: Index, links: list[Link], kind: str) -> tuple[Mention, ...]:
    return tuple(
        index.node(link.node, index.strength(link))
        for link in links
        if index.rules.nodes[link.node].kind == kind
    )


def _checks(index: Index, links: list[Link]) -> tuple[Mention, ...]:
    items = []
    for link in links:
        if is_check(index.rules.nodes[link.node], link):
            entry = index.rules.observations.get(link.node)
            note = about_minutes(entry.minutes) if entry else "worked out from other answers"
            items.append(index.node(link.node, note))
    return tuple(items)


def corrections(index: Index) -> Chapter:
    """The chapter of corrections, with the cautions before the steps."""
    entries = []
    for key, entry in index.rules.corrections.items():
        parts = entry.parts if entry.parts == "none" else f"{entry.parts} cost"
        rights = tuple(
            index.cause(cause)
            for cause, body in index.rules.causes.items()
            if body.correction == key
        )
        entries.append(
            index.entry(
                "corrections",
                key,
                entry.title,
                facts=[
                    ("Done by", entry.who),
                    ("Takes", about_minutes(entry.minutes)),
                    ("Parts", ", ".join((parts, *entry.parts_list))),
                    ("Tools", ", ".join(entry.tools)),
                    ("Drawing", index.picture(entry.picture)),
                    ("What can go wrong", entry.goes_wrong),
                    ("Proof", entry.proof),
                ],
                warnings=entry.cautions,
                lists=[
                    Listing("Steps", plain(entry.steps), numbered=True),
                    Listing("Puts right", rights),
                ],
                sources=entry.source,
            )
        )
    about = (
        "The owner's manual of the bike always comes first. What a correction says is for a"
        " qualified technician is not for anybody else."
    )
    return Chapter("corrections", "Corrections", about, (EntryGroup("", tuple(entries)),))
