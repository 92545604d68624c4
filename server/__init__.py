"""The server: owns sensors, store, model, alerts and the HTTP door. Read :mod:`server.engine` first."""
