"""How gunicorn serves: `gunicorn -c python:registry.serving registry.wsgi`. What it says goes into the same log.

The address is told on the command line (`--bind`), the number of workers there or by WEB_CONCURRENCY.
"""

from typing import Any

from registry.environment import env_bool
from registry.logs import logging_to_stderr

worker_class = "gthread"
threads = 4
# The longest a page may take: a survey of 200 sites, or a long PDF, on a slow machine.
timeout = 120
# A reload or stop lets what has begun come to its end.
graceful_timeout = 60
keepalive = 5
# No one worker lives for ever; not all end at once.
max_requests = 10_000
max_requests_jitter = 1_000
# Whoever runs the service steers it by signals; a second door isn't needed.
control_socket_disable = True


def _logging() -> dict[str, Any]:
    config = logging_to_stderr(debug=env_bool("EVENKEEL_DEBUG", default=False))
    said = {"handlers": ["stderr"], "propagate": False, "level": "INFO"}
    config["loggers"] |= {"gunicorn.error": said, "gunicorn.access": {"handlers": [], "propagate": False}}
    return config


logconfig_dict = _logging()
