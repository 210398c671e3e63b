"""What all tests share."""

from hypothesis import settings

# A deadline would test the machine; the seed is fixed so that a run can be repeated.
settings.register_profile("kit", deadline=None, derandomize=True, max_examples=60)
settings.load_profile("kit")
