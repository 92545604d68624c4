"""The physics of air and wood: pure functions on floats and NumPy arrays. No clock, no store, no configuration."""
