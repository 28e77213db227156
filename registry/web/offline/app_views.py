"""What a browser fetches without anybody being signed in: worker, manifest, and the page for pages not kept."""

import json

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.templatetags.static import static
from django.views.decorators.http import require_safe

from registry.web.offline.app import SCRIPTS, WORKER, manifest_content, shell_addresses, version


@require_safe
@login_not_required
def worker(request: HttpRequest) -> HttpResponse:
    """Return the service worker, with the names that its files have in this version put in front."""
    given = {"VERSION": version(), "SHELL": shell_addresses(), "SCRIPTS": [static(name) for name in SCRIPTS]}
    lines = [f"const {name} = {json.dumps(value)};" for name, value in given.items()]
    script = "\n".join([*lines, WORKER.read_text(encoding="utf-8")])
    return HttpResponse(script, content_type="text/javascript; charset=utf-8", headers={"Cache-Control": "no-cache"})


@require_safe
@login_not_required
def manifest(request: HttpRequest) -> HttpResponse:
    """Return what makes an app of it on a phone."""
    return JsonResponse(manifest_content(), content_type="application/manifest+json")


@require_safe
@login_not_required
def not_kept(request: HttpRequest) -> HttpResponse:
    """Show what to do where there is no network and the page is not on this phone."""
    return render(request, "offline/not_kept.html")
