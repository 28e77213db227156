"""The form that takes a survey: a zip, or the CSV files themselves."""

from typing import Any

from django import forms
from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.template.defaultfilters import filesizeformat

from registry.exchange.folder import SurveyRefusedError, files_of_zip


class SeveralFiles(forms.ClearableFileInput):
    """A file input that takes more than one."""

    allow_multiple_selected = True


class SurveyFilesField(forms.FileField):
    """Files by name: those of a zip, or those that were chosen."""

    widget = SeveralFiles

    def clean(self, data: Any, initial: Any = None) -> dict[str, bytes]:
        """Read what was sent; refuse too much of it, and what is neither CSV nor zip."""
        sent = [super(SurveyFilesField, self).clean(each, initial) for each in (data or [None])]
        too_large(sum(upload.size for upload in sent))
        files: dict[str, bytes] = {}
        for upload in sent:
            for name, content in _files_of(upload).items():
                if name in files:
                    raise forms.ValidationError(f"{name} was chosen twice: one survey at a time.")
                files[name] = content
        too_large(sum(len(content) for content in files.values()))
        return files


def too_large(size: int) -> None:
    """Refuse more bytes than one import may have."""
    most = settings.SURVEY_MAX_BYTES
    if size > most:
        says = f"This is {filesizeformat(size)}; one import takes {filesizeformat(most)}. Import a part at a time."
        raise forms.ValidationError(says, code="too_large")


def _files_of(upload: "UploadedFile[bytes]") -> dict[str, bytes]:
    name, content = str(upload.name), upload.read()
    if name.lower().endswith(".zip"):
        try:
            return files_of_zip(content, most_bytes=settings.SURVEY_MAX_BYTES)
        except SurveyRefusedError as refused:
            raise forms.ValidationError([str(problem) for problem in refused.problems]) from refused
    if name.lower().endswith(".csv"):
        return {name: content}
    raise forms.ValidationError(f"{name} is neither a zip nor a CSV file.")


class SurveyForm(forms.Form):
    """Which survey."""

    survey = SurveyFilesField(
        label="Survey",
        help_text="A zip of a survey folder, or its CSV files, all at once. Nothing is written before you confirm.",
        widget=SeveralFiles(attrs={"accept": ".zip,.csv"}),
    )

    @property
    def is_too_large(self) -> bool:
        """Whether it was refused for its size."""
        return self.has_error("survey", "too_large")
