"""The only module that uses durable-rules; its pitfalls become ordinary results or errors.

What it guards against, all seen with version 2.0.28:

- an unmatched or repeated fact raises;
- an error inside an action is swallowed and stays in the session's state;
- 512 rules hang the process at the first fact, and 256 rules on one condition crash it, so larger
  sets are split into several rulesets, and a fact is told to those that look at it;
- a registered ruleset stays in memory for good, so rules of equal content are registered once;
- a session's memory stays until it is deleted;
- dropping a session in which no rule ever fired frees memory that was never set, so every session
  fires one rule of its own first;
- the host's two timer threads walk over dropped sessions, so they are never started;
- a join whose last comparison fails reads beyond its end, so the last is always a repeat of one
  that has passed;
- a number written with an exponent, such as 1e-05, is refused, so numbers are told at a scale at
  which Python writes those from 1e-9 to 1e9 without one;
- the library keeps the dictionaries it is given and changes them.
"""

from __future__ import annotations

import copy
import enum
import hashlib
import itertools
import json
import threading
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import TracebackType
from typing import Any, Self

from durable.engine import (
    Host,
    MessageNotHandledException,
    MessageObservedException,
)

from rules.problems import BadInput

MAX_RULES = 400
MAX_SAME_CONDITION = 200
MAX_JOIN = 6
MAX_FACTS = 1000

Fact = Mapping[str, str | float]
Pattern = Mapping[str, Any]
"""What a fact must be like, as a durable-rules expression."""
Rules = Mapping[str, Sequence[tuple[str, Pattern]]]
"""By rule, the patterns that must all match, each with its own name. Where the name ends in `$not`,
no fact may match."""


class EngineError(BadInput):
    """The engine refused a ruleset or failed while running one.

    `rule` names the rule that caused it, if one did.
    """

    def __init__(self, message: str, rule: str = "") -> None:
        self.rule = rule
        super().__init__(message)


class FactOutcome(enum.Enum):
    """What became of an asserted fact."""

    TAKEN = "taken"
    NOT_MATCHED = "no rule looks at it"
    DUPLICATE = "already known"


@dataclass(frozen=True, slots=True)
class Fired:
    """A rule that fired, with the facts that matched its patterns in order."""

    rule: str
    facts: tuple[Fact, ...]


_OPENING = "opening"
_SCALE = 2.0**20  # a power of two, so that scaling changes no comparison
_Subject = tuple[Any, Any]
_Matched = tuple[str, tuple[str, ...]]  # a rule, and the ids of the facts that it fired for


class _Host(Host):  # type: ignore[misc]  # durable-rules has no types
    """A host without the timer threads: nothing here uses timers, and they read freed memory."""

    def _run(self) -> None:
        return


@dataclass(frozen=True, slots=True)
class RulePart:
    """As many rules as fit in one ruleset, registered with durable-rules under `name`."""

    name: str
    subjects: frozenset[_Subject]

    def looks_at(self, fact: Fact) -> bool:
        """Whether a pattern of these rules may match the fact."""
        kind, of = fact.get("kind"), fact.get("of")
        return not self.subjects.isdisjoint({(kind, of), (kind, None), (None, of), (None, None)})


class _Library:
    """durable-rules as this process has it: what is registered, and what fires in open sessions."""

    def __init__(self) -> None:
        self._host: Any = _Host()
        self._lock = threading.Lock()
        self._parts: dict[str, RulePart] = {}
        self._fired: dict[str, list[_Matched]] = {}
        self._numbers = itertools.count(1)

    def part(self, rules: Rules) -> RulePart:
        """The rules as a registered ruleset, an existing one if its content is the same.

        Raises `EngineError` for rules that durable-rules refuses.
        """
        digest = hashlib.sha256(json.dumps(list(rules.items())).encode()).hexdigest()
        with self._lock:
            if digest not in self._parts:
                self._parts[digest] = self._register(f"badride-{digest}", rules)
            return self._parts[digest]

    def _register(self, name: str, rules: Rules) -> RulePart:
        definition = {
            f"r{number}": {
                "all": [{name: _guarded(pattern)} for name, pattern in patterns],
                "run": self._action(rule, [name for name, _ in patterns if "$" not in name]),
            }
            for number, (rule, patterns) in enumerate(rules.items())
        }
        definition["opening"] = {
            "all": [{"first": {"kind": _OPENING}}],
            "run": lambda context: None,
        }
        try:
            self._host.set_rulesets({name: definition})
        except Exception as error:
            raise EngineError(f"durable-rules refused the rules: {error}") from error
        subjects = {_subject(pattern) for patterns in rules.values() for _, pattern in patterns}
        return RulePart(name, frozenset(subjects))

    def _action(self, rule: str, names: Sequence[str]) -> Any:
        def note(context: Any) -> None:
            # Only appends: whatever an action raises, durable-rules swallows.
            matched = tuple(getattr(context, name).id for name in names)
            self._fired[context.s.sid].append((rule, matched))

        return note

    def open_session(self) -> str:
        """The id of a new session."""
        session = f"case-{next(self._numbers)}"
        self._fired[session] = []
        return session

    def tell(self, part: RulePart, session: str, fact: Fact) -> FactOutcome:
        """Assert a fact. Raises `EngineError` when durable-rules fails."""
        with self._lock:
            try:
                state = self._host.assert_fact(part.name, {**_scaled(fact), "sid": session})
            except MessageNotHandledException:
                return FactOutcome.NOT_MATCHED
            except MessageObservedException:
                return FactOutcome.DUPLICATE
            except Exception as error:
                raise EngineError(f"durable-rules failed on {dict(fact)}: {error}") from error
        if state is not None and "exception" in state:
            raise EngineError(f"a rule action failed: {state['exception']}")
        return FactOutcome.TAKEN

    def take_fired(self, session: str) -> list[_Matched]:
        """What fired in the session since last asked, oldest first."""
        fired = self._fired[session]
        self._fired[session] = []
        return fired

    def close_session(self, session: str, parts: Iterable[RulePart]) -> None:
        """Forget a session that told facts to `parts`; one that is closed already stays closed."""
        if self._fired.pop(session, None) is None:
            return
        for part in parts:
            with self._lock:
                try:
                    self._host.delete_state(part.name, session)
                except Exception as error:
                    raise EngineError(f"durable-rules could not drop a case: {error}") from error


