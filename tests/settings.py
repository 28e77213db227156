"""Settings of the test run: the project's own, with a fast password hash and plain static files."""

import os

os.environ.setdefault("EVENKEEL_DEBUG", "true")

from registry.settings import *  # noqa: F403

DEBUG = False
# Uploads of one test process never meet those of another, nor those of a running development server.
STATE_DIR = STATE_DIR / "test" / os.environ.get("PYTEST_XDIST_WORKER", "main")
MEDIA_ROOT = STATE_DIR / "media"
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]

# A connection that a live server's thread keeps open would stop the test database from being dropped.
DATABASES["default"]["CONN_MAX_AGE"] = 0

if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    # A file, not memory: threads of a live server share it as the workers of a real server would.
    STATE_DIR.mkdir(parents=True, exist_ok=True)
    DATABASES["default"]["TEST"] = {"NAME": str(STATE_DIR / f"test{os.environ.get('EVENKEEL_TEST_DB', '')}.sqlite3")}
