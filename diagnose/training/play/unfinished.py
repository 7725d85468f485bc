"""Cases that were left before their end, kept as files so that they can go on."""

from __future__ import annotations

import json
from pathlib import Path

from diagnose.advice.assessor import Assessor
from diagnose.training.customers.guide import Guide
from diagnose.training.customers.scenario import Scenario
from diagnose.training.play.encounter import Encounter
from rules.problems import BadInput

FORMAT = 1


class Unfinished:
    """A folder of cases that go on. Every step is on disk before the next is asked for."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def keep(self, encounter: Encounter) -> None:
        """Write the steps so far; a finished case is forgotten. Raises `OSError`."""
        path = self._path(encounter.assessor, encounter.scenario)
        if encounter.finished or not encounter.steps:
            path.unlink(missing_ok=True)
            return
        body = {"format": FORMAT, "id": encounter.scenario.id, "log": encounter.log()}
        path.parent.mkdir(parents=True, exist_ok=True)
        draft = path.with_suffix(".new")
        draft.write_text(json.dumps(body, ensure_ascii=False, indent=1), encoding="utf-8")
        draft.replace(path)

    def go_on(
        self, assessor: Assessor, guide: Guide, scenario: Scenario, hints_allowed: bool = True
    ) -> Encounter:
        """The encounter as it was left, or a new one where none was.

        Raises `BadInput` naming the file where it cannot be gone on with.
        """
        path = self._path(assessor, scenario)
        if not path.exists():
            return Encounter(assessor, guide, scenario, hints_allowed)
        try:
            body = json.loads(path.read_text(encoding="utf-8"))
            if body["format"] != FORMAT or body["id"] != scenario.id:
                raise BadInput("it was written by another version")
            return Encounter.replay(assessor, guide, scenario, body["log"], hints_allowed)
        except (OSError, ValueError, KeyError, TypeError) as error:
            raise BadInput(
                f"{path}: this case cannot go on ({error}); delete it to begin anew"
            ) from error

    def _path(self, assessor: Assessor, scenario: Scenario) -> Path:
        name = scenario.id.replace(":", "_")
        return self._folder / f"{assessor.rules.info.id}_{name}.json"
