"""Invented packs with a handful of causes and checks, small enough to search."""

from __future__ import annotations

from pathlib import Path
from typing import Any, get_args

import yaml

from diagnose.simulation.chance import Dice
from rules.language.schema import ObservationKind

_WORDS = {
    "never": [0.0001, 0.0003],
    "seldom": [0.02, 0.08],
    "at times": [0.2, 0.4],
    "often": [0.5, 0.7],
    "mostly": [0.8, 0.9],
    "always": [0.97, 0.99],
}


def small_pack(folder: Path, seed: int, truthful_rides: bool = False) -> Path:
    """Write a pack of three or four causes, each with its own correction, and three or four checks.

    With `truthful_rides` a ride reports the complaint gone if, and next to only if, it is.
    """
    dice = Dice(seed, "small pack")
    causes = "abcd"[: 3 + int(dice.unit() * 2)]
    checks = ["c1", "c2", "c3", "c4"][: 3 + int(dice.unit() * 2)]
    body: dict[str, Any] = _frame(hand_over=round(40 + dice.unit() * 160))
    if truthful_rides:
        body["policy"]["ride_report"] = {
            "gone": [0.9997, 0.0001, 0.0001, 0.9997],
            "better": [0.0001, 0.7999, 0.1299, 0.0001],
            "same": [0.0001, 0.15, 0.77, 0.0001],
            "worse": [0.0001, 0.05, 0.1, 0.0001],
        }
    for check in checks:
        body["observations"][check] = {
            "kind": "inspection",
            "ask": check,
            "background": dice.choose(["never", "seldom", "at times"]),
            "minutes": round(0.5 + dice.unit() * 9, 1),
            "source": "made-up",
        }
    for number, cause in enumerate(causes):
        # every check is shown by some cause, every cause by some check
        own = {checks[number % len(checks)]}
        own |= {check for check in checks if dice.unit() < 0.35}
        own |= set(checks[len(causes) :]) if number == 0 else set()
        shows: dict[str, Any] = {"bad": dice.choose(["often", "mostly", "always"])}
        shows |= {
            check: dice.choose(["at times", "often", "mostly", "always"]) for check in sorted(own)
        }
        body["causes"][cause] = _cause(cause, 1 + dice.unit() * 12, shows)
        body["corrections"][f"fix-{cause}"] = _correction(f"fix {cause}", 2 + dice.unit() * 50)
    return _write(folder, body)


def three_suspects(folder: Path) -> Path:
    """p .5 .3 .2 and corrections of 10, 2 and 5 minutes, one cause at a time, a ride that tells."""
    body = _frame(hand_over=600)
    body["policy"] |= {"ride_minutes": 0, "attention_minutes": 0}
    body["scale"]["words"]["never"] = [0, 2e-10]
    ride = {"gone": [0.999998, 0, 0, 0.999998], "better": [0.000001, 0, 0, 0.000001]}
    ride |= {"same": [0, 1, 1, 0], "worse": [0.000001, 0, 0, 0.000001]}
    body["policy"]["ride_report"] = ride
    body["observations"]["idle"] = {
        "kind": "question",
        "ask": "idle",
        "background": "never",
        "minutes": 1,
        "source": "made-up",
    }
    for cause, prior, minutes in (("a", 0.05, 10), ("b", 0.03, 2), ("c", 0.02, 5)):
        shows: dict[str, Any] = {"bad": "always"} | ({"idle": "never"} if cause == "a" else {})
        body["causes"][cause] = _cause(cause, prior, shows)
        body["corrections"][f"fix-{cause}"] = _correction(f"fix {cause}", minutes)
    return _write(folder, body)


def _frame(hand_over: float) -> dict[str, Any]:
    return {
        "pack": {
            "id": "small",
            "title": "Small",
            "version": "1",
            "format": 1,
            "about": "Invented.",
        },
        "scale": {"words": _WORDS, "source": "made-up"},
        "sources": {"made-up": {"kind": "memory", "title": "invented for the tests"}},
        "policy": {
            "attention_minutes": 0.5,
            "ride_minutes": 5,
            "hand_over_minutes": hand_over,
            "parts_minutes": {"none": 0, "small": 10, "medium": 30, "large": 90},
            "safety_floor": 0.05,
            "look_from": 0.1,
            "ban_from": 0.5,
            "outside_floor": 0.05,
            "settled": 0.8,
            "moved_from": 0.05,
            "patience": 3,
            "reading_trust": dict.fromkeys(get_args(ObservationKind), 0.97),
            "ride_cautions": ["mind"],
            "ride_report": {
                "gone": [0.86, 0.05, 0.02, 0.97],
                "better": [0.10, 0.70, 0.13, 0.02],
                "same": [0.03, 0.20, 0.75, 0.005],
                "worse": [0.01, 0.05, 0.10, 0.005],
            },
            "source": "made-up",
        },
        "cautions": {"mind": {"text": "Mind.", "source": "made-up"}},
        "complaints": {
            "bad": {"title": "Bad", "said": ["bad"], "background": "never", "source": "made-up"}
        },
        "observations": {},
        "causes": {},
        "corrections": {},
    }


def _cause(name: str, per_100: float, shows: dict[str, Any]) -> dict[str, Any]:
    return {
        "title": name,
        "group": "some",
        "what": name,
        "per_100": per_100,
        "shows": shows,
        "shows_source": "made-up",
        "correction": f"fix-{name}",
        "source": "made-up",
    }


def _correction(title: str, minutes: float) -> dict[str, Any]:
    return {
        "title": title,
        "steps": [title],
        "minutes": round(minutes, 1),
        "who": "home mechanic",
        "goes_wrong": "Nothing.",
        "proof": "It works.",
        "source": "made-up",
    }


def _write(folder: Path, body: dict[str, Any]) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "pack.yaml").write_text(yaml.safe_dump(body, sort_keys=False), encoding="utf-8")
    return folder
