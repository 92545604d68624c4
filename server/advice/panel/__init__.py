"""What is asked of a panel: one file a question."""
