"""The one door to durable-rules: its traps become ordinary results and load-time errors.

What it guards against, all seen with version 2.0.28:

- an unmatched or repeated fact raises;
- an error inside an action is swallowed and stays in the session's state;
- 512 rules hang the process at the first fact, and 256 rules on one condition crash it;
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
from collections.abc import Mapping, Sequence
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


class RuleSet:
    """Compiled rules: name -> the patterns that must all match, each a durable-rules expression.

    A pattern keyed `name$not` must not match. Raises `EngineError` for a set beyond the limits.
    """

    def __init__(self, rules: Mapping[str, Sequence[tuple[str, Pattern]]]) -> None:
        self._check_limits(rules)
        self.name = f"badride-{next(_numbers)}"
        self._sessions: dict[str, list[tuple[str, tuple[str, ...]]]] = {}
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
        with _lock:
            try:
                _shared_host().set_rulesets({self.name: definition})
            except Exception as error:
                raise EngineError(f"durable-rules refused the rules: {error}") from error

    @staticmethod
    def _check_limits(rules: Mapping[str, Sequence[tuple[str, Pattern]]]) -> None:
        if not rules:
            raise EngineError("a ruleset needs at least one rule")
        if len(rules) > MAX_RULES:
            raise EngineError(f"{len(rules)} rules; at most {MAX_RULES} fit one ruleset")
        same = Counter(
            json.dumps(pattern, sort_keys=True)
            for patterns in rules.values()
            for pattern in {json.dumps(p, sort_keys=True): p for _, p in patterns}.values()
        )
        (shown, most) = same.most_common(1)[0]
        if most > MAX_SAME_CONDITION:
            raise EngineError(
                f"{most} rules share the condition {shown}; at most {MAX_SAME_CONDITION} may"
            )
        for rule, patterns in rules.items():
            if len(patterns) > MAX_JOIN:
                raise EngineError(
                    f"joins {len(patterns)} facts; at most {MAX_JOIN} may be joined", rule
                )

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


class Session:
    """One case's facts in the engine, gone when closed."""

    def __init__(
        self, rules: RuleSet, sessions: dict[str, list[tuple[str, tuple[str, ...]]]]
    ) -> None:
        self._rules = rules
        self._sessions = sessions
        self._sid = f"case-{next(_numbers)}"
        self._facts: dict[str, Fact] = {}
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
        if not self._facts:
            self._assert({"kind": _OPENING, "id": "f0"})
        number = f"f{len(self._facts) + 1}"
        self._facts[number] = fact
        return self._assert({**fact, "id": number})

    def _assert(self, fact: Fact) -> Outcome:
        with _lock:
            try:
                state = _shared_host().assert_fact(self._rules.name, {**fact, "sid": self._sid})
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
        if self._sessions.pop(self._sid, None) is None or not self._facts:
            return
        with _lock:
            try:
                _shared_host().delete_state(self._rules.name, self._sid)
            except Exception as error:
                raise EngineError(f"durable-rules could not drop a case: {error}") from error
