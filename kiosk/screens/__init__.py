"""One file a screen, each with its layout beside it. Screens do not know each other; the catalog lists them."""
