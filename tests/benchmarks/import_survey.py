"""How long a survey import takes beside bulk-inserting the same rows with the ORM, in the same run.

    python -m tests.benchmarks.import_survey [--sites 200] [--quick]

Prints a table; asserts nothing. The database is the configured one's test database, made and dropped here.
"""

import argparse
import io
import os
import time
from collections.abc import Callable
from contextlib import redirect_stderr

import django


def survey_of(sites: int) -> dict[str, bytes]:
    """Return a survey of `sites` sites with 100 rows each, plus a small catalogue."""
    lines: dict[str, list[str]] = {name: [] for name in HEADERS}
    lines["clients.csv"] = [f"Client {number},,," for number in range(sites)]
    lines["models.csv"] = ["Make A,A2,amplifier,1,4.5,12,180,,12,349.50,EUR", "Make B,C6,loudspeaker,,1.2,,,,15,80,EUR"]
    lines["ratings.csv"] = ["Make A,A2,8,8,,60,4", "Make A,A2,8,4,,100,4"]
    lines["loudspeakers.csv"] = ["Make B,C6,8,6.5,60,88,90,1,,"]
    for number in range(sites):
        _site(lines, number)
    return {name: "\n".join([HEADERS[name], *rows, ""]).encode() for name, rows in lines.items()}


def _site(lines: dict[str, list[str]], number: int) -> None:
    code = f"s{number:04}"
    lines["sites.csv"].append(f"{code},Client {number},Site {number},,Europe/London,metric,,no")
    lines["spaces.csv"] += [f"{code},Space {space},2.7,1.2,{80 + space},shop," for space in range(5)]
    lines["racks.csv"].append(f"{code},A,Space 0,12,100,230,10,,,")
    for amplifier in range(4):
        tag = f"{code}-{amplifier}"
        lines["equipment.csv"].append(
            f"{code},Amplifier {amplifier},AMP-{amplifier},Make A,A2,A,{amplifier + 1},{tag},,192.0.2.{amplifier + 1},,,,2024-03-01,2027-03-01,in service"
        )
    for zone in range(8):
        lines["zones.csv"].append(f"{code},Zone {zone},Space {zone % 5},Stream 1,P{zone},50,2")
        lines["levels.csv"] += [
            f"{code},Zone {zone},as left,2025-0{month}-01T10:{zone:02}+00:00,50,60,{60 + zone},45,,P{zone},Meter A,2,Track 1"
            for month in (3, 6)
        ]
    for coil in range(32):
        amplifier, channel = coil // 8, coil // 4 % 2
        lines["lines.csv"].append(
            f"{code},L{coil // 4},Amplifier {amplifier},{'AB'[channel]},no,low,{coil % 4 // 2},{coil % 2 + 1},LS{coil},Make B,C6,1,,Zone {coil // 4},red,black,18 AWG,{5 + coil}"
        )
    for amplifier in range(4):
        lines["settings.csv"] += [
            f"{code},Amplifier {amplifier},as left,2025-03-01T09:00+00:00,setting {key},{key},dB" for key in range(8)
        ]


HEADERS = {
    "clients.csv": "client,contact,email,phone",
    "sites.csv": "site,client,name,address,time_zone,units,access_notes,voice_alarm",
    "spaces.csv": "site,space,ceiling_m,listener_height_m,area_m2,use,notes",
    "racks.csv": "site,rack,space,height_u,max_load_kg,circuit_v,circuit_a,ups_va,ups_w,ups_wh",
    "models.csv": "make,model,kind,rack_units,weight_kg,idle_w,max_w,poe_w,life_years,price,currency",
    "ratings.csv": "make,model,channels,load_ohm,line_v,power_w,min_load_ohm",
    "loudspeakers.csv": "make,model,impedance_ohm,min_impedance_ohm,power_w,sensitivity_db,coverage_deg,coils,taps_w,insertion_loss_db",
    "equipment.csv": "site,place,tag,make,model,rack,position_u,serial,mac,ip,hostname,switch,port,installed_on,warranty_until,status",
    "zones.csv": "site,zone,space,source,spot,default_position,tolerance_db",
    "lines.csv": "site,line,amplifier,channel,life_safety,kind,string,order,loudspeaker,make,model,coil,tap_w,zone,plus,minus,cable,cable_m",
    "settings.csv": "site,place,state,taken_at,key,value,unit",
    "levels.csv": "site,zone,state,taken_at,dial,cap,level_db,background_db,drive_v,spot,meter,meter_class,track",
}


def measure(sites: int) -> None:
    """Import, then copy every table that the import filled with plain bulk inserts; print both."""
    from django.db import connection, transaction

    from registry.exchange.importing import import_survey
    from sites.append_only import drop_statements

    files = survey_of(sites)
    rows = sum(content.count(b"\n") - 1 for content in files.values())
    started = time.perf_counter()
    import_survey(files, by=None)
    imported = time.perf_counter() - started
    copies = [(model, list(model._base_manager.all())) for model in _tables()]
    with transaction.atomic():
        with connection.cursor() as cursor:
            for statement in drop_statements(connection):  # the database is thrown away afterwards
                cursor.execute(statement)
        for model, _ in reversed(copies):
            model._base_manager.all()._raw_delete("default")
        started = time.perf_counter()
        for model, instances in copies:
            model._base_manager.bulk_create(instances, batch_size=500)
        inserted = time.perf_counter() - started
    written = sum(len(instances) for _, instances in copies)
    print(
        f"{sites:>5} sites {rows:>7} rows read {written:>7} written | import {imported:7.2f} s | "
        f"same rows by bulk_create {inserted:7.2f} s | ratio {imported / inserted:5.2f}"
    )


def _tables() -> list[type]:
    """Return the models that an import fills, parents first."""
    from django.apps import apps
    from django.db import models

    wanted = [
        model
        for label in ("client_sites", "equipment", "audio", "baselines")
        for model in apps.get_app_config(label).get_models()
    ]
    found: list[type[models.Model]] = []
    while wanted:
        ready = [
            m
            for m in wanted
            if all(
                f.related_model in (*found, m, None) or f.related_model not in wanted for f in m._meta.concrete_fields
            )
        ]
        found += ready
        wanted = [model for model in wanted if model not in ready]
    return [model for model in found if model._base_manager.exists()]


def in_test_database(work: Callable[[], None]) -> None:
    """Run `work` in an empty test database that is dropped afterwards."""
    from django.db import connection

    with redirect_stderr(io.StringIO()):
        name = connection.creation.create_test_db(verbosity=0, autoclobber=True)
    try:
        work()
    finally:
        connection.creation.destroy_test_db(name, verbosity=0)


def main() -> None:
    """Measure growth up to the number of sites asked for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sites", type=int, default=200)
    parser.add_argument("--quick", action="store_true", help="a smoke run of 10 sites")
    options = parser.parse_args()
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
    django.setup()
    for sites in [10] if options.quick else [options.sites // 4, options.sites]:
        in_test_database(lambda sites=sites: measure(sites))


if __name__ == "__main__":
    main()
