"""Which journal is safe with which SQLite?  Pure; the settings ask it first."""

import sqlite3

# Releases in which the fault that can corrupt a write-ahead log when two
# connections write and checkpoint at the same instant is mended
# (sqlite.org/wal.html#walresetbug).
WAL_MENDED_IN = (3, 51, 3)
WAL_MENDED_LINES = {(3, 50): 7, (3, 44): 6}


def journal_mode(version: tuple[int, int, int] = sqlite3.sqlite_version_info) -> str:
    """Say which journal is safe with this SQLite: WAL only where it is mended."""
    mended = version >= WAL_MENDED_IN or (
        version[2] >= WAL_MENDED_LINES.get((version[0], version[1]), 10**6)
    )
    return "WAL" if mended else "DELETE"
