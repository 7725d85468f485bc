"""What is left of an entry's plain data when other entries are switched off.

A fact that is switched off is never known: a condition on it never holds, and `not` on it always
does. The data must have passed its section's model.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from enum import Enum
from typing import Any

from rules.loading.pack_draft import Name

_FACTS = ("complaints", "observations", "findings")


class Left(Enum):
    """What a condition becomes when nothing of it is left to test."""

    NEVER = "never"
    ALWAYS = "always"


NEVER, ALWAYS = Left.NEVER, Left.ALWAYS


def pruned(name: Name, body: Any, gone: Collection[Name]) -> tuple[Any, Name | None]:
    """(`body` of the entry `name` without the names in `gone`, one of those names that it had or
    None).

    `NEVER` in place of the body means that the entry has lost its use, `ALWAYS` that its rule would
    always hold.
    """
    section, key = name
    if section == "heard":
        because = _fact(body.get("of") or key, gone)
        return (body, None) if because is None else (NEVER, because)
    prune = _PRUNERS.get(section)
    return prune(body, gone) if prune is not None else (body, None)


def _fact(text: str, gone: Collection[Name]) -> Name | None:
    """The (section, id) in `gone` of a fact such as `harsh/front`, or None."""
    word = text.partition("/")[0]
    return next(((section, word) for section in _FACTS if (section, word) in gone), None)


def _cause(body: Mapping[str, Any], gone: Collection[Name]) -> tuple[Any, Name | None]:
    named = [_fact(key, gone) for key in body["shows"]]
    because = next((name for name in named if name), None)
    shows = {key: word for key, word in body["shows"].items() if _fact(key, gone) is None}
    if not shows:
        return NEVER, because
    left = {**body, "shows": shows}
    if "shown_in" in body:
        left["shown_in"] = {k: v for k, v in body["shown_in"].items() if k in shows}
    others = body.get("not_separable_from", ())
    others = [others] if isinstance(others, str) else others
    apart = [cause for cause in others if ("causes", cause) in gone]
    if apart:
        because = because or ("causes", apart[0])
        left["not_separable_from"] = [cause for cause in others if cause not in apart]
    return left, because


def _observation(body: Mapping[str, Any], gone: Collection[Name]) -> tuple[Any, Name | None]:
    left, because = dict(body), None
    for field, section in (
        ("settles", "causes"),
        ("unsettled_by", "observations"),
        ("only_if", "observations"),
    ):
        named = body.get(field) or {}
        apart = [name for name in named if (section, name) in gone]
        if apart:
            because = because or (section, apart[0])
            left[field] = {name: states for name, states in named.items() if name not in apart}
    if not left.get("settles"):
        left.pop("unsettled_by", None)
    better = ("observations", str(body.get("instead_of")))
    if better in gone:
        because = because or better
        del left["instead_of"]
    return left, because


def _finding(body: Mapping[str, Any], gone: Collection[Name]) -> tuple[Any, Name | None]:
    for observation in ((body.get("computed") or {}).get("inputs") or {}).values():
        if ("observations", observation) in gone:
            return NEVER, ("observations", observation)
    shown_by = body.get("shown_by") or {}
    apart = [cause for cause in shown_by if ("causes", cause) in gone]
    if not apart:
        return body, None
    left = {**body, "shown_by": {c: word for c, word in shown_by.items() if c not in apart}}
    if not left["shown_by"]:
        del left["shown_by"], left["shown_by_source"]
    return left, ("causes", apart[0])


def _rule(body: Mapping[str, Any], gone: Collection[Name]) -> tuple[Any, Name | None]:
    for finding in body["then"].get("finding") or {}:
        if ("findings", finding) in gone:
            return NEVER, ("findings", finding)
    when, because = _condition(body["when"], gone)
    if when is NEVER or when is ALWAYS:
        return when, because
    then = dict(body["then"])
    check = then.get("check", ())
    check = [check] if isinstance(check, str) else check
    for name in check:
        if ("observations", name) in gone:
            because = because or ("observations", name)
    until = then.get("until", ())
    until = [until] if isinstance(until, str) else until
    for name in until:
        if ("corrections", name) in gone:
            because = because or ("corrections", name)
    if because is None:
        return body, None
    if until:
        then["until"] = [name for name in until if ("corrections", name) not in gone]
        if not then["until"]:
            del then["until"]
    if check:
        then["check"] = [name for name in check if ("observations", name) not in gone]
        if not then["check"]:
            return NEVER, because
    return {**body, "when": when, "then": then}, because


def _condition(body: Mapping[str, Any], gone: Collection[Name]) -> tuple[Any, Name | None]:
    if body.get("not") is not None:
        inner, because = _condition(body["not"], gone)
        if inner is NEVER:
            return ALWAYS, because
        return (NEVER if inner is ALWAYS else {"not": inner}), because
    for word, settles, vanishes in (("all", NEVER, ALWAYS), ("any", ALWAYS, NEVER)):
        if body.get(word) is None:
            continue
        parts = [_condition(part, gone) for part in body[word]]
        because = next((name for _, name in parts if name), None)
        left = [part for part, _ in parts]
        if settles in left:
            return settles, because
        left = [part for part in left if part is not vanishes]
        return ({word: left} if left else vanishes), because
    for word in ("fact", "reading", "exceeds", "differs_from"):
        because = _fact(body[word], gone) if body.get(word) is not None else None
        if because is not None:
            return NEVER, because
    return body, None


def _correction(body: Mapping[str, Any], gone: Collection[Name]) -> tuple[Any, Name | None]:
    left, because = dict(body), None
    for field in ("makes", "look_after"):
        named = body.get(field, ())
        named = [named] if isinstance(named, str) else named
        apart = [name for name in named if ("observations", name) in gone]
        if apart:
            because = because or ("observations", apart[0])
            left[field] = [name for name in named if name not in apart]
    return left, because


def _before_ride(body: Mapping[str, Any], gone: Collection[Name]) -> tuple[Any, Name | None]:
    left, because = dict(body), None
    for field, section in (("correction", "corrections"), ("note", "observations")):
        name = (section, str(body.get(field)))
        if name in gone:
            because = name
            del left[field]
            if field == "note" and body["every"] != "ride":
                return NEVER, because
    return left, because


_PRUNERS: dict[str, Callable[[Mapping[str, Any], Collection[Name]], tuple[Any, Name | None]]] = {
    "causes": _cause,
    "corrections": _correction,
    "observations": _observation,
    "findings": _finding,
    "rules": _rule,
    "before_ride": _before_ride,
}
