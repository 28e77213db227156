"""A row and the file that it names: both are kept, or neither."""

import uuid

from django.core.files.base import ContentFile
from django.db import models


def save_with_file(row: models.Model, field: str, data: bytes, *, ending: str = "") -> None:
    """Keep `data` under a random name in the row's file field, and save the row.

    When the row is refused, its file goes again and the refusal is raised.
    """
    file = getattr(row, field)
    file.save(f"{uuid.uuid4().hex}{ending}", ContentFile(data), save=False)
    try:
        row.save()
    except Exception:
        file.delete(save=False)
        raise
