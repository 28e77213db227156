"""Documents of sites and sweeps of their networks: to be read. The files themselves are on the pages."""

import django_filters
from django.db.models import QuerySet
from rest_framework import serializers

from registry.api.fields import Reference
from registry.api.filters import IdFilter, OfSite
from registry.api.rows import Row
from registry.api.views import Resource
from registry.equipment.document_queries import documents_visible_to
from registry.equipment.models.documents import Document, DocumentKind
from registry.equipment.models.sweeps import NetworkSweep
from registry.equipment.sweep_queries import sweeps_visible_to
from sites.models import User
from sites.queries import sites_visible_to


class DocumentRow(Row):
    """What a document is, without its file."""

    site = Reference(sites_visible_to, read_only=True)
    place = serializers.IntegerField(source="place_id", read_only=True, allow_null=True, min_value=1)
    size = serializers.IntegerField(read_only=True, min_value=0, help_text="In bytes.")

    class Meta:
        """All but the file."""

        model = Document
        fields = ("id", "site", "place", "kind", "title", "name", "size", "dated_on", "for_owner", "uploaded_at")
        read_only_fields = fields


class DocumentFilter(OfSite):
    """By place and kind too."""

    place = IdFilter("place_id", label="Id of the place.")
    kind = django_filters.ChoiceFilter(choices=DocumentKind.choices)


class Documents(Resource):
    """Documents. An owner finds those that are for the owner."""

    serializer_class = DocumentRow
    filterset_class = DocumentFilter
    search_fields = ("title", "name")
    orders = ("title", "-uploaded_at", "id")

    def rows(self, user: User) -> QuerySet[Document]:
        """Return the documents that the reader may see."""
        return documents_visible_to(user)


class SweepRow(Row):
    """When a network was looked through, and from which file that came."""

    site = Reference(sites_visible_to, read_only=True)

    class Meta:
        """Everything."""

        model = NetworkSweep
        fields = ("id", "site", "swept_at", "source", "recorded_at")
        read_only_fields = fields


class Sweeps(Resource):
    """Sweeps of networks."""

    serializer_class = SweepRow
    filterset_class = OfSite
    orders = ("-swept_at", "id")

    def rows(self, user: User) -> QuerySet[NetworkSweep]:
        """Return the sweeps of the reader's sites."""
        return sweeps_visible_to(user)
