"""Forms of documents and of references to secrets."""

from typing import Any

from django import forms

from registry.equipment.document_files import ENDINGS, MOST_BYTES
from registry.equipment.documents import Sent
from registry.equipment.models import Document, SecretReference, Withdrawal
from registry.web.fields import DayInput
from registry.web.forms import SavedByAction
from sites.models import Site

REFUSED = "Whatever holds a password, a key or a code is refused, with its line."


class DocumentForm(SavedByAction[Document]):
    """A file and what it is."""

    file = forms.FileField(
        help_text=f"At most {MOST_BYTES // 2**20} MB. {REFUSED}",
        widget=forms.ClearableFileInput({"accept": ",".join(f".{ending}" for ending in ENDINGS)}),
    )
    field_order = ("file", "title", "kind", "place", "dated_on", "looked_through", "for_owner")

    class Meta:
        """What people say of it; the rest follows from the file."""

        model = Document
        fields = ("title", "kind", "place", "dated_on", "looked_through", "for_owner")
        labels = {
            "place": "Place",
            "dated_on": "Dated",
            "looked_through": "I looked through it: no password, key or code is in it",
            "for_owner": "The owner may read it",
        }
        help_texts = {
            "title": "Such as: Router, exported configuration.",
            "dated_on": "The day that stands on it, or on which it was exported. Leave empty if not known.",
            "looked_through": "Asked for what the register can't read: PDF, photos, drawings, and exports in a form of"
            " their own. Text, and text in a zip, is read line by line.",
            "for_owner": "Off unless you say so. Keep it off for configurations: they tell how to get in.",
        }
        widgets = {"dated_on": DayInput}

    def __init__(self, *args: Any, site: Site, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        place = self.fields["place"]
        assert isinstance(place, forms.ModelChoiceField)
        place.queryset = site.places.all()
        place.empty_label = "The whole site"

    def sent(self) -> Sent:
        """Return the file, one byte more than may be kept at most: enough to be refused."""
        upload = self.cleaned_data["file"]
        return Sent(upload.name, upload.read(MOST_BYTES + 1))


class WithdrawForm(SavedByAction[Withdrawal]):
    """Why."""

    class Meta:
        """The reason alone."""

        model = Withdrawal
        fields = ("reason",)


class ReferenceForm(SavedByAction[SecretReference]):
    """Where a secret is kept and who may ask for it."""

    class Meta:
        """Everything but the site."""

        model = SecretReference
        fields = ("opens", "kept_where", "who_may_ask", "checked_on")
        help_texts = {
            "opens": "Such as: administration of the router.",
            "kept_where": "Such as: password safe of the office, entry 14. Never the secret itself.",
            "checked_on": "The day on which somebody last tried that it is there and opens.",
        }
        widgets = {"checked_on": DayInput}
