"""What holds for every test."""

from hypothesis import settings

# A deadline would assert a time, and a busy machine would fail it.
settings.register_profile("everyedge", deadline=None)
settings.load_profile("everyedge")
