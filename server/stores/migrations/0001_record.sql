-- Times are ms since 1970 UTC. Series are kept by number: the name would cost more than the reading.
CREATE TABLE series (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL UNIQUE
) STRICT;

-- raw is NULL where the device said just this value. flags are the bits of server.reading.Flag.
CREATE TABLE reading (
    series INTEGER NOT NULL,
    t_ms INTEGER NOT NULL,
    value REAL NOT NULL,
    flags INTEGER NOT NULL,
    raw REAL,
    PRIMARY KEY (series, t_ms)
) STRICT, WITHOUT ROWID;

-- What stood in reading before another value came for the same moment.
CREATE TABLE replaced (
    series INTEGER NOT NULL,
    t_ms INTEGER NOT NULL,
    value REAL NOT NULL,
    flags INTEGER NOT NULL,
    raw REAL,
    replaced_ms INTEGER NOT NULL
) STRICT;

CREATE TABLE refused (
    id INTEGER PRIMARY KEY,
    source TEXT NOT NULL,
    t_ms INTEGER NOT NULL,
    place TEXT NOT NULL,
    payload BLOB NOT NULL,
    reason TEXT NOT NULL
) STRICT;

-- From good readings only. start_ms is a whole hour UTC.
CREATE TABLE hour (
    series INTEGER NOT NULL,
    start_ms INTEGER NOT NULL,
    minimum REAL NOT NULL,
    mean REAL NOT NULL,
    maximum REAL NOT NULL,
    count INTEGER NOT NULL,
    PRIMARY KEY (series, start_ms)
) STRICT, WITHOUT ROWID;

-- From the hours that begin in the day. start_ms is midnight in the zone named in setting 'timezone'.
CREATE TABLE day (
    series INTEGER NOT NULL,
    start_ms INTEGER NOT NULL,
    minimum REAL NOT NULL,
    mean REAL NOT NULL,
    maximum REAL NOT NULL,
    count INTEGER NOT NULL,
    PRIMARY KEY (series, start_ms)
) STRICT, WITHOUT ROWID;

CREATE TABLE journal (
    id TEXT PRIMARY KEY,
    t_ms INTEGER NOT NULL,
    kind TEXT NOT NULL,
    subject TEXT NOT NULL,
    data TEXT NOT NULL
) STRICT;
CREATE INDEX journal_by_time ON journal (t_ms);

-- One current row per alert; every change of it is in alert_change.
CREATE TABLE alert (
    id TEXT PRIMARY KEY,
    rule TEXT NOT NULL,
    subject TEXT NOT NULL,
    state TEXT NOT NULL,
    word TEXT NOT NULL,
    lean TEXT NOT NULL,
    raised_ms INTEGER NOT NULL,
    changed_ms INTEGER NOT NULL,
    shelved_until_ms INTEGER,
    data TEXT NOT NULL
) STRICT;
CREATE INDEX alert_standing ON alert (raised_ms) WHERE state <> 'normal';

CREATE TABLE alert_change (
    number INTEGER PRIMARY KEY,
    id TEXT NOT NULL,
    rule TEXT NOT NULL,
    subject TEXT NOT NULL,
    state TEXT NOT NULL,
    word TEXT NOT NULL,
    lean TEXT NOT NULL,
    raised_ms INTEGER NOT NULL,
    changed_ms INTEGER NOT NULL,
    shelved_until_ms INTEGER,
    data TEXT NOT NULL
) STRICT;
CREATE INDEX alert_change_by_time ON alert_change (changed_ms);

-- One row per start of the machine's monotonic clock; t_ms of rows from a boot whose clock was unset can be shifted.
CREATE TABLE boot (
    id INTEGER PRIMARY KEY,
    wall_minus_mono_ms INTEGER NOT NULL,
    clock_set INTEGER NOT NULL
) STRICT;

CREATE TABLE command (
    id TEXT PRIMARY KEY,
    t_ms INTEGER NOT NULL,
    reply TEXT NOT NULL
) STRICT;

-- What the file itself was made with: the zone in which its days begin.
CREATE TABLE setting (
    name TEXT PRIMARY KEY,
    value TEXT NOT NULL
) STRICT;
