"""`manage.py demo`."""
