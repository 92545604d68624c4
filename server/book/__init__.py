"""The bench book: one file a question, each answered from published figures alone."""
