"""The wires: everything that turns bytes from a device into :class:`sensors.sample.RawSample`. Nothing of wood."""
