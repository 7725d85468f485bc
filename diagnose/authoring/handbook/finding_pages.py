"""Chapters on what is asked and looked at, and on what follows from it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from diagnose.authoring.handbook.index import Index, anchor, plain
from diagnose.authoring.handbook.parts import Chapter, Entry, EntryGroup, Listing, Mention
from diagnose.authoring.handbook.rule_words import fact_title, rule_in_words
from diagnose.words.chances import about_minutes
from rules.language.schema import Band, Observation, Spec

_KINDS = {
    "history": "History",
    "question": "Questions",
    "measurement": "Measurements",
    "inspection": "Inspections",
    "ride-test": "Ride tests",
}


def observations(index: Index) -> Chapter:
    """The chapter of observations, by kind."""
    groups = tuple(
        EntryGroup(
            heading,
            tuple(
                _observation(index, key)
                for key, entry in index.rules.observations.items()
                if entry.kind == kind
            ),
        )
        for kind, heading in _KINDS.items()
    )
    about = "States run from normal to most telling."
    return Chapter("observations", "Observations", about, tuple(g for g in groups if g.entries))


def _observation(index: Index, key: str) -> Entry:
    entry = index.rules.observations[key]
    target = index.rules.specs[entry.target] if entry.target else None
    return index.entry(
        "observations",
        key,
        entry.ask,
        facts=[
            ("Takes", about_minutes(entry.minutes)),
            ("Only on", index.needs(entry.needs)),
            ("Opens something", "yes" if entry.opens else ""),
            ("Safety check", "yes" if entry.safety else ""),
            ("Unit", entry.unit or ""),
            (
                "Target",
                Mention(target.title, anchor("specs", entry.target or "")) if target else "",
            ),
            ("A reading lies between", " and ".join(entry.limits or ())),
            ("Tools", ", ".join(entry.tools)),
            ("Drawing", index.picture(entry.picture)),
            ("Says nothing by itself", "" if entry.is_evidence else "it only feeds rules"),
        ],
        warnings=entry.cautions,
        lists=[
            Listing("How", plain(entry.how), numbered=True),
            Listing("Answers", tuple(index.states(entry, entry.background))),
            Listing("Bands, the first that fits", tuple(_bands(entry, entry.bands))),
            Listing("Shown by", _shown_by(index, key)),
        ],
        sources=entry.source,
    )


def _bands(entry: Observation, bands: Iterable[Band]) -> Iterator[Mention]:
    for band in bands:
        limit = f"above {band.above}" if band.above else f"below {band.below}"
        yield Mention(entry.states[band.state], note=limit)


def _shown_by(index: Index, key: str) -> tuple[Mention, ...]:
    return tuple(
        index.cause(link.cause, index.strength(link)) for link in index.links_to.get(key, ())
    )


def findings(index: Index) -> Chapter:
    """The chapter of findings and of the rules, those that conclude findings and the others."""
    about = "Findings are never asked: rules or sums conclude them from what was."
    return Chapter(
        "findings",
        "Findings and rules",
        about,
        (
            EntryGroup("Findings", tuple(_finding(index, key) for key in index.rules.findings)),
            EntryGroup("Rules", tuple(_rule(index, key) for key in index.rules.rules)),
        ),
    )


def _finding(index: Index, key: str) -> Entry:
    entry = index.rules.findings[key]
    by_rules = tuple(
        Mention(rule_in_words(index.rules, rule)[0], anchor("rules", name))
        for name, rule in index.rules.rules.items()
        if key in (rule.then.finding or {})
    )
    worked_out: list[Mention] = []
    if entry.computed:
        worked_out = [
            Mention(fact_title(index.rules, name), anchor("observations", name), role)
            for role, name in entry.computed.inputs.items()
        ]
        for band in entry.computed.bands:
            limit = f"above {band.above}" if band.above else f"below {band.below}"
            worked_out.append(Mention(entry.states[band.state], note=limit))
    return index.entry(
        "findings",
        key,
        entry.title,
        facts=[("Sum", entry.computed.by if entry.computed else "")],
        lists=[
            Listing("States", tuple(index.states(entry, entry.background))),
            Listing("Concluded when", by_rules),
            Listing("Worked out from", tuple(worked_out)),
            Listing("Shown by", _shown_by(index, key)),
        ],
        sources=(*entry.source, *entry.shown_by_source),
    )


def _rule(index: Index, key: str) -> Entry:
    rule = index.rules.rules[key]
    when, then = rule_in_words(index.rules, rule)
    text = f"If {when}: {then}"
    title = key.replace("-", " ").capitalize()
    return index.entry("rules", key, title, text=text, sources=rule.source)


def machine(index: Index) -> Chapter:
    """The chapter of traits and targets of the bike."""
    traits = tuple(
        index.entry(
            "traits",
            key,
            trait.title,
            text=trait.ask,
            lists=[
                Listing(
                    "Options",
                    tuple(
                        Mention(
                            label, note="taken unless said otherwise" if o == trait.default else ""
                        )
                        for o, label in trait.options.items()
                    ),
                )
            ],
            sources=trait.source,
        )
        for key, trait in index.rules.traits.items()
    )
    specs = tuple(
        index.entry(
            "specs",
            key,
            spec.title,
            facts=[("Unit", spec.unit), *_defaults(index, spec)],
            sources=spec.source,
        )
        for key, spec in index.rules.specs.items()
    )
    about = "Targets are rules of thumb until the figure of the owner's manual is given."
    groups = (EntryGroup("Kinds of bike", traits), EntryGroup("Targets", specs))
    return Chapter("machine", "The bike", about, tuple(g for g in groups if g.entries))


def _defaults(index: Index, spec: Spec) -> list[tuple[str, str]]:
    if isinstance(spec.default, str):
        return [("Rule of thumb", spec.default)]
    assert spec.by is not None
    options = index.rules.traits[spec.by].options
    return [(options[option], value) for option, value in spec.default.items()]
