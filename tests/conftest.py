"""What holds for every test."""

from hypothesis import settings

# A slow machine is no fault of the code: no example fails for the time it took.
settings.register_profile("longrow", deadline=None)
settings.load_profile("longrow")
