"""An invented climbing hall: nine zones on one old amplifier with twelve channels, as a survey, and the same by hand.

Three classes: six zones of the house, two with a source of their own, one that closes earlier. Every zone is read
twice: as agreed, which a baseline freezes, and once more with 0.283 V at the terminals, which is −20 dB re 2.83 V.
"""

from dataclasses import dataclass, replace
from datetime import UTC, datetime

from registry.baselines.actions import freeze_baseline
from registry.engineering.folding import AmplifierType, FoldCoil, FoldZone, Mode, Wiring
from registry.exchange.importing import import_survey
from sites.models import Site, User

CODE = "millrace"
AGREED, DRIVEN = "2026-03-02T07:00", "2026-06-01T07:00"
FROZEN_AT = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
DRIVE_V = 0.283


@dataclass(frozen=True)
class Zone:
    """One zone: loudspeakers of one model, level at 2.83 V with all in parallel, wanted level, class."""

    name: str
    count: int
    ohm: int
    at_283_db: float
    wanted_db: float
    source: str = "Stream 1"
    hours: str = ""
    inputs: int = 1


ZONES = (
    Zone("Foyer", 4, 8, 81.0, 61.0),
    Zone("Boulder hall", 6, 8, 83.0, 66.0),
    Zone("Lead wall", 8, 8, 84.0, 66.0),
    Zone("Café", 3, 16, 80.0, 62.0),
    Zone("Shop", 2, 8, 79.0, 58.5),
    Zone("Corridor", 4, 16, 80.5, 57.0),
    Zone("Training room", 2, 6, 82.0, 60.0, source="Stream 2"),
    Zone("Office", 1, 8, 78.0, 55.5, source="Stream 2", inputs=2),
    Zone("Terrace", 2, 8, 72.0, 63.0, hours="until eight"),
)
LOUDSPEAKERS = {(8, 1): "CL-8", (16, 1): "PD-16", (6, 1): "WB-6", (8, 2): "CL-2X8"}


LINE_COLUMNS = (
    "site,line,amplifier,channel,life_safety,kind,string,order,"
    "loudspeaker,make,model,coil,zone,plus,minus,cable,cable_m"
)


def lines_csv() -> str:
    """One line for each zone, every coil a string of its own with its own cable to the rack."""
    rows = [LINE_COLUMNS]
    number = 0
    for at, zone in enumerate(ZONES, start=1):
        for unit in range(zone.count):
            number += 1
            for coil in range(1, zone.inputs + 1):
                string = unit * zone.inputs + coil
                model, colours = LOUDSPEAKERS[zone.ohm, zone.inputs], "red,black" if coil == 1 else "white,green"
                head = f"{CODE},L{at} {zone.name},Old amplifier,{at},no,low,{string},1,LS-{number:02d},Make C,{model}"
                rows.append(f"{head},{coil},{zone.name},{colours},1.5 mm2,{8 + 3 * unit}")
    return "\n".join(rows) + "\n"


def levels_csv() -> str:
    """What was agreed, and what was read with the volts at the terminals."""
    rows = ["site,zone,state,taken_at,dial,cap,level_db,drive_v,spot,meter,meter_class,track"]
    for zone in ZONES:
        tail = "P1,Meter A,2,Track 1"
        rows.append(f"{CODE},{zone.name},as left,{AGREED},50,60,{zone.wanted_db},,{tail}")
        rows.append(f"{CODE},{zone.name},as found,{DRIVEN},50,60,{zone.at_283_db - 20:.1f},{DRIVE_V},{tail}")
    return "\n".join(rows) + "\n"


MODELS = """make,model,kind,rack_units,price,currency
Make A,NA-2,amplifier,1,640,GBP
Make B,MZ-12,amplifier,4,,
"""
RATINGS = """make,model,channels,load_ohm,line_v,power_w,min_load_ohm
Make A,NA-2,2,8,,40,4
Make A,NA-2,2,4,,70,4
Make A,NA-2,2,,100,120,
Make B,MZ-12,12,8,,30,4
"""
SPECS = """make,model,impedance_ohm,power_w,sensitivity_db,coils
Make C,CL-8,8,40,89,1
Make C,PD-16,16,40,87,1
Make C,WB-6,6,60,90,1
Make C,CL-2X8,8,40,88,2
"""
SITES = f"""site,client,name,time_zone,units,voice_alarm
{CODE},Millrace Climbing,Millrace Hall,Europe/London,metric,no
"""
EQUIPMENT = f"""site,place,tag,make,model,rack,position_u
{CODE},Old amplifier,MH-1,Make B,MZ-12,Rack A,10
"""
SETTINGS = f"""site,place,state,taken_at,key,value,unit
{CODE},Old amplifier,as found,{AGREED},input,Stream 1,
"""


def zones_csv() -> str:
    """Every zone in a space of its own name."""
    rows = [f"{CODE},{zone.name},{zone.name},{zone.source},P1,50,2" for zone in ZONES]
    return "\n".join(["site,zone,space,source,spot,default_position,tolerance_db", *rows]) + "\n"


def files(**changed: str) -> dict[str, bytes]:
    """The survey, whole or with some of its files changed."""
    texts = {
        "clients": "client\nMillrace Climbing\n",
        "sites": SITES,
        "racks": f"site,rack,height_u\n{CODE},Rack A,18\n",
        "models": MODELS,
        "ratings": RATINGS,
        "loudspeakers": SPECS,
        "equipment": EQUIPMENT,
        "spaces": "site,space\n" + "".join(f"{CODE},{zone.name}\n" for zone in ZONES),
        "zones": zones_csv(),
        "lines": lines_csv(),
        "levels": levels_csv(),
        "settings": SETTINGS,
    }
    return {f"{name}.csv": text.encode() for name, text in (texts | changed).items()}


def make_site(by: User, **changed: str) -> Site:
    """Import the survey and freeze what was agreed before the later readings come in."""
    whole = files(**changed)
    agreed = b"\n".join(row for row in whole["levels.csv"].split(b"\n") if DRIVEN.encode() not in row)
    import_survey(whole | {"levels.csv": agreed}, by=by)
    site = Site.objects.get(code=CODE)
    freeze_baseline(by=by, site=site, reason="As agreed", with_exceptions=True, at=FROZEN_AT)
    import_survey(whole, by=by)
    return site


def by_hand(tolerance_db: float) -> list[FoldZone]:
    """The same zones written without the register: what an outside check enumerates."""
    made = []
    for zone in ZONES:
        coils = tuple(
            FoldCoil(
                f"{zone.name} {unit}",
                float(zone.ohm),
                str(coil),
                f"Make C {LOUDSPEAKERS[zone.ohm, zone.inputs]}",
                zone.name,
                60.0 if zone.ohm == 6 else 40.0,
            )
            for unit in range(zone.count)
            for coil in range(1, zone.inputs + 1)
        )
        plain = FoldZone(
            name=zone.name,
            coils=coils,
            wanted_db=zone.wanted_db,
            level_at_283_db=zone.at_283_db,
            life_safety="no",
            source=zone.source,
            hours=zone.hours,
            today=Wiring(1, 1),
        )
        made.append(replace(plain, tolerance_db=tolerance_db))
    return made


# 70 W into 4 Ω gives √280 V; 20 lg(√280/2.83) is 15.4 dB, less 12 dB for the peaks of music (common practice).
NA_2 = AmplifierType("Make A NA-2", (Mode("low impedance", 2, 4.0, max_drive_db=3.4358516029363884),), price=640.0)
