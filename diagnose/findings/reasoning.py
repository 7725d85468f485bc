"""One case worked through in the rule engine: its facts told as the compiled rules expect them, and
what fires told as what it stands for in the pack."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from diagnose.findings.bands import StateBand
from diagnose.findings.compiling import BANDS, GATE, HOLDS, LIMIT, READING, STATE, Compiled
from diagnose.findings.engine import Session
from rules.units.quantities import Quantity


class Reasoner(Protocol):
    """Takes the facts of one case and says what follows from them.

    `states`: state by trait, complaint, observation and finding, as told or read off bands.
    `hidden`: causes and observations that a bike with the traits told cannot have.
    `fired`: the pack's rules that hold, in the order in which they were found to.
    """

    states: dict[str, str]
    hidden: set[str]
    fired: dict[str, None]

    def tell_state(self, name: str, state: str) -> None:
        """A trait, complaint, observation or finding is in this state."""

    def tell_reading(
        self, name: str, value: float, bands: Sequence[StateBand], target: Quantity | None
    ) -> None:
        """A measurement read `value`, in its own unit, or a finding was computed to be that.

        Without a target no rule that holds it against one can hold.
        """

    def work(self) -> None:
        """Bring `states` and `hidden` up to date with what has been told."""

    def work_layer(self, number: int) -> None:
        """Bring `fired` up to date for the rules of this layer. Everything that they look at must
        have been told, so the layers come in order."""

    def close(self) -> None:
        """Forget the case; nothing may be told or asked after that."""


class EngineReasoner:
    """A `Reasoner` that works with durable-rules. Its methods raise `EngineError`."""

    def __init__(self, compiled: Compiled, session: Session) -> None:
        self.states: dict[str, str] = {}
        self.hidden: set[str] = set()
        self.fired: dict[str, None] = {}
        self._compiled = compiled
        self._session = session

    def tell_state(self, name: str, state: str) -> None:
        """Note the state of a fact and tell it to the engine."""
        self.states[name] = state
        self._session.tell({"kind": STATE, "of": name, "state": state})

    def tell_reading(
        self, name: str, value: float, bands: Sequence[StateBand], target: Quantity | None
    ) -> None:
        """Tell the engine a reading, with its bands and the limits that rules hold it against."""
        for side, state, low, high in bands:
            kind = BANDS[side]
            self._session.tell({"kind": kind, "of": name, "state": state, "low": low, "high": high})
        for limit in self._compiled.limits.get(name, ()) if target is not None else ():
            self._session.tell({"kind": LIMIT, "of": limit.name, "value": limit.value(target)})
        self._session.tell({"kind": READING, "of": name, "value": value})

    def work(self) -> None:
        """Take what fired as states, hidden entries and rules that hold, until nothing fires."""
        while fired := self._session.take_fired():
            for item in fired:
                if item.rule in BANDS.values():
                    band = item.facts[0]
                    self.tell_state(str(band["of"]), str(band["state"]))
                elif item.rule in self._compiled.helpers:
                    self._session.tell({"kind": HOLDS, "of": item.rule})
                elif item.rule in self._compiled.hidden_by:
                    self.hidden.update(self._compiled.hidden_by[item.rule])
                else:
                    self.fired[self._compiled.rule_of[item.rule]] = None

    def work_layer(self, number: int) -> None:
        """Open the gate for this layer's rules that have a `not`, and take what fires."""
        self._session.tell({"kind": GATE, "layer": float(number)})
        self.work()

    def close(self) -> None:
        """End the session of the engine."""
        self._session.close()
