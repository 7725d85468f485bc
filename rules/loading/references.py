"""References between entries of a pack: everything that is named must exist and fit."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from graphlib import CycleError
from typing import Any

from rules.language.conditions import Path, leaves, rule_layers
from rules.language.rider_words import About, Heard, slots
from rules.language.schema import Condition, Finding, Needs, Observation, Rule
from rules.loading.reach import MOST_ALTERNATIVES, count_alternatives
from rules.rulebase import complaint_nodes
from rules.units.quantities import BadQuantity, parse_quantity, parse_threshold
from rules.yaml_source import suggest

Tables = Mapping[str, Mapping[str, Any]]
Complain = Callable[[str, str, tuple[str | int, ...], str], None]
MOST_LEAVES = 40
Facts = Mapping[str, tuple[str, ...]]
_LISTED = frozenset({"class", "unit"})
"""The roles of words that a phrase may name as a list."""


def check_references(tables: Tables, singles: Mapping[str, Any], complain: Complain) -> None:
    """Call `complain(section, id, path, message)` for each dangling or ill-fitting reference."""
    for name in ("scale", "policy"):
        _known(singles[name].source, tables["sources"], complain, (name, "", ("source",)))
    for name in ("ride_cautions", "carry_cautions"):
        where = ("policy", "", (name,))
        _known(getattr(singles["policy"], name), tables["cautions"], complain, where)
    _shared_fields(tables, complain)
    for key, cause in tables["causes"].items():
        where = ("causes", key, ("shows_source",))
        _known(cause.shows_source, tables["sources"], complain, where)
        for target, named in cause.shown_in.items():
            _known(named, tables["sources"], complain, ("causes", key, ("shown_in", target)))
        _known(
            (cause.correction,), tables["corrections"], complain, ("causes", key, ("correction",))
        )
        others = ("causes", key, ("not_separable_from",))
        _known(cause.not_separable_from, tables["causes"], complain, others)
    for key, spec in tables["specs"].items():
        for number, kind in enumerate(spec.where):
            _needs(kind.needs, tables, complain, ("specs", key), ("where", number))
        if spec.by is not None:
            _known((spec.by,), tables["traits"], complain, ("specs", key, ("by",)))
            trait = tables["traits"].get(spec.by)
            if trait is not None and set(spec.default) != set(trait.options):
                options = ", ".join(trait.options)
                complain("specs", key, ("default",), f"give a default for each of {options}")
    for key, complaint in tables["complaints"].items():
        where = ("complaints", key, ("ask_first",))
        _known(complaint.ask_first, tables["observations"], complain, where)
    for key, observation in tables["observations"].items():
        if observation.target is not None:
            where = ("observations", key, ("target",))
            _known((observation.target,), tables["specs"], complain, where)
        if observation.enters is not None:
            where = ("observations", key, ("enters",))
            _known((observation.enters,), tables["specs"], complain, where)
            if key != f"manual-{observation.enters}":
                complain(*where, f"call the entry 'manual-{observation.enters}'")
        if observation.tells is not None:
            where = ("observations", key, ("tells",))
            _known((observation.tells,), tables["traits"], complain, where)
            if observation.tells in tables["traits"]:
                options = tables["traits"][observation.tells].options
                _known(tuple(observation.states), options, complain, where)
        for cause in observation.settles:
            _known((cause,), tables["causes"], complain, ("observations", key, ("settles", cause)))
        _asked(key, observation, tables, complain)
    for key, item in tables["before_ride"].items():
        for name, section in (("note", "observations"), ("correction", "corrections")):
            named = getattr(item, name)
            if named is not None:
                _known((named,), tables[section], complain, ("before_ride", key, (name,)))
    facts = fact_states(tables)
    for key, rule in tables["rules"].items():
        _check_rule(key, rule, tables, facts, complain)
    for key, finding in tables["findings"].items():
        _check_finding(key, finding, tables, complain)
    for key, heard in tables["heard"].items():
        _check_heard(key, heard, tables, complain)
    for key, words in tables["vocabulary"].items():
        if words.of is not None:
            _known((words.of,), tables["vocabulary"], complain, ("vocabulary", key, ("of",)))
        if words.role == "set-aside":
            for number, phrase in enumerate(words.words):
                _check_slots(phrase, tables, complain, ("vocabulary", key, ("words", number)))
    _check_cycles(tables["rules"], complain)


def _asked(key: str, observation: Observation, tables: Tables, complain: Complain) -> None:
    """What an observation says of others, that decide whether it is asked or settles."""
    others = tables["observations"]
    if observation.instead_of is not None:
        _known((observation.instead_of,), others, complain, ("observations", key, ("instead_of",)))
    _known(observation.brings, others, complain, ("observations", key, ("brings",)))
    for number, name in enumerate(observation.brings):
        if name in others and "yes" not in others[name].states:
            message = f"{name} has no state 'yes'"
            complain("observations", key, ("brings", number), message)
    tells = observation.clock.tells if observation.clock else ()
    told_by: list[tuple[tuple[str | int, ...], str]] = [
        *((("clock", "tells", number), name) for number, name in enumerate(tells)),
        *((("change_tells", number), name) for number, name in enumerate(observation.change_tells)),
    ]
    for path, name in told_by:
        told = ("observations", key, path)
        _known((name,), others, complain, told)
        if name in others and "yes" not in others[name].states:
            complain(*told, f"{name} has no state 'yes'")
    for field, name, states in (
        *(("only_if", *item) for item in observation.only_if.items()),
        *(("unsettled_by", *item) for item in observation.unsettled_by.items()),
    ):
        where = ("observations", key, (field, name))
        _known((name,), others, complain, where)
        if name in others:
            _known(states, others[name].states, complain, where)
    for node, states in observation.again_after.items():
        where = ("observations", key, ("again_after", node))
        nodes = [n for k, c in tables["complaints"].items() for n in complaint_nodes(k, c)]
        _known((node,), dict.fromkeys(nodes), complain, where)
        _known(states, observation.states, complain, where)


def _shared_fields(tables: Tables, complain: Complain) -> None:
    """The fields that entries of several sections have."""
    for section, entries in tables.items():
        for key, entry in entries.items():
            if section != "sources":
                _known(entry.source, tables["sources"], complain, (section, key, ("source",)))
            if section in {"before_ride", "causes", "observations"}:
                _needs(entry.needs, tables, complain, (section, key))
            if section in {"before_ride", "corrections", "observations"}:
                where = (section, key, ("cautions",))
                _known(entry.cautions, tables["cautions"], complain, where)
            if section == "corrections":
                looks = tables["observations"]
                _known(entry.makes, looks, complain, (section, key, ("makes",)))
                _known(entry.look_after, looks, complain, (section, key, ("look_after",)))
            if section in {"corrections", "observations"}:
                where = (section, key, ("no_need_of",))
                _known(tuple(entry.no_need_of), tables["cautions"], complain, where)
                named = () if entry.picture is None else (entry.picture,)
                _known(named, tables["pictures"], complain, (section, key, ("picture",)))


def _check_finding(key: str, finding: Finding, tables: Tables, complain: Complain) -> None:
    where = ("findings", key, ("shown_by_source",))
    _known(finding.shown_by_source, tables["sources"], complain, where)
    _known(tuple(finding.shown_by), tables["causes"], complain, ("findings", key, ("shown_by",)))
    if finding.computed is None:
        return
    for role, name in finding.computed.inputs.items():
        observation = tables["observations"].get(name)
        if observation is None or observation.kind != "measurement":
            path = ("computed", "inputs", role)
            complain("findings", key, path, f"{name!r} is not a measurement")


def _check_heard(key: str, heard: Heard, tables: Tables, complain: Complain) -> None:
    name = heard.of or key
    path: Path = () if heard.of is None else ("of",)
    kinds = [s for s in ("complaints", "observations", "traits") if name in tables[s]]
    if len(kinds) != 1:
        known = [*tables["complaints"], *tables["observations"], *tables["traits"]]
        what = f"{name!r} is no complaint, observation or trait{suggest(name, known)}"
        complain("heard", key, path, what if not kinds else f"{name!r} is {' and '.join(kinds)}")
        return
    entry, own = tables[kinds[0]][name], bool(heard.said or heard.with_end or heard.hint)
    if own != (kinds[0] == "complaints"):
        fields = "`said`, `with_end` and `hint`" if own else "`states`, `denied` and `about`"
        complain("heard", key, (), f"{fields} do not fit {kinds[0]}")
        return
    for number, complaint in enumerate(heard.beside):
        if complaint not in tables["complaints"]:
            what = f"{complaint!r} is no complaint{suggest(complaint, [*tables['complaints']])}"
            complain("heard", key, ("beside", number), what)
    if not own:
        states = entry.options if kinds[0] == "traits" else entry.states
        for state in (*heard.states, *((heard.denied,) if heard.denied else ())):
            if state not in states:
                given: Path = ("states", state) if state in heard.states else ("denied",)
                complain("heard", key, given, f"{state!r} is not one of {', '.join(states)}")
        if heard.about is not None:
            _check_about(key, heard.about, entry, complain)
    for at, phrase in heard.phrases():
        _check_slots(phrase, tables, complain, ("heard", key, at))


def _check_about(key: str, about: About, entry: Any, complain: Complain) -> None:
    unit = getattr(entry, "unit", None)
    if unit is None:
        complain("heard", key, ("about",), "only a measurement has readings")
        return
    for number, limit in enumerate(about.likely or ()):
        try:
            parse_quantity(limit, unit)
        except BadQuantity as error:
            complain("heard", key, ("about", "likely", number), str(error))


def _check_slots(
    phrase: str, tables: Tables, complain: Complain, where: tuple[str, str, Path]
) -> None:
    vocabulary = tables["vocabulary"]
    for slot in slots(phrase):
        if slot not in vocabulary or vocabulary[slot].role not in _LISTED:
            lists = [name for name, words in vocabulary.items() if words.role in _LISTED]
            message = f"{slot.upper()} is no list of words{suggest(slot, lists)}"
            complain(*where, message)


def _known(
    ids: tuple[str, ...],
    table: Mapping[str, Any],
    complain: Complain,
    where: tuple[str, str, Path],
) -> None:
    section, key, path = where
    for item in ids:
        if item not in table:
            complain(section, key, path, f"{item!r} is not defined{suggest(item, list(table))}")


def _needs(
    needs: Needs, tables: Tables, complain: Complain, where: tuple[str, str], path: Path = ()
) -> None:
    for trait_id, options in needs.items():
        trait = tables["traits"].get(trait_id)
        if trait is None:
            hint = suggest(trait_id, list(tables["traits"]))
            complain(*where, (*path, "needs", trait_id), f"{trait_id!r} is not a trait{hint}")
            continue
        for option in options:
            if option not in trait.options:
                message = f"{option!r} is not one of {', '.join(trait.options)}"
                complain(*where, (*path, "needs", trait_id), message)


def fact_states(tables: Tables) -> dict[str, tuple[str, ...]]:
    """Every fact a rule may test, with the states it can have."""
    facts: dict[str, tuple[str, ...]] = {}
    for key, trait in tables["traits"].items():
        facts[key] = tuple(trait.options)
    for key, complaint in tables["complaints"].items():
        for node_id in complaint_nodes(key, complaint):
            facts[node_id] = ("no", "yes")
    for section in ("observations", "findings"):
        for key, entry in tables[section].items():
            facts[key] = tuple(entry.states)
    return facts


def _check_rule(key: str, rule: Rule, tables: Tables, facts: Facts, complain: Complain) -> None:
    looked_at = sum(1 for _ in leaves(rule.when))
    if looked_at > MOST_LEAVES:
        message = f"this looks at {looked_at} things, at most {MOST_LEAVES}; split the rule"
        complain("rules", key, ("when",), message)
        return
    ways = count_alternatives(rule.when)
    if ways > MOST_ALTERNATIVES:
        message = (
            f"this comes down to {ways} alternatives, at most {MOST_ALTERNATIVES}; split the rule"
        )
        complain("rules", key, ("when",), message)
        return
    for leaf, path in leaves(rule.when):
        if leaf.fact is not None:
            if leaf.fact not in facts:
                hint = suggest(leaf.fact, list(facts))
                complain("rules", key, (*path, "fact"), f"{leaf.fact!r} is not a fact{hint}")
                continue
            for state in leaf.is_:
                if state not in facts[leaf.fact]:
                    message = f"{state!r} is not one of {', '.join(facts[leaf.fact])}"
                    complain("rules", key, (*path, "is"), message)
        else:
            _check_reading(key, leaf, path, tables, complain)
    then = rule.then
    if then.finding is not None:
        ((finding, state),) = then.finding.items()
        entry = tables["findings"].get(finding)
        if entry is None:
            hint = suggest(finding, list(tables["findings"]))
            complain("rules", key, ("then", "finding"), f"{finding!r} is not a finding{hint}")
        elif state not in entry.states:
            message = f"{state!r} is not one of {', '.join(entry.states)}"
            complain("rules", key, ("then", "finding", finding), message)
    if then.caution is not None:
        where = ("rules", key, ("then", "caution"))
        _known((then.caution,), tables["cautions"], complain, where)
    _known(then.check, tables["observations"], complain, ("rules", key, ("then", "check")))
    _known(then.until, tables["corrections"], complain, ("rules", key, ("then", "until")))


def _check_reading(
    key: str, leaf: Condition, path: Path, tables: Tables, complain: Complain
) -> None:
    named = {"reading": leaf.reading, "exceeds": leaf.exceeds, "differs_from": leaf.differs_from}
    units = {}
    for name, item in named.items():
        if item is None:
            continue
        observation = tables["observations"].get(item)
        if observation is None or observation.kind != "measurement":
            complain("rules", key, (*path, name), f"{item!r} is not a measurement")
            return
        units[name] = observation.unit
    unit = units["reading"]
    if len(set(units.values())) > 1:
        complain("rules", key, path, "both measurements must have the same `unit`")
        return
    try:
        for name in ("above", "below", "at_least", "at_most"):
            limit = getattr(leaf, name)
            if limit is not None:
                threshold = parse_threshold(limit, unit)
                if (
                    threshold.uses_target
                    and tables["observations"][str(leaf.reading)].target is None
                ):
                    message = f"{leaf.reading!r} has no target"
                    complain("rules", key, (*path, name), message)
        if leaf.by is not None:
            name = "by"
            parse_quantity(leaf.by, unit)
    except BadQuantity as error:
        complain("rules", key, (*path, name), str(error))


def _check_cycles(rules: Mapping[str, Rule], complain: Complain) -> None:
    try:
        rule_layers(rules)
    except CycleError as error:
        circle = list(dict.fromkeys(error.args[1]))
        complain("rules", circle[0], ("when",), f"these rules go in a circle: {', '.join(circle)}")


def check_use(tables: Tables, complain: Complain) -> None:
    """Complain of entries that nothing can ever use, which are mistakes. Every reference must have
    been found right: what is named wrongly is used by nothing."""
    for section, key, message in unused(tables):
        complain(section, key, (), message)
    concluded = _concluded(tables)
    for key, finding in tables["findings"].items():
        if finding.computed is not None and key in concluded:
            complain("findings", key, ("computed",), "a rule concludes it as well; one is enough")


def unused(tables: Tables) -> Iterator[tuple[str, str, str]]:
    """(section, id, what is missing) of each entry that nothing can ever use."""
    linked = {target for cause in tables["causes"].values() for target in cause.shows}
    linked |= {key for key, finding in tables["findings"].items() if finding.shown_by}
    tested: set[str] = set()
    for rule in tables["rules"].values():
        for leaf, _ in leaves(rule.when):
            tested.update(leaf.names)
    for section in ("observations", "findings"):
        for key in tables[section]:
            entry = tables[section][key]
            is_for_the_bike = section == "observations" and (
                entry.enters or entry.tells or entry.clock
            )
            if key not in linked and key not in tested and not is_for_the_bike:
                yield section, key, "no cause shows it and no rule tests it"
    concluded = _concluded(tables)
    for key, finding in tables["findings"].items():
        if key not in concluded and finding.computed is None:
            yield "findings", key, "no rule concludes it"
    used = {cause.correction for cause in tables["causes"].values()}
    for key in tables["corrections"]:
        if key not in used:
            yield "corrections", key, "no cause is put right by it"


def _concluded(tables: Tables) -> set[str]:
    return {finding for rule in tables["rules"].values() for finding in rule.then.finding or {}}
