from __future__ import annotations

import pytest

from diagnose.listening.listen import Listener
from rules.rulebase import RuleBase


@pytest.fixture(scope="session")
def listener(offroad: RuleBase) -> Listener:
    return Listener(offroad)
