"""Property tests here are the same on every run, and a busy machine does not fail them."""

from hypothesis import settings

settings.register_profile("repeatable", derandomize=True, database=None, deadline=None, max_examples=60)
settings.load_profile("repeatable")
