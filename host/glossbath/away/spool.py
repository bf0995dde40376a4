"""What waits for a broker that is away: on disk, bounded, in order.

SQLite keeps it whole through a power cut. When it is full the oldest that is not retained goes
first; readings are many and states are few.
"""

from __future__ import annotations

import sqlite3
from pathlib import Path

from glossbath.errors import GlossbathError

from .topics import Post

MOST = 500_000
"""A day of five rigs at one reading a second; about 250 MB."""


class Spool:
    """A queue of posts in one file, which is made if needed. Raises GlossbathError."""

    def __init__(self, path: Path, most: int = MOST) -> None:
        self._most = most
        self.dropped = 0
        try:
            path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
            self._file = sqlite3.connect(path, isolation_level=None)
            self._file.execute("pragma journal_mode=wal")
            self._file.execute("pragma synchronous=normal")
            self._file.execute(
                "create table if not exists post "
                "(number integer primary key, topic text, payload blob, retain integer)"
            )
            self._count = int(self._file.execute("select count(*) from post").fetchone()[0])
            path.chmod(0o600)
        except (OSError, sqlite3.Error) as error:
            raise GlossbathError(f"The queue {path} cannot be used: {error}.") from error

    def __len__(self) -> int:
        return self._count

    def put(self, posts: list[Post]) -> None:
        """Keep posts behind all others. A full disk costs them, and is counted."""
        rows = [(post.topic, post.payload, post.retain) for post in posts]
        try:
            self._file.execute("begin")
            self._file.executemany(
                "insert into post (topic, payload, retain) values (?, ?, ?)", rows
            )
            self._file.execute("commit")
        except sqlite3.Error:
            if self._file.in_transaction:
                self._file.execute("rollback")
            self.dropped += len(rows)
            return
        self._count += len(rows)
        if self._count > self._most:
            self._shorten()

    def take(self, most: int) -> list[Post]:
        """The oldest posts, at most so many; they are kept no longer."""
        rows = self._file.execute(
            "select number, topic, payload, retain from post order by number limit ?", (most,)
        ).fetchall()
        if rows:
            self._file.execute("delete from post where number <= ?", (rows[-1][0],))
            self._count -= len(rows)
        return [Post(topic, bytes(payload), bool(retain)) for _, topic, payload, retain in rows]

    def close(self) -> None:
        """End the use of the file."""
        self._file.close()

    def _shorten(self) -> None:
        excess = self._count - self._most
        gone = self._file.execute(
            "delete from post where number in "
            "(select number from post order by retain, number limit ?)",
            (excess,),
        ).rowcount
        self._count -= gone
        self.dropped += gone
