-- Pictures that people put beside lots, as they came. kind is the media type. One is never changed.
CREATE TABLE picture (
    id TEXT PRIMARY KEY,
    kind TEXT NOT NULL,
    data BLOB NOT NULL,
    t_ms INTEGER NOT NULL
) STRICT;
