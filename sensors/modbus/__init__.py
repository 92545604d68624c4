"""Probes that answer Modbus RTU on an RS-485 bus: ``bus`` is the driver, ``link`` alone imports pymodbus."""
