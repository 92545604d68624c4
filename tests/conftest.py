"""Drawn examples are the same on every run, and however busy the machine is: no test depends on its speed."""

from hypothesis import HealthCheck, settings

settings.register_profile("house", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("house")