_library = _Library()


class RuleSet:
    """Compiled rules, ready for sessions. Rules of equal content share `parts` in the process.

    No rule sees what another concludes: the code that runs the session must tell it. Raises
    `EngineError` for rules beyond the limits.
    """

    def __init__(self, rules: Rules) -> None:
        self.parts = tuple(_library.part(part) for part in _parts(rules))

    def session(self) -> Session:
        """A new session without facts. Use it as a context manager."""
        return Session(self)


class Session:
    """One case's facts in the engine, gone when closed."""

    def __init__(self, rules: RuleSet) -> None:
        self._parts = rules.parts
        self._id = _library.open_session()
        self._facts: dict[str, Fact] = {}
        self._opened: dict[str, RulePart] = {}

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def tell(self, fact: Fact) -> FactOutcome:
        """Assert a fact. Raises `EngineError` when the engine fails."""
        if len(self._facts) >= MAX_FACTS:
            raise EngineError(f"over {MAX_FACTS} facts in one case")
        number = f"f{len(self._facts) + 1}"
        self._facts[number] = fact
        told = {
            self._tell_part(part, {**fact, "id": number})
            for part in self._parts
            if part.looks_at(fact)
        }
        return next(
            (o for o in (FactOutcome.TAKEN, FactOutcome.DUPLICATE) if o in told),
            FactOutcome.NOT_MATCHED,
        )

    def _tell_part(self, part: RulePart, fact: Fact) -> FactOutcome:
        if part.name not in self._opened:
            self._opened[part.name] = part
            _library.tell(part, self._id, {"kind": _OPENING, "id": "f0"})
        return _library.tell(part, self._id, fact)

    def take_fired(self) -> list[Fired]:
        """The rules that fired since last asked, oldest first."""
        return [
            Fired(rule, tuple(self._facts[number] for number in numbers))
            for rule, numbers in _library.take_fired(self._id)
        ]

    def close(self) -> None:
        """Forget the case; closing twice does nothing."""
        _library.close_session(self._id, self._opened.values())


def _parts(rules: Rules) -> Iterator[Rules]:
    """The rules, in order, in as few parts as the limits allow."""
    if not rules:
        raise EngineError("a ruleset needs at least one rule")
    part: dict[str, Sequence[tuple[str, Pattern]]] = {}
    same: Counter[str] = Counter()
    for rule, patterns in rules.items():
        if len(patterns) > MAX_JOIN:
            raise EngineError(
                f"joins {len(patterns)} facts; at most {MAX_JOIN} may be joined", rule
            )
        conditions = {json.dumps(pattern, sort_keys=True) for _, pattern in patterns}
        full = len(part) >= MAX_RULES or any(same[c] >= MAX_SAME_CONDITION for c in conditions)
        if full:
            yield part
            part, same = {}, Counter()
        part[rule] = patterns
        same.update(conditions)
    yield part


def _subject(pattern: Pattern) -> _Subject:
    """The kind of fact and the name that a pattern asks for, None where it takes any."""
    asked = {key: value for part in pattern.get("$and", [pattern]) for key, value in part.items()}
    kind, of = asked.get("kind"), asked.get("of")
    return kind, of if isinstance(of, str) else None


def _guarded(pattern: Pattern) -> dict[str, Any]:
    """A copy of `pattern` in which no comparison with another fact comes last.

    When the last expression of an `$and` fails, durable-rules skips the end mark and reads on; a
    repeat of an earlier one can only be reached when that one has passed.
    """
    parts = _scaled(pattern.get("$and", [pattern]))
    joined = [part for part in parts if _looks_elsewhere(part)]
    return {"$and": [*parts, *copy.deepcopy(joined[:1])]}


def _scaled(content: Any) -> Any:
    """A copy of a fact or pattern in which every number is written without an exponent."""
    if isinstance(content, Mapping):
        return {key: _scaled(value) for key, value in content.items()}
    if isinstance(content, list):
        return [_scaled(value) for value in content]
    return content * _SCALE if isinstance(content, float) else content


def _looks_elsewhere(part: Mapping[str, Any]) -> bool:
    """Whether a comparison refers to another fact of the join, as `{"of": {"band": "of"}}` does."""
    ((key, value),) = part.items()
    if key.startswith("$") and isinstance(value, Mapping):
        return any(isinstance(right, Mapping) for right in value.values())
    return isinstance(value, Mapping)
