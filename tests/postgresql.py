"""A PostgreSQL server of the tests' own, from Debian's packages."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from sqlalchemy import create_engine, text


class Server:
    """Reached through a socket in its folder only."""

    def __init__(self, programs: Path, folder: Path, user: pwd.struct_passwd | None) -> None:
        self._programs, self._folder, self._user = programs, folder, user
        self._name = user.pw_name if user else pwd.getpwuid(os.geteuid()).pw_name
        self._data = str(folder / "data")

    def make(self) -> None:
        """Make its data folder."""
        self._run("initdb", "-D", self._data, "-A", "trust", "-U", self._name, "-E", "UTF8", "--no-sync")  # fmt: skip

    def start(self) -> None:
        """Start it, and wait until it can be used."""
        options = (
            f"-c listen_addresses='' -c unix_socket_directories='{self._folder}' "
            "-c max_connections=30"
        )
        log = str(self._folder / "log")
        self._run("pg_ctl", "-D", self._data, "-w", "-l", log, "-o", options, "start")

    def stop(self, mode: str) -> None:
        """Stop it: `fast` rolls back what is open, `immediate` is a crash of it."""
        self._run("pg_ctl", "-D", self._data, "-m", mode, "-w", "stop")

    def new_database(self, name: str) -> str:
        """Make a database; its address."""
        admin = create_engine(
            "postgresql+psycopg://" + self._at("postgres"), isolation_level="AUTOCOMMIT"
        )
        with admin.connect() as connection:
            connection.execute(text(f"CREATE DATABASE {name}"))
        admin.dispose()
        return "postgresql://" + self._at(name)

    def _at(self, database: str) -> str:
        return f"{self._name}@/{database}?host={self._folder}"

    def _run(self, program: str, *arguments: str) -> None:
        subprocess.run(
            [str(self._programs / program), *arguments],
            check=True,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,  # a server that was started would hold a pipe open
            stderr=subprocess.DEVNULL,
            user=self._user.pw_uid if self._user else None,
            group=self._user.pw_gid if self._user else None,
            cwd=self._folder,
            timeout=60,
        )


@contextmanager
def a_server() -> Iterator[Server]:
    """A server that runs; skips the test where there are no programs for one."""
    found = shutil.which("initdb")
    debian = sorted(Path("/usr/lib/postgresql").glob("*/bin"))
    folders = [Path(found).resolve().parent] if found else debian
    if not folders:
        pytest.skip("PostgreSQL is not here (Debian: apt-get install postgresql)")
    user = None
    folder = Path(tempfile.mkdtemp(prefix="badride-pg-"))
    if os.geteuid() == 0:  # PostgreSQL will not run as root
        try:
            user = pwd.getpwnam("postgres")
        except KeyError:
            pytest.skip("PostgreSQL needs the user postgres that Debian's package makes")
        os.chown(folder, user.pw_uid, user.pw_gid)
    server = Server(folders[-1], folder, user)
    server.make()
    server.start()
    try:
        yield server
    finally:
        server.stop("immediate")
        shutil.rmtree(folder)
