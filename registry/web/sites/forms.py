"""Forms of clients, sites, spaces and racks."""

from typing import Any

from django import forms

from registry.web.forms import SavedByAction
from sites.models import Client, Rack, Site, Space, time_zones


class ClientForm(SavedByAction[Client]):
    """The business that pays, and whom to ask for."""

    class Meta:
        """Everything."""

        model = Client
        fields = ("name", "contact", "email", "phone")


class SiteForm(SavedByAction[Site]):
    """One address of a client."""

    class Meta:
        """All but the client: a site keeps its own."""

        model = Site
        fields = ("name", "code", "address", "time_zone", "units", "voice_alarm", "access_notes")
        labels = {
            "units": "Units",
            "voice_alarm": "Voice alarm, fire alarm or emergency paging here?",
            "time_zone": "Time zone",
        }
        help_texts = {
            "voice_alarm": "Unknown counts as yes: this register doesn't cover it and offers no change to it."
        }
        widgets = {"address": forms.Textarea({"rows": 3}), "access_notes": forms.Textarea({"rows": 4})}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = [("", "Choose"), *((name, name) for name in sorted(time_zones()))]
        self.fields["time_zone"].widget = forms.Select(choices=choices)


class SpaceForm(SavedByAction[Space]):
    """A room or outdoor area."""

    class Meta:
        """Everything but the site."""

        model = Space
        fields = ("name", "ceiling_m", "listener_height_m", "area_m2", "use", "notes")


class RackForm(SavedByAction[Rack]):
    """An enclosure and its limits."""

    class Meta:
        """Everything but the site."""

        model = Rack
        fields = ("name", "space", "height_u", "max_load_kg", "circuit_v", "circuit_a", "ups_va", "ups_w", "ups_wh")

    def __init__(self, *args: Any, site: Site, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        space = self.fields["space"]
        assert isinstance(space, forms.ModelChoiceField)
        space.queryset = site.spaces.all()
        space.empty_label = "Not known"
