"""A small invented survey that every exchange test starts from, and ways to break it."""

from collections.abc import Mapping

SMALL: Mapping[str, str] = {
    "clients.csv": "client,contact,email,phone\nGreen Acre Ltd,Manager on duty,office@example.com,+1 555 0100\n",
    "sites.csv": (
        "site,client,name,address,time_zone,units,access_notes,voice_alarm\n"
        "acre,Green Acre Ltd,Green Acre shop,1 Mill Lane,Europe/London,metric,Key at the till,no\n"
    ),
    "spaces.csv": "site,space,ceiling_m,listener_height_m,area_m2,use,notes\nacre,Shop,9 ft,1.2,120,shop,\n",
    "racks.csv": "site,rack,space,height_u,max_load_kg,circuit_v,circuit_a,ups_va,ups_w,ups_wh\nacre,A,Shop,12,100,230,10,,,\n",
    "models.csv": (
        "make,model,kind,rack_units,weight_kg,idle_w,max_w,poe_w,life_years,price,currency\n"
        "Make A,A2,amplifier,1,4.5,12,180,,12,349.50,EUR\n"
        "Make B,C6,loudspeaker,,1.2,,,,15,80,EUR\n"
    ),
    "ratings.csv": (
        "make,model,channels,load_ohm,line_v,power_w,min_load_ohm\n"
        "Make A,A2,2,8,,60,4\nMake A,A2,2,4,,100,4\nMake A,A2,2,,100,120,\n"
    ),
    "loudspeakers.csv": (
        "make,model,impedance_ohm,min_impedance_ohm,power_w,sensitivity_db,coverage_deg,coils,taps_w,insertion_loss_db\n"
        "Make B,C6,8,6.5,60,88,90,1,10 5 2.5,1\n"
    ),
    "equipment.csv": (
        "site,place,tag,make,model,rack,position_u,serial,mac,ip,hostname,switch,port,installed_on,warranty_until,status\n"
        "acre,Amplifier 1,AMP-1,Make A,A2,A,3,S100,02-00-5E-10-00-01,192.0.2.10,amp1,Switch,4,2024-02-29,2027-02-28,in service\n"
    ),
    "zones.csv": "site,zone,space,source,spot,default_position,tolerance_db\nacre,Shop,Shop,Stream 1,P1 by the till,50,2\nacre,Yard,,Stream 1,P2 gate,,\n",
    "lines.csv": (
        "site,line,amplifier,channel,life_safety,kind,string,order,loudspeaker,make,model,coil,tap_w,zone,plus,minus,cable,cable_m\n"
        "acre,L1,Amplifier 1,A,no,low,1,1,LS1,Make B,C6,,,Shop,red,black,18 AWG,20 ft\n"
        "acre,L1,Amplifier 1,A,no,low,1,2,LS2,Make B,C6,,,Shop,red,black,18 AWG,10\n"
        "acre,L2,Amplifier 1,B,no,100,1,1,LS3,Make B,C6,,10,Yard,white,green,1.5 mm2,50\n"
        "acre,L2,Amplifier 1,B,no,100,1,2,LS4,Make B,C6,,5,Yard,white,green,1.5 mm2,25\n"
    ),
    "settings.csv": (
        "site,place,state,taken_at,key,value,unit\n"
        "acre,Amplifier 1,as left,2025-06-01T10:00,source,Stream 1,\n"
        "acre,Amplifier 1,as left,2025-06-01T10:00,power-cut test,returns to the stream,\n"
        "acre,Amplifier 1,as left,2025-06-01T10:00,bass,-2,dB\n"
    ),
    "levels.csv": (
        "site,zone,state,taken_at,dial,cap,level_db,background_db,drive_v,spot,meter,meter_class,track\n"
        "acre,Shop,as left,2025-06-01T10:30,50,60,62.5,45,1.2,P1 by the till,Meter A,2,Track 1\n"
        "acre,Yard,as left,2025-06-01T10:40,50,80,66,50,,P2 gate,Meter A,2,Track 1\n"
    ),
}


def survey(**changed: str) -> dict[str, bytes]:
    """Return the small survey; `lines="..."` puts another text in the place of lines.csv."""
    files = dict(SMALL) | {f"{name}.csv": text for name, text in changed.items()}
    return {name: text.encode() for name, text in files.items()}


def edited(name: str, old: str, new: str) -> dict[str, bytes]:
    """Return the small survey with one piece of one file replaced."""
    text = SMALL[f"{name}.csv"]
    assert old in text, f"{old!r} is not in {name}.csv"
    return survey(**{name: text.replace(old, new)})
