-- What a person made at the wall instead of in the configuration file. kind is the table it would stand in there
-- ('source', 'sensor', 'zone'), data its keys as JSON.
CREATE TABLE made (
    kind TEXT NOT NULL,
    id TEXT NOT NULL,
    data TEXT NOT NULL,
    made_ms INTEGER NOT NULL,
    PRIMARY KEY (kind, id)
) STRICT, WITHOUT ROWID;

-- Readings that came at or before the newest of their series, in the order written: a remote's cursor runs along the
-- newest end of each series and would pass these by.
CREATE TABLE late (
    number INTEGER PRIMARY KEY,
    series INTEGER NOT NULL,
    t_ms INTEGER NOT NULL
) STRICT;

-- How far each remote has said yes: the newest reading of each series, and the number of the last late one. place is
-- where the copy lies: another place begins anew.
CREATE TABLE remote_series (
    remote TEXT NOT NULL,
    series INTEGER NOT NULL,
    t_ms INTEGER NOT NULL,
    PRIMARY KEY (remote, series)
) STRICT, WITHOUT ROWID;
CREATE TABLE remote_late (
    remote TEXT PRIMARY KEY,
    number INTEGER NOT NULL,
    place TEXT NOT NULL
) STRICT, WITHOUT ROWID;

-- Readings that a remote refused for what they are, one by one.
CREATE TABLE dead_letter (
    id INTEGER PRIMARY KEY,
    remote TEXT NOT NULL,
    series INTEGER NOT NULL,
    t_ms INTEGER NOT NULL,
    value REAL NOT NULL,
    status INTEGER NOT NULL,
    reason TEXT NOT NULL,
    refused_ms INTEGER NOT NULL
) STRICT;

-- token names the boot; rows with the flag CLOCK_UNSET from first_ms on are its own, until the clock is set.
ALTER TABLE boot ADD COLUMN token TEXT NOT NULL DEFAULT '';
ALTER TABLE boot ADD COLUMN first_ms INTEGER NOT NULL DEFAULT 0;
ALTER TABLE boot ADD COLUMN moved_by_ms INTEGER NOT NULL DEFAULT 0;

-- From when on raw readings of a series are kept; its hours and days before that can no longer be made again.
CREATE TABLE thinned (
    series INTEGER PRIMARY KEY,
    raw_from_ms INTEGER NOT NULL
) STRICT;
