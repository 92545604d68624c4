"""One file a rule. A rule is handed values and returns findings; it calls nothing. ``catalog`` lists them."""
