"""The fictional workshop: its weather, its air, its sensors, the past laid down before it and its live play."""
