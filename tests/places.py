"""Where the project and the packs the tests work with lie."""

from pathlib import Path

ROOT = Path(__file__).parents[1]
PACKS = ROOT / "tests" / "packs"
MOWER = PACKS / "mower"
STORES = ROOT / "tests/diagnose/records/store/stores"
