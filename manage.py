#!/usr/bin/env python
"""The command line of Evenkeel: `manage.py help` lists what it can do."""

import os
import sys

from django.core.exceptions import ImproperlyConfigured
from django.core.management import execute_from_command_line

from sites.origin import coming_from, this_command

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "registry.settings")
    try:
        with coming_from(this_command(sys.argv)):
            execute_from_command_line(sys.argv)
    except ImproperlyConfigured as error:
        sys.exit(f"{error}\n(To try things out, set EVENKEEL_DEBUG=true.)")
