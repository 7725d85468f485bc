"""Where the project is, and the packs and stores that tests work with."""

from pathlib import Path

ROOT = Path(__file__).parents[1]
PACKS = ROOT / "tests" / "packs"
MOWER = PACKS / "mower"
STORES = ROOT / "tests/diagnose/records/store/stores"
