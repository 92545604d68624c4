"""Where the record lives. :mod:`server.stores.port` is the seam; SQLite is the store, others may follow."""
