"""The one door to durable-rules: its traps become ordinary results and load-time errors.

What it guards against, all seen with version 2.0.28:

- an unmatched or repeated fact raises;
- an error inside an action is swallowed and stays in the session's state;
- 512 rules hang the process at the first fact, and 256 rules on one condition crash it, so larger
  sets are split into several rulesets, and a fact is told to those that look at it;
- a session's memory stays until it is deleted;
- dropping a session in which no rule ever fired frees memory that was never set, so every session
  fires one rule of its own first;
- the host's two timer threads walk over dropped sessions, so they are never started;
- a join whose last comparison fails reads beyond its end, so the last is always a repeat of one
  that has passed;
- the library keeps the dictionaries it is given and changes them.
"""

from __future__ import annotations

import copy
import enum
import itertools
import json
import threading
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
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


class EngineError(BadInput):
    """The engine refused a ruleset or failed while running one.

    `rule` names the offending rule where one is to blame.
    """

    def __init__(self, message: str, rule: str = "") -> None:
        self.rule = rule
        super().__init__(message)


class Outcome(enum.Enum):
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


class _Host(Host):  # type: ignore[misc]  # durable-rules has no types
    """A host without the timer threads: nothing here uses timers, and they read freed memory."""

    def _run(self) -> None:
        return


_host: _Host | None = None
_lock = threading.Lock()
_numbers = itertools.count(1)


def _shared_host() -> Any:
    """One host for the process, made when first needed."""
    global _host  # noqa: PLW0603  # the one piece of process-wide state
    if _host is None:
        _host = _Host()
    return _host


def _guarded(pattern: Pattern) -> dict[str, Any]:
    """A copy of `pattern` in which no comparison with another fact comes last.

    When the last expression of an `$and` fails, durable-rules skips the end mark and reads on; a
    repeat of an earlier one can only be reached when that one has passed.
    """
    parts = copy.deepcopy(pattern.get("$and", [pattern]))
    joined = [part for part in parts if _looks_elsewhere(part)]
    return {"$and": [*parts, *copy.deepcopy(joined[:1])]} if joined else {"$and": parts}


def _looks_elsewhere(part: Mapping[str, Any]) -> bool:
    """Whether a comparison refers to another fact of the join, as `{"of": {"band": "of"}}` does."""
    ((key, value),) = part.items()
    if key.startswith("$") and isinstance(value, Mapping):
        return any(isinstance(right, Mapping) for right in value.values())
    return isinstance(value, Mapping)


Rules = Mapping[str, Sequence[tuple[str, Pattern]]]
_Subject = tuple[Any, Any]


class RuleSet:
    """Compiled rules: name -> the patterns that must all match, each a durable-rules expression.

    A pattern keyed `name$not` must not match. No rule sees what another concludes: that is told by
    whoever runs the session. Raises `EngineError` for rules beyond the limits.
    """

    def __init__(self, rules: Rules) -> None:
        self._sessions: dict[str, list[tuple[str, tuple[str, ...]]]] = {}
        self.parts = tuple(self._register(part) for part in _parts(rules))

    def _register(self, rules: Rules) -> _Part:
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
        name = f"badride-{next(_numbers)}"
        with _lock:
            try:
                _shared_host().set_rulesets({name: definition})
            except Exception as error:
                raise EngineError(f"durable-rules refused the rules: {error}") from error
        subjects = {_subject(pattern) for patterns in rules.values() for _, pattern in patterns}
        return _Part(name, frozenset(subjects))

    def _action(self, rule: str, names: Sequence[str]) -> Any:
        sessions = self._sessions

        def note(context: Any) -> None:
            # Only appends: whatever an action raises, durable-rules swallows.
            matched = tuple(getattr(context, name).id for name in names)
            sessions[context.s.sid].append((rule, matched))

        return note

    def session(self) -> Session:
        """A fresh working memory. Use it as a context manager."""
        return Session(self, self._sessions)


@dataclass(frozen=True, slots=True)
class _Part:
    """As many rules as durable-rules can hold in one ruleset, and what their patterns look at."""

    name: str
    subjects: frozenset[_Subject]

    def looks_at(self, fact: Fact) -> bool:
        kind, of = fact.get("kind"), fact.get("of")
        return not self.subjects.isdisjoint({(kind, of), (kind, None), (None, of), (None, None)})


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


class Session:
    """One case's facts in the engine, gone when closed."""

    def __init__(
        self, rules: RuleSet, sessions: dict[str, list[tuple[str, tuple[str, ...]]]]
    ) -> None:
        self._rules = rules
        self._sessions = sessions
        self._sid = f"case-{next(_numbers)}"
        self._facts: dict[str, Fact] = {}
        self._opened: set[str] = set()
        sessions[self._sid] = []

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def tell(self, fact: Fact) -> Outcome:
        """Assert a fact. Raises `EngineError` when the engine fails."""
        if len(self._facts) >= MAX_FACTS:
            raise EngineError(f"over {MAX_FACTS} facts in one case")
        number = f"f{len(self._facts) + 1}"
        self._facts[number] = fact
        told = {
            self._assert(part.name, {**fact, "id": number})
            for part in self._rules.parts
            if part.looks_at(fact)
        }
        return next(
            (o for o in (Outcome.TAKEN, Outcome.DUPLICATE) if o in told), Outcome.NOT_MATCHED
        )

    def _assert(self, part: str, fact: Fact) -> Outcome:
        if part not in self._opened:
            self._opened.add(part)
            self._assert(part, {"kind": _OPENING, "id": "f0"})
        with _lock:
            try:
                state = _shared_host().assert_fact(part, {**fact, "sid": self._sid})
            except MessageNotHandledException:
                return Outcome.NOT_MATCHED
            except MessageObservedException:
                return Outcome.DUPLICATE
            except Exception as error:
                raise EngineError(f"durable-rules failed on {dict(fact)}: {error}") from error
        if state is not None and "exception" in state:
            raise EngineError(f"a rule action failed: {state['exception']}")
        return Outcome.TAKEN

    def take_fired(self) -> list[Fired]:
        """The rules that fired since last asked, oldest first."""
        fired = self._sessions[self._sid]
        self._sessions[self._sid] = []
        return [Fired(rule, tuple(self._facts[n] for n in numbers)) for rule, numbers in fired]

    def close(self) -> None:
        """Forget the case; closing twice does nothing."""
        if self._sessions.pop(self._sid, None) is None:
            return
        for part in self._opened:
            with _lock:
                try:
                    _shared_host().delete_state(part, self._sid)
                except Exception as error:
                    raise EngineError(f"durable-rules could not drop a case: {error}") from error
