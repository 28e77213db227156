"""A PDF as a response: shown in the browser, kept by nobody in between."""

from django.http import HttpResponse

from sites.models import Site


def pdf_response(content: bytes, site: Site, name: str) -> HttpResponse:
    """Return a PDF under a name that says what it is and of which site; a site's code is a plain word."""
    disposition = f'inline; filename="{name}-{site.code}.pdf"'
    headers = {"Content-Disposition": disposition, "Cache-Control": "private, no-store"}
    return HttpResponse(content, content_type="application/pdf", headers=headers)
