"""The app on the phone: which files it consists of, and the number that changes with any of them."""

import hashlib
from pathlib import Path
from typing import Any, Final

from django.templatetags.static import static
from django.urls import reverse

STATIC: Final = Path(__file__).resolve().parent.parent / "static"
# What the worker shares with the pages.
SCRIPTS: Final = ("offline/store.js", "offline/network.js", "offline/keep.js")
WORKER: Final = STATIC / "offline" / "worker.js"
# What the page needs that says that another page is not kept.
SHELL: Final = (
    "evenkeel.css",
    "drawings.css",
    "evenkeel.svg",
    "offline/offline.css",
    "offline/store.js",
    "offline/not-kept.js",
)
FROM_LIBRARIES: Final = ("django_htmx/htmx-2.min.js",)
SIZES: Final = ((192, "any"), (512, "any"), (512, "maskable"))
ACCENT: Final = "#0b5563"
PAPER: Final = "#fbfaf7"


def static_addresses() -> list[str]:
    """Return the addresses of everything static that pages use, as it is named today."""
    names = sorted(path.relative_to(STATIC).as_posix() for path in STATIC.rglob("*") if path.is_file())
    return [static(name) for name in (*names, *FROM_LIBRARIES) if not name.startswith("offline/icon")]


def shell_addresses() -> list[str]:
    """Return what the worker keeps from the beginning."""
    return [reverse("phone-not-kept"), reverse("manifest"), *(static(name) for name in SHELL)]


def version() -> str:
    """Return a number that changes whenever a static file does, so that an update replaces the worker."""
    digest = hashlib.sha256()
    for path in sorted(STATIC.rglob("*")):
        if path.is_file():
            digest.update(path.name.encode() + path.read_bytes())
    return digest.hexdigest()[:16]


def manifest_content() -> dict[str, Any]:
    """Return what a phone asks before it installs the app (W3C Web Application Manifest)."""
    icons = [
        {
            "src": static(f"offline/icon-{purpose}-{size}.png"),
            "sizes": f"{size}x{size}",
            "type": "image/png",
            "purpose": purpose,
        }
        for size, purpose in SIZES
    ]
    return {
        "name": "Evenkeel",
        "short_name": "Evenkeel",
        "id": "/",
        "start_url": "/",
        "scope": "/",
        "display": "standalone",
        "background_color": PAPER,
        "theme_color": ACCENT,
        "icons": icons,
    }
