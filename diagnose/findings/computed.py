"""Findings that are computed: which computations there are, and what each takes.

A pack names a computation by its key in `COMPUTATIONS`, never by where its code is. A computation
takes the readings of the measurements that a pack gives for its roles (any may be missing) and
returns a number, or None where it has nothing to say; the pack's bands say what the number means.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from diagnose.harshness.budget_evidence import tyre_less_damping
from rules.problems import FileProblems, Problem
from rules.rulebase import RuleBase
from rules.units.quantities import Quantity, unit_kind
from rules.yaml_source import suggest


@dataclass(frozen=True, slots=True)
class Reading:
    """What was read, and the target, where the pack has one for it."""

    value: Quantity
    target: Quantity | None


@dataclass(frozen=True, slots=True)
class Computation:
    """A computation that a pack may name.

    `roles`: what it takes: role to a unit of the right kind.
    `unit`: unit of its result.
    `compute`: the function itself.
    """

    roles: Mapping[str, str]
    unit: str
    compute: Callable[[Mapping[str, Reading]], float | None]


_FRONT = {
    "tyre": "psi",
    "compression": "clicks",
    "rebound": "clicks",
    "sag": "mm",
    "height-gained": "m",
    "clamps": "N·m",
    "oil": "mm",
}
_REAR = {
    "tyre": "psi",
    "low-speed-compression": "clicks",
    "high-speed-compression": "turns",
    "rebound": "clicks",
    "sag": "mm",
    "gap": "mm",
}

COMPUTATIONS: Mapping[str, Computation] = {
    f"{end}-harshness-tyre-less-damping": Computation(roles, "%", tyre_less_damping(end))
    for end, roles in (("front", _FRONT), ("rear", _REAR))
}
"""How much more of the end's extra harshness the tyre makes than damping, in percent points."""


def check_computed(rules: RuleBase) -> None:
    """Check what the pack's computed findings ask for. Raises `FileProblems`."""
    problems = []
    for key, finding in rules.findings.items():
        if finding.computed is None:
            continue
        origin = rules.origins[("findings", key)]
        problems += [
            Problem(origin.file, origin.line, 1, "computed", f"findings.{key}.computed", message)
            for message in _complaints(rules, key)
        ]
    if problems:
        raise FileProblems(problems)


def _complaints(rules: RuleBase, key: str) -> list[str]:
    asked = rules.findings[key].computed
    assert asked is not None
    known = COMPUTATIONS.get(asked.by)
    if known is None:
        hint = suggest(asked.by, list(COMPUTATIONS))
        return [f"{asked.by!r} is not computed here{hint}; there are {', '.join(COMPUTATIONS)}"]
    found = []
    if unit_kind(asked.unit) != unit_kind(known.unit):
        found.append(f"`unit` is {asked.unit!r}; {asked.by} gives {known.unit!r}")
    for role, name in asked.inputs.items():
        unit = rules.observations[name].unit
        assert unit is not None
        if role not in known.roles:
            hint = suggest(role, list(known.roles))
            found.append(
                f"{role!r} is not an input of it{hint}; there are {', '.join(known.roles)}"
            )
        elif unit_kind(unit) != unit_kind(known.roles[role]):
            wanted = unit_kind(known.roles[role])
            found.append(f"{name!r} is a {unit_kind(unit)}; {role!r} takes a {wanted}")
    return found
