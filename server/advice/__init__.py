"""What to do with a lot: one file a question, each answered for that lot in its air."""
