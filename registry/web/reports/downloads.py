"""A PDF as a response: shown in the browser, kept by nobody in between."""

from django.http import HttpResponse

from sites.models import Site


def pdf_response(content: bytes, site: Site, name: str) -> HttpResponse:
    """Return a PDF under a name that says what it is and of which site; a site's code is a plain word."""
    return pdf_named(content, f"{name}-{site.code}")


def pdf_named(content: bytes, name: str) -> HttpResponse:
    """Return a PDF under a name of plain letters, digits and hyphens."""
    disposition = f'inline; filename="{name}.pdf"'
    headers = {"Content-Disposition": disposition, "Cache-Control": "private, no-store"}
    return HttpResponse(content, content_type="application/pdf", headers=headers)
