"""What is done at a visit, by kind. Intervals and what passes are in registry/visits/task_list.py."""

from django.db import models


class TaskKind(models.TextChoices):
    """The usual tasks of planned maintenance (common practice)."""

    LEVELS = "levels", "Level of each zone at its spot"
    CONTROLS = "controls", "Dials at their default position"
    INPUTS = "inputs", "Settings against the baseline"
    LISTEN = "listen", "Listen at every loudspeaker"
    IMPEDANCE = "impedance", "Impedance of each line at the terminals"
    FILTERS = "filters", "Filters and vents"
    FANS = "fans", "Fans and temperature"
    TERMINALS = "terminals", "Terminals"
    CABLES = "cables", "Cables and joints"
    FIXINGS = "fixings", "Ceiling fixings"
    UPS_TEST = "ups test", "UPS on its battery"
    UPS_BATTERY = "ups battery", "Age of the UPS battery"
    POWER_CUT = "power cut", "Power-cut test"
    MUTE_CONTACT = "mute contact", "Mute contact: result of the witnessed test"
    FIRMWARE = "firmware", "Firmware"
    CONFIGURATION = "configuration", "Copy of the configuration"
    NETWORK = "network", "Switches, access points, router"
    ACCOUNTS = "accounts", "Accounts and licences"
    LABELS = "labels", "Labels, rack sheet, door card"
    OTHER = "other", "Other"
