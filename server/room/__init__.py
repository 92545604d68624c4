"""Zones as rooms: the air at their walls, iron and shelves, how leaky they are, and what holds their aim tonight."""
