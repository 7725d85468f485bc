"""A rule base with things to set and to count, a store with a fixed clock, and an invented bike."""

from __future__ import annotations

import shutil
from datetime import timedelta
from pathlib import Path

from diagnose.advice.assessor import Assessor
from diagnose.case.events import Answered, Asking, Case, Complained, Declined, Event, Told
from diagnose.records.bikes.bike import Bike
from diagnose.records.bikes.bike_book import BikeBook
from diagnose.records.bikes.bike_input import read_facts, read_figure, read_ride, read_setting
from diagnose.records.store.opening import open_memory
from diagnose.records.store.store import Store
from rules.loading.loader import load_pack, load_packs
from rules.rulebase import RuleBase
from tests import places
from tests.clocks import TODAY, Standing

_MOWER = places.MOWER / "pack.yaml"

SETTABLE = """
specs:
  blade-interval: {title: Hours between blade checks, unit: h, default: 20 h, source: made-up}
  belt-life: {title: Life of the belt, unit: months, default: 14 months, source: made-up}
  lever-setting: {title: "Lever, clicks out", unit: clicks, default: 4 clicks, source: made-up}
  tyre-pressure: {title: Tyre pressure, unit: psi, default: 20 psi, source: made-up}
  cell-voltage-gap: {title: Gap between cells, unit: mm, default: 2 mm, source: made-up}
observations:
  hours-blade: {kind: measurement, ask: Hours since the blade was checked, unit: h, target: blade-interval, limits: [0 h, 900 h], minutes: 1, source: made-up}
  months-belt: {kind: measurement, ask: Months since the belt was new, unit: months, target: belt-life, limits: [0 months, 90 months], minutes: 1, needs: {engine: petrol}, source: made-up}
  lever-clicks: {kind: measurement, ask: "lever, clicks out from closed", unit: clicks, target: lever-setting, limits: [0 clicks, 9 clicks], minutes: 1, source: made-up}
  lever-clicks-noted: {kind: measurement, ask: Lever clicks as written down, unit: clicks, target: lever-setting, limits: [0 clicks, 9 clicks], minutes: 1, source: made-up}
  tyre-gauge: {kind: measurement, ask: Tyre pressure, unit: psi, target: tyre-pressure, limits: [0 psi, 60 psi], minutes: 1, how: [Read it cold.], source: made-up}
  cell-gap: {kind: measurement, ask: Gap between the cells, unit: mm, target: cell-voltage-gap, limits: [0 mm, 9 mm], minutes: 1, needs: {engine: electric}, source: made-up}
rules:
  blade-due: {when: {reading: hours-blade, above: 20 h}, then: {caution: plug-lead}, source: made-up}
  belt-due: {when: {reading: months-belt, above: 14 months}, then: {caution: plug-lead}, source: made-up}
  lever-moved: {when: {reading: lever-clicks, differs_from: lever-clicks-noted, by: 1 clicks}, then: {caution: plug-lead}, source: made-up}
  tyre-hard: {when: {reading: tyre-gauge, above: 30 psi}, then: {caution: plug-lead}, source: made-up}
  cells-apart: {when: {reading: cell-gap, above: 3 mm}, then: {caution: plug-lead}, source: made-up}
before_ride:
  tyre: {title: Tyre pressure cold, every: ride, note: tyre-gauge, correction: new-blade, source: made-up}
"""


def settable_pack(folder: Path) -> RuleBase:
    """The mower with a lever, a tyre, a belt and a blade to look after."""
    shutil.copy(_MOWER, folder)
    (folder / "settable.yaml").write_text(SETTABLE, encoding="utf-8")
    return load_pack(folder)


PEOPLED = """
pack: {id: peopled, title: Who asks, version: "1", format: 1, builds_on: mower, about: Invented.}
changes:
  policy:
    set:
      people:
        shop: {title: In a shop, answers: {look: 0.98, tool: 0.98, parts-off: 0.98}, does: anything}
        owner:
          title: In the garden
          answers: {memory: 0.9, look: 0.9, tool: 0.02, parts-off: 0.01}
          does: home-work
          hand_over: {to: workshop}
    reason: To tell a shop from an owner.
    source: made-up
"""


def peopled_shop(folder: Path) -> Assessor:
    """The mower, with a shop and an owner who may ask."""
    (folder / "pack.yaml").write_text(PEOPLED, encoding="utf-8")
    return Assessor(load_packs((places.MOWER, folder)))


def given_up(*more: Event) -> Case:
    """An owner's case that ends with a list for the shop: the tank is full, and no gauge at hand."""
    told = (
        Asking("owner"),
        Told("Dead since spring, pulled till my arm came off."),
        Complained("no-start"),
        Answered("stood-all-winter"),
        Answered("tank-look", "fresh"),
        Answered("spark-seen", cannot_here=True),
        Declined("new-plug"),
        Declined("fill-up"),
    )
    return Case({}, {}, (*told, *more))


def memory_store() -> Store:
    """An empty store in memory whose clock stands still."""
    return open_memory(Standing())


def stock(store: Store, rules: RuleBase) -> Bike:
    """An invented bike, ridden twice a week for three weeks, its lever moved since."""
    book = BikeBook(store)
    start = TODAY - timedelta(days=40)
    book.add(
        "Demo 250",
        [
            read_facts(rules, ["engine=petrol"], "sand, 82 kg"),
            read_figure(rules, "tyre-pressure=13 psi", "manual, page 4", start),
            read_setting(rules, "lever-clicks=6 clicks", start, baseline=True),
            read_setting(rules, "tyre-gauge=0,9 bar", start, baseline=True),
            read_setting(rules, "lever-clicks=4 clicks", TODAY - timedelta(days=3), why="too soft"),
        ],
    )
    bike = Bike("Demo 250")
    rides = [
        read_ride(bike, "2 h", None, TODAY - timedelta(days=day), new_meter=False, why="")
        for day in (20, 15, 10, 5, 1)
    ]
    return book.append("Demo 250", rides)


def settable_shop(folder: Path) -> Assessor:
    """An assessor for `settable_pack`."""
    return Assessor(settable_pack(folder))
