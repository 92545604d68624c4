-- The state of a lot's wood at a midnight of UTC, so that what is told late need not be run from the beginning. One
-- never survives what it does not know: whoever writes into its past deletes it in the same transaction.
CREATE TABLE checkpoint (
    id INTEGER PRIMARY KEY,
    at_ms INTEGER NOT NULL,
    lot TEXT NOT NULL,
    state BLOB NOT NULL,
    UNIQUE (at_ms, lot)
) STRICT;
