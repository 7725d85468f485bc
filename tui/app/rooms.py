"""The rooms of the app, each with what it needs of the others."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.case.events import Case, read_answer
from rules.units.quantities import Quantity
from tui.bikes.bike_desk import BikeDesk
from tui.cases.kept_cases import KeptCases
from tui.interview.case_at_work import CaseAtWork
from tui.interview.case_desk import CaseDesk
from tui.services.shell import Shell

if TYPE_CHECKING:
    from tui.adding.adding_desk import AddingDesk
    from tui.harshness.value_sheet import Sheet
    from tui.training.school import School


class Rooms:
    """What the start screen opens. Harshness, training and adding are loaded when they are first
    opened, so that the program starts fast."""

    def __init__(
        self,
        shell: Shell,
        *,
        packs: Sequence[Path],
        examples: Path | None,
        keep_pack: Callable[[Path], None],
    ) -> None:
        """`packs` are the folders that the rule base was loaded from, none for the one that
        ships; `keep_pack` keeps for the next time that one is used."""
        self._shell, self._packs = shell, packs
        self.cases = CaseDesk(
            shell,
            card=lambda looking: self.kept.card_screen(looking=looking),
            close=lambda: self.kept.close(),  # noqa: PLW0108  # `kept` is made below
            set_bike=lambda: self.bikes.set_bike_of_case(self.cases.current),
            harshness=partial(self.open_harshness, of_case=True),
        )
        self.kept = KeptCases(shell, self.cases, examples, self.new_case)
        self.bikes = BikeDesk(shell, self.cases, look_at_case=self.kept.look_at)
        self._keep_pack = keep_pack
        self._school: School | None = None
        self._adding: AddingDesk | None = None
        self._tried: tuple[Sheet, Sheet] | None = None

    def new_case(self) -> None:
        """Begin a case on the bike picked."""
        self.cases.begin(self.bikes.picked)

    def next_person(self) -> None:
        """Who asks from here on: the next kind of person that the rule base knows."""
        shop = self._shell.shop
        people = list(shop.rules.policy.people) if shop.is_open else []
        if people:
            now = people.index(shop.person) if shop.person else 0
            self._shell.start(self._ask_as(people[(now + 1) % len(people)]))
        else:
            self._shell.say("This rule base does not tell people apart.")

    async def _ask_as(self, person: str) -> None:
        await self._shell.work(lambda: self._shell.shop.ask_as(person))
        self._shell.refresh_top()

    # -- harshness -------------------------------------------------------------------------------

    def open_harshness(self, *, of_case: bool = False) -> None:
        """Tyre or damping: the values under the arrow keys, from the case or from the bike."""
        if of_case and self.cases.at_work is not None:
            self._shell.start(self._open_harshness_of(self.cases.at_work))
        else:
            bike = self.bikes.picked
            noted = tuple(setting.answer for setting in bike.now.values())
            case = Case(bike.machine.machine, bike.machine.targets, noted)
            self._shell.start(self._open_harshness(lambda: (case, frozenset()), "On record"))

    async def _open_harshness_of(self, work: CaseAtWork) -> None:
        """The readings of a case, and what is typed there is one of them."""

        def known() -> tuple[Case, frozenset[str]]:
            hidden = frozenset[str]()
            if work.current is not None:
                hidden = work.current.assessment.belief.findings.not_applicable
            return work.case, hidden

        def keep(observation: str, reading: Quantity) -> None:
            self.cases.record(read_answer(work.rules, observation, str(reading)))

        is_open = work.closed_as is None
        await self._open_harshness(known, "Case readings", keep if is_open else None)

    async def _open_harshness(
        self,
        known: Callable[[], tuple[Case, frozenset[str]]],
        whose: str,
        keep: Callable[[str, Quantity], None] | None = None,
    ) -> None:
        """Open with what was tried before, unless the readings have changed since. `known` gives
        them, with the observations that do not apply, as they stand."""
        from tui.harshness.value_sheet import sheet_of  # noqa: PLC0415

        rules = self._shell.shop.rules
        sheet = await self._shell.work(lambda: sheet_of(rules, *known()))
        from tui.harshness.harsh import HarshScreen  # noqa: PLC0415

        read, tried = self._tried or (None, sheet)
        begins_with = whose if keep or sheet.read else ""
        screen = HarshScreen(tried if read == sheet else sheet, begins_with, keep)
        result = await self._shell.ask(screen)
        self._tried = None
        if result is not None:
            self._tried = (await self._shell.work(lambda: sheet_of(rules, *known())), result)

    # -- what the shop knows ---------------------------------------------------------------------

    def open_adding(self) -> None:
        """Add what the shop knows to its own pack, by questions."""
        self._shell.start(self._open_adding())

    async def _open_adding(self) -> None:
        if self._adding is None:
            self._adding = await self._shell.work(self._found_adding)
        await self._adding.open()

    def _found_adding(self) -> AddingDesk:
        from tui.adding.adding_desk import AddingDesk  # noqa: PLC0415

        return AddingDesk(self._shell, self._packs, self._use, self._keep_pack)

    def _use(self, packs: Sequence[Path]) -> None:
        self._packs = packs
        self._school = None

    # -- training --------------------------------------------------------------------------------

    def open_training(self) -> None:
        """Show who is learning; the way to lessons, practice and exams."""
        self._shell.start(self._open_training())

    async def _open_training(self) -> None:
        if self._school is None:
            self._school = await self._shell.work(self._found_school)
        await self._school.open()

    def _found_school(self) -> School:
        from diagnose.training.course.course import load_teaching  # noqa: PLC0415
        from diagnose.training.desk import TrainingDesk  # noqa: PLC0415
        from tui.training.school import School  # noqa: PLC0415

        shop = self._shell.shop
        # as written, not as the shop's cases have moved it: a number is the same case everywhere
        teaching = load_teaching(shop.rules_as_written, self._packs)
        return School(self._shell, TrainingDesk(teaching, shop.store))
