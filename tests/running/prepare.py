"""Runs with the settings of production: collects static files, records a tech and a visit to make."""

# ruff: noqa: E402 (Django has to be set up first)
import os
import sys

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "registry.settings")

import django

django.setup()

from django.core.management import call_command

from registry.demo.factories import UserFactory
from registry.demo.factories.visits import VisitFactory
from sites.models import Role

if __name__ == "__main__":
    call_command("collectstatic", interactive=False, verbosity=0)
    tech = UserFactory(pk=1, username="tess", role=Role.TECH)
    tech.set_password(sys.argv[1])
    tech.save()
    VisitFactory(pk=1, site__code="mill", tech=tech)
