"""What can go wrong with a store, each as a message fit to show a person."""

from __future__ import annotations

from rules.problems import BadInput


class StoreProblem(BadInput):
    """The store cannot be used as asked. It was left as it was."""


class NoStore(StoreProblem):
    """There is no store here yet."""


class DamagedStore(StoreProblem):
    """The file is damaged, or is not a store."""


class NewerStore(StoreProblem):
    """A newer badride wrote this."""


class UnwritableStore(StoreProblem):
    """Nothing can be written: disk full, read-only, no rights, locked for too long."""


class Clash(StoreProblem):
    """Somebody else has added to the same record since it was read."""


class NotFound(StoreProblem):
    """The store holds nothing of that name or number."""
