"""One file a rule. A rule is handed values and returns findings; it calls nothing. :mod:`server.rules.catalog` lists them."""
