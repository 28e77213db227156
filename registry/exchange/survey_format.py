"""The files of a survey folder and their columns, in the order in which they are read and written."""

from dataclasses import dataclass

from registry.audio.models import Coil, Line, Loudspeaker, Zone
from registry.baselines.models import Reading
from registry.equipment.models import (
    ConfigurationRecord,
    Item,
    LoudspeakerSpec,
    Make,
    MakeModel,
    Place,
    Placement,
    Rating,
    Setting,
)
from registry.exchange.columns import Column, cable_size, column, iso_moment, like, watts
from sites.addresses import mac_address
from sites.models import Client, Rack, Site, Space


@dataclass(frozen=True)
class SurveyFile:
    """One file: its name, its columns, those that make a row unique in it, and those that order an export."""

    name: str
    columns: tuple[Column, ...]
    key: tuple[str, ...]
    in_order_of: tuple[str, ...] = ()

    @property
    def order(self) -> tuple[str, ...]:
        """The columns that an export is sorted by."""
        return self.in_order_of or self.key


SITE = column("site", like(Site, "code"), required=True)
MAKE = column("make", like(Make, "name"), required=True)
MODEL = column("model", like(MakeModel, "name"), required=True)
STATE = column("state", like(ConfigurationRecord, "state"), required=True)
TAKEN_AT = column("taken_at", iso_moment, required=True)

CLIENTS = SurveyFile(
    "clients.csv",
    (
        column("client", like(Client, "name"), required=True),
        *(column(name, like(Client, name)) for name in ("contact", "email", "phone")),
    ),
    ("client",),
)
SITES = SurveyFile(
    "sites.csv",
    (
        SITE,
        column("client", like(Client, "name"), required=True),
        column("name", like(Site, "name"), required=True),
        column("address", like(Site, "address")),
        column("time_zone", like(Site, "time_zone"), required=True),
        *(column(name, like(Site, name)) for name in ("units", "access_notes", "voice_alarm")),
    ),
    ("site",),
)
SPACES = SurveyFile(
    "spaces.csv",
    (
        SITE,
        column("space", like(Space, "name"), required=True),
        *(column(name, like(Space, name)) for name in ("ceiling_m", "listener_height_m", "area_m2", "use", "notes")),
    ),
    ("site", "space"),
)
RACK_LIMITS = ("max_load_kg", "circuit_v", "circuit_a", "ups_va", "ups_w", "ups_wh")
RACKS = SurveyFile(
    "racks.csv",
    (
        SITE,
        column("rack", like(Rack, "name"), required=True),
        column("space", like(Space, "name")),
        column("height_u", like(Rack, "height_u"), required=True),
        *(column(name, like(Rack, name)) for name in RACK_LIMITS),
    ),
    ("site", "rack"),
)
MODEL_FACTS = ("rack_units", "weight_kg", "idle_w", "max_w", "poe_w", "life_years", "price", "currency")
MODELS = SurveyFile(
    "models.csv",
    (
        MAKE,
        MODEL,
        column("kind", like(MakeModel, "kind"), required=True),
        *(column(name, like(MakeModel, name)) for name in MODEL_FACTS),
    ),
    ("make", "model"),
)
RATING_FACTS = ("channels", "load_ohm", "line_v", "power_w", "min_load_ohm")
RATINGS = SurveyFile(
    "ratings.csv",
    (MAKE, MODEL, *(column(name, like(Rating, name)) for name in RATING_FACTS)),
    ("make", "model", "load_ohm", "line_v"),
)
SPEC_FACTS = ("impedance_ohm", "min_impedance_ohm", "power_w", "sensitivity_db", "coverage_deg", "coils")
LOUDSPEAKERS = SurveyFile(
    "loudspeakers.csv",
    (
        MAKE,
        MODEL,
        *(column(name, like(LoudspeakerSpec, name)) for name in SPEC_FACTS),
        column("taps_w", watts),
        column("insertion_loss_db", like(LoudspeakerSpec, "insertion_loss_db")),
    ),
    ("make", "model"),
)
EQUIPMENT = SurveyFile(
    "equipment.csv",
    (
        SITE,
        column("place", like(Place, "name"), required=True),
        column("tag", like(Item, "tag"), required=True),
        MAKE,
        MODEL,
        column("rack", like(Rack, "name")),
        column("position_u", like(Place, "position_u")),
        column("serial", like(Item, "serial")),
        column("mac", mac_address),
        *(column(name, like(Place, name)) for name in ("ip", "hostname", "switch", "port")),
        column("installed_on", like(Placement, "installed_on")),
        column("warranty_until", like(Item, "warranty_until")),
        column("status", like(Item, "status")),
        column("face", like(Place, "face")),
    ),
    ("site", "place"),
)
ZONES = SurveyFile(
    "zones.csv",
    (
        SITE,
        column("zone", like(Zone, "name"), required=True),
        column("space", like(Space, "name")),
        *(column(name, like(Zone, name)) for name in ("source", "spot", "default_position", "tolerance_db")),
    ),
    ("site", "zone"),
)
LINES = SurveyFile(
    "lines.csv",
    (
        SITE,
        column("line", like(Line, "name"), required=True),
        column("amplifier", like(Place, "name"), required=True),
        column("channel", like(Line, "channel"), required=True),
        column("life_safety", like(Line, "life_safety")),
        column("kind", like(Line, "kind"), required=True),
        column("string", like(Coil, "string"), required=True),
        column("order", like(Coil, "order"), required=True),
        column("loudspeaker", like(Loudspeaker, "label"), required=True),
        MAKE,
        MODEL,
        column("coil", like(Coil, "coil"), default="1"),
        column("tap_w", like(Coil, "tap_w")),
        column("zone", like(Zone, "name"), required=True),
        column("plus", like(Coil, "plus")),
        column("minus", like(Coil, "minus")),
        column("cable", cable_size),
        column("cable_m", like(Coil, "cable_m")),
    ),
    ("site", "coil", "loudspeaker"),
    ("site", "line", "string", "order", "loudspeaker", "coil"),
)
SETTINGS = SurveyFile(
    "settings.csv",
    (
        SITE,
        column("place", like(Place, "name"), required=True),
        STATE,
        TAKEN_AT,
        column("key", like(Setting, "key"), required=True),
        column("value", like(Setting, "value")),
        column("unit", like(Setting, "unit")),
    ),
    ("site", "place", "state", "taken_at", "key"),
)
READING_FACTS = ("background_db", "drive_v", "spot", "meter", "meter_class", "track")
LEVELS = SurveyFile(
    "levels.csv",
    (
        SITE,
        column("zone", like(Zone, "name"), required=True),
        STATE,
        TAKEN_AT,
        column("dial", like(Reading, "dial")),
        column("cap", like(Reading, "cap")),
        column("level_db", like(Reading, "level_db"), required=True),
        *(column(name, like(Reading, name)) for name in READING_FACTS),
    ),
    ("site", "zone", "state", "taken_at"),
)

FILES: tuple[SurveyFile, ...] = (
    CLIENTS,
    SITES,
    SPACES,
    RACKS,
    MODELS,
    RATINGS,
    LOUDSPEAKERS,
    EQUIPMENT,
    ZONES,
    LINES,
    SETTINGS,
    LEVELS,
)
