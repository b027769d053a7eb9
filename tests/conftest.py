"""What holds for all tests."""

from hypothesis import HealthCheck, settings

# How long an example takes tells of the machine and of what else runs on it, not of the code.
settings.register_profile("any machine", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("any machine")
