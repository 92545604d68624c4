"""May these boards be glued now? One file a question; :mod:`server.advice.glue_up.catalog` has them in order."""
