PRAGMA application_id = 1398033483;
BEGIN TRANSACTION;
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
INSERT INTO "alert" VALUES('a1','dry-limit','bench-room','acknowledged','look','dry',1799755200000,1799755200005,NULL,'{"limit_pct": 6.0}');
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
INSERT INTO "alert_change" VALUES(1,'a1','dry-limit','bench-room','unacknowledged','look','dry',1799755200000,1799755200000,NULL,'{"limit_pct": 6.0}');
INSERT INTO "alert_change" VALUES(2,'a1','dry-limit','bench-room','acknowledged','look','dry',1799755200000,1799755200005,NULL,'{"limit_pct": 6.0}');
CREATE TABLE boot (
    id INTEGER PRIMARY KEY,
    wall_minus_mono_ms INTEGER NOT NULL,
    clock_set INTEGER NOT NULL
, token TEXT NOT NULL DEFAULT '', first_ms INTEGER NOT NULL DEFAULT 0, moved_by_ms INTEGER NOT NULL DEFAULT 0) STRICT;
CREATE TABLE checkpoint (
    id INTEGER PRIMARY KEY,
    at_ms INTEGER NOT NULL,
    lot TEXT NOT NULL,
    state BLOB NOT NULL,
    UNIQUE (at_ms, lot)
) STRICT;
INSERT INTO "checkpoint" VALUES(1,1799712000000,'cherry-1',X'00FF');
CREATE TABLE command (
    id TEXT PRIMARY KEY,
    t_ms INTEGER NOT NULL,
    reply TEXT NOT NULL
) STRICT;
INSERT INTO "command" VALUES('c1',1799755200000,'{"done": true}');
CREATE TABLE day (
    series INTEGER NOT NULL,
    start_ms INTEGER NOT NULL,
    minimum REAL NOT NULL,
    mean REAL NOT NULL,
    maximum REAL NOT NULL,
    count INTEGER NOT NULL,
    PRIMARY KEY (series, start_ms)
) STRICT, WITHOUT ROWID;
INSERT INTO "day" VALUES(1,1799730000000,20.5,21.0,21.5,2);
INSERT INTO "day" VALUES(2,1799730000000,100.0,100.0,100.0,1);
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
CREATE TABLE hour (
    series INTEGER NOT NULL,
    start_ms INTEGER NOT NULL,
    minimum REAL NOT NULL,
    mean REAL NOT NULL,
    maximum REAL NOT NULL,
    count INTEGER NOT NULL,
    PRIMARY KEY (series, start_ms)
) STRICT, WITHOUT ROWID;
INSERT INTO "hour" VALUES(1,1799755200000,20.5,21.0,21.5,2);
INSERT INTO "hour" VALUES(2,1799755200000,100.0,100.0,100.0,1);
CREATE TABLE journal (
    id TEXT PRIMARY KEY,
    t_ms INTEGER NOT NULL,
    kind TEXT NOT NULL,
    subject TEXT NOT NULL,
    data TEXT NOT NULL
) STRICT;
INSERT INTO "journal" VALUES('e1',1799755200000,'placed','t1','{"zone": "bench-room"}');
CREATE TABLE late (
    number INTEGER PRIMARY KEY,
    series INTEGER NOT NULL,
    t_ms INTEGER NOT NULL
) STRICT;
CREATE TABLE made (
    kind TEXT NOT NULL,
    id TEXT NOT NULL,
    data TEXT NOT NULL,
    made_ms INTEGER NOT NULL,
    PRIMARY KEY (kind, id)
) STRICT, WITHOUT ROWID;
CREATE TABLE migration (number INTEGER PRIMARY KEY, name TEXT, applied_ms INTEGER) STRICT;
INSERT INTO "migration" VALUES(1,'0001_record.sql',1799755200000);
INSERT INTO "migration" VALUES(2,'0002_sources_remotes_boots.sql',1799755200000);
INSERT INTO "migration" VALUES(3,'0003_checkpoints.sql',1799755200000);
INSERT INTO "migration" VALUES(4,'0004_pictures.sql',1799755200000);
CREATE TABLE picture (
    id TEXT PRIMARY KEY,
    kind TEXT NOT NULL,
    data BLOB NOT NULL,
    t_ms INTEGER NOT NULL
) STRICT;
INSERT INTO "picture" VALUES('log-7','image/png',X'89504E470D0A1A0A',1799755200000);
CREATE TABLE reading (
    series INTEGER NOT NULL,
    t_ms INTEGER NOT NULL,
    value REAL NOT NULL,
    flags INTEGER NOT NULL,
    raw REAL,
    PRIMARY KEY (series, t_ms)
) STRICT, WITHOUT ROWID;
INSERT INTO "reading" VALUES(1,1799755200000,20.5,0,NULL);
INSERT INTO "reading" VALUES(1,1799755260000,61.0,2,NULL);
INSERT INTO "reading" VALUES(1,1799755320000,21.5,0,NULL);
INSERT INTO "reading" VALUES(2,1799755200000,100.0,8,102.5);
CREATE TABLE refused (
    id INTEGER PRIMARY KEY,
    source TEXT NOT NULL,
    t_ms INTEGER NOT NULL,
    place TEXT NOT NULL,
    payload BLOB NOT NULL,
    reason TEXT NOT NULL
) STRICT;
INSERT INTO "refused" VALUES(1,'shop-broker',1799755200000,'wood/t9',X'007B2274','no JSON');
CREATE TABLE remote_late (
    remote TEXT PRIMARY KEY,
    number INTEGER NOT NULL,
    place TEXT NOT NULL
) STRICT, WITHOUT ROWID;
CREATE TABLE remote_series (
    remote TEXT NOT NULL,
    series INTEGER NOT NULL,
    t_ms INTEGER NOT NULL,
    PRIMARY KEY (remote, series)
) STRICT, WITHOUT ROWID;
CREATE TABLE replaced (
    series INTEGER NOT NULL,
    t_ms INTEGER NOT NULL,
    value REAL NOT NULL,
    flags INTEGER NOT NULL,
    raw REAL,
    replaced_ms INTEGER NOT NULL
) STRICT;
INSERT INTO "replaced" VALUES(1,1799755200000,19.5,0,NULL,1799755200000);
CREATE TABLE series (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL UNIQUE
) STRICT;
INSERT INTO "series" VALUES(1,'t1/temperature_c');
INSERT INTO "series" VALUES(2,'t1/humidity_pct');
CREATE TABLE setting (
    name TEXT PRIMARY KEY,
    value TEXT NOT NULL
) STRICT;
INSERT INTO "setting" VALUES('timezone','America/New_York');
CREATE TABLE thinned (
    series INTEGER PRIMARY KEY,
    raw_from_ms INTEGER NOT NULL
) STRICT;
CREATE INDEX journal_by_time ON journal (t_ms);
CREATE INDEX alert_standing ON alert (raised_ms) WHERE state <> 'normal';
CREATE INDEX alert_change_by_time ON alert_change (changed_ms);
COMMIT;
