"""What a shop has set, by key, in its store."""

from __future__ import annotations

from collections.abc import Collection

from sqlalchemy import Connection, delete, insert, select, update

from diagnose.records.store.journals import write_anew
from diagnose.records.store.store import Store
from diagnose.records.store.tables import SHOP


def read_shop(store: Store, keys: Collection[str]) -> dict[str, str]:
    """Those of `keys` that are set. Raises `StoreProblem`."""
    query = select(SHOP.c.key, SHOP.c.value).where(SHOP.c.key.in_(keys))
    with store.reading() as connection:
        return {str(row.key): str(row.value) for row in connection.execute(query)}


def read_shop_under(store: Store, prefix: str) -> dict[str, str]:
    """All that is set under keys that begin so. Raises `StoreProblem`."""
    query = select(SHOP.c.key, SHOP.c.value).where(SHOP.c.key.startswith(prefix, autoescape=True))
    with store.reading() as connection:
        return {str(row.key): str(row.value) for row in connection.execute(query)}


def put_in_shop(store: Store, key: str, value: str | None) -> None:
    """Set `key`, or remove it with None. The last one to set it wins. Raises `StoreProblem`."""
    write_anew(
        store,
        lambda connection: put_in(connection, key, value),
        f"{key} is being set by others all the time; try again",
    )


def put_in(connection: Connection, key: str, value: str | None) -> None:
    """`put_in_shop` inside the caller's transaction. Raises `IntegrityError` in a race."""
    if value is None:
        connection.execute(delete(SHOP).where(SHOP.c.key == key))
        return
    changed = connection.execute(update(SHOP).where(SHOP.c.key == key).values(value=value))
    if not changed.rowcount:
        connection.execute(insert(SHOP).values(key=key, value=value))
