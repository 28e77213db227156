"""A photo as a response: looked at, never run."""

from django.db.models.fields.files import FieldFile
from django.http import Http404, HttpResponse

# Whatever a browser takes it for, it may load and do nothing.
HEADERS = {"Content-Security-Policy": "default-src 'none'; sandbox", "Cache-Control": "private, max-age=3600"}


def picture_response(image: FieldFile) -> HttpResponse:
    """Return the picture itself; 404 when it is no longer on the disk."""
    try:
        with image.open("rb") as file:
            picture = file.read()
    except FileNotFoundError as error:
        raise Http404("the picture is no longer on the disk") from error
    return HttpResponse(picture, content_type="image/jpeg", headers=HEADERS)
