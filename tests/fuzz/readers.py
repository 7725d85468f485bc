"""Coverage-guided fuzzing of what reads text from people: packs, case files, figures with units.

Not part of the suite. It needs atheris (https://pypi.org/project/atheris/) in an environment of its
own, since instrumented code is slow:

    python3 -m venv /tmp/atheris && /tmp/atheris/bin/pip install atheris pydantic pyyaml
    PYTHONPATH=. /tmp/atheris/bin/python tests/fuzz/readers.py units -max_total_time=180
    PYTHONPATH=. /tmp/atheris/bin/python tests/fuzz/readers.py case -max_total_time=180
    PYTHONPATH=. /tmp/atheris/bin/python tests/fuzz/readers.py pack -max_total_time=180 -len_control=0

What stands after the target goes to libFuzzer; a folder there keeps what it learned. It ends at the
first text that is answered with anything but a result or `BadInput`, and writes that text to a file
`crash-...`, which given in place of a folder is tried again.
"""

from __future__ import annotations

import math
import re
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

import atheris

from tests import places

with atheris.instrument_imports():
    from diagnose.case.files import case_from_bytes
    from rules.loading.loader import load_pack
    from rules.problems import BadInput
    from rules.units.quantities import Quantity, parse_quantity, parse_threshold, si_unit, unit_kind

MOWER = places.MOWER / "pack.yaml"
PACK = MOWER.read_text(encoding="utf-8")
CASE = """\
case: 1
machine: {engine: petrol}
targets: {plug-gap: 0.7 mm}
complaints: [no-start, vibration/deck]
answers: {tank-look: stale, stood-all-winter: yes, plug-gap-reading: "0,9 mm", spark-seen: dont-know}
afterwards: [{correction: fill-up, ride: better, answers: {tank-look: fresh}}]
note: Second visit.
"""
UNITS = ["psi", "mm", "°C", "clicks", "N·m", "count", "%"]
PARTS = [
    "target",
    " ",
    "+",
    "-",
    "x",
    "*",
    ".",
    ",",
    "−",
    "0",
    "7",
    "13",
    "999999999",
    "٣",
    "e",
    *UNITS,
]
_WORD = re.compile(r"[\w-]+|[^\w\s]")


def units(data: bytes) -> None:
    """A figure, then a limit, of any text."""
    given = atheris.FuzzedDataProvider(data)
    unit = given.PickValueInList(UNITS)
    parts = (
        given.PickValueInList(PARTS) if given.ConsumeIntInRange(0, 3) else given.ConsumeUnicode(4)
        for _ in range(given.ConsumeIntInRange(0, 8))
    )
    text = "".join(parts)
    try:
        quantity = parse_quantity(text, unit)
        assert math.isfinite(quantity.to(si_unit(quantity.unit)).value)
        assert quantity.kind == unit_kind(unit)
    except BadInput as error:
        assert str(error).isprintable()
    try:
        assert math.isfinite(parse_threshold(text, unit).value(Quantity(1.0, unit), unit))
    except BadInput as error:
        assert str(error).isprintable()


def _patched(data: bytes, sound: str) -> bytes:
    """A sound text with some words of it in other places, or bytes of no such text."""
    given = atheris.FuzzedDataProvider(data)
    if given.ConsumeIntInRange(0, 9) == 0:
        return bytes(given.ConsumeBytes(4000))
    words = _WORD.findall(sound)
    raw = sound.encode()
    for _ in range(given.ConsumeIntInRange(1, 4)):
        start = given.ConsumeIntInRange(0, len(raw))
        end = start + given.ConsumeIntInRange(0, 40)
        junk = (
            given.PickValueInList(words).encode()
            if given.ConsumeBool()
            else bytes(given.ConsumeBytes(given.ConsumeIntInRange(0, 40)))
        )
        raw = raw[:start] + junk + raw[end:]
    return raw


def _sound_mower() -> Callable[[bytes], None]:
    rules = load_pack(MOWER.parent)

    def case(data: bytes) -> None:
        try:
            read = case_from_bytes(rules, _patched(data, CASE), "f")
        except BadInput as error:
            assert str(error)
        else:
            assert read.events

    return case


def _pack_in(folder: Path) -> Callable[[bytes], None]:
    def pack(data: bytes) -> None:
        (folder / "pack.yaml").write_bytes(_patched(data, PACK))
        try:
            assert load_pack(folder).causes
        except BadInput as error:
            assert str(error)

    return pack


def main() -> None:
    """Fuzz the target named first."""
    name = sys.argv.pop(1) if len(sys.argv) > 1 else ""
    with tempfile.TemporaryDirectory() as folder:
        targets = {
            "units": lambda: units,
            "case": _sound_mower,
            "pack": lambda: _pack_in(Path(folder)),
        }
        if name not in targets:
            sys.exit(f"name what to fuzz: {', '.join(targets)}")
        atheris.Setup(sys.argv, targets[name]())
        atheris.Fuzz()


if __name__ == "__main__":
    main()
