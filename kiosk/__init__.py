"""The wall: a thin client of the server's HTTP door. Imports nothing from the server or the sensors."""
