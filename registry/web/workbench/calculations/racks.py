"""A rack as a whole: units, weight, heat, air, current, battery."""

from registry.drawings.rack_front import RackFront, draw_rack_front
from registry.drawings.rack_front import RackItem as DrawnItem
from registry.engineering.power import airflow_m3_per_h
from registry.engineering.rack import Rack, RackItem, RackLoad, rack_load
from registry.engineering.wording import figure
from registry.web.cautions import CAUTIONS
from registry.web.workbench.declaring import Answer, Calculation, Drawing, Input, InputError, Result, Term
from registry.web.workbench.kinds import Number, Quantity, Whole, Word
from registry.web.workbench.kinds_joined import Cell, Rows

RISE = Input(
    name="rise",
    label="Rise of the air, outlet over inlet, in K",
    kind=Number(low=1, high=50, unit="K"),
    default="10",
    example="10",
    help="10 K are 18 °F of difference.",
)
VOLTS = Input(
    name="volts", label="Circuit voltage", kind=Quantity(unit="V", low=90, high=480), default="", example="120 V"
)
CIRCUIT = Input(
    name="circuit",
    label="Rating of the circuit",
    kind=Quantity(unit="A", low=1, high=200),
    default="",
    example="20 A",
    help="Of its overcurrent device; 80 % of it may be loaded for three hours or more.",
)
LIFTED_FROM_KG = 20.0
Typed = tuple[str, int | None, int | None, float | None, float | None, float | None]


def rack(
    *,
    height: int,
    items: tuple[Typed, ...],
    volts: float | None,
    circuit: float | None,
    ups_w: float | None,
    ups_wh: float | None,
    carries: float | None,
    rise: float,
) -> Answer:
    """Add up a rack and draw it."""
    made = Rack(height, max_load_kg=carries, circuit_v=volts, circuit_a=circuit, ups_w=ups_w, ups_wh=ups_wh)
    try:
        load = rack_load(rack=made, items=[_item(item) for item in items])
    except ValueError as error:
        raise InputError("items", str(error)) from error
    air = None if load.max_w is None else airflow_m3_per_h(heat_w=load.max_w, rise_k=rise)
    heavy = (load.weight_kg or 0.0) > LIFTED_FROM_KG
    return Answer(
        says=_says(height, load),
        verdict=load.verdict,
        results=_results(load, air),
        formula=_formula(load, made, air=air, rise=rise),
        cautions=(CAUTIONS["mains"], *(CAUTIONS["lifting"],) * heavy),
        drawings=(_drawing(height, items),),
        checks=load.checks,
        notes=_notes(load),
    )


def _says(height: int, load: RackLoad) -> str:
    """The deciding check; where all pass, what it comes to."""
    if load.verdict != "pass":
        return load.says
    figures = ((load.weight_kg, "kg"), (load.max_w, "W"), (load.current_a, "A"))
    known = [f"{figure(value)} {unit}" for value, unit in figures if value is not None]
    return f"It fits: {', '.join([f'{load.used_u} of {height} U', *known])} at most."


def _item(typed: Typed) -> RackItem:
    label, units, position, weight, idle, most = typed
    return RackItem(label, units, position, weight_kg=weight, idle_w=idle, max_w=most)


def _results(load: RackLoad, air: float | None) -> tuple[Result, ...]:
    return (
        Result("used_u", "Units used", load.used_u, "U"),
        Result("free_u", "Units free", load.free_u, "U"),
        Result("weight_kg", "Weight", load.weight_kg, "kg"),
        Result("idle_w", "Idle power", load.idle_w, "W"),
        Result("max_w", "Greatest power", load.max_w, "W"),
        Result("heat_btu_h", "Heat at greatest power", load.heat_btu_h, "BTU/h"),
        Result("airflow_m3_h", "Air to carry it away", air, "m³/h"),
        Result("current_a", "Current at greatest power", load.current_a, "A"),
        Result("circuit_limit_a", "The circuit takes, continuous", load.circuit_limit_a, "A"),
        Result("ups_minutes", "The battery lasts at most", load.ups_minutes, "min"),
    )


def _formula(load: RackLoad, rack: Rack, *, air: float | None, rise: float) -> tuple[Term, ...]:
    if load.max_w is None or air is None:
        return (Term("Greatest power", "not known for any item, so there is nothing to add up"),)
    watts = f"{figure(load.max_w)} W"
    terms = [
        Term("Heat", f"P × 3.412 BTU/h per W = {watts} × 3.412 = {figure(load.heat_btu_h or 0.0)} BTU/h"),
        Term("Air", f"P / (ρ c ΔT) = {watts} / (1207 J/(m³·K) × {figure(rise)} K) × 3600 s/h = {figure(air)} m³/h"),
    ]
    if rack.circuit_v is not None and load.current_a is not None:
        terms.append(Term("Current", f"P / V = {watts} / {figure(rack.circuit_v)} V = {figure(load.current_a)} A"))
    if rack.circuit_a is not None and load.circuit_limit_a is not None:
        terms.append(
            Term(
                "Continuous limit",
                f"rating / 1.25 = {figure(rack.circuit_a)} A / 1.25 = {figure(load.circuit_limit_a)} A",
            )
        )
    return tuple(terms)


def _notes(load: RackLoad) -> tuple[str, ...]:
    words = {"units": "place or height", "weight_kg": "weight", "idle_w": "idle watts", "max_w": "greatest watts"}
    missing = [f"{words[name]} of {', '.join(labels)}" for name, labels in load.unknown.items() if labels]
    least = (f"Sums are a least; not known: {'; '.join(missing)}.",) if missing else ()
    return (*least, "Every watt counts as continuous and as heat, with a power factor of 1.")


def _drawing(height: int, items: tuple[Typed, ...]) -> Drawing:
    drawn = tuple(
        DrawnItem(label, bottom_unit=position, height_u=units or None)
        for label, units, position, *_ in items
        if units != 0
    )
    return Drawing(draw_rack_front(RackFront("Rack front, to scale", height, drawn), ident="rack"))


RACK = Calculation(
    name="rack",
    title="A rack",
    question="Does it fit, what does it weigh, draw and heat, and how long does the battery last?",
    inputs=(
        Input(name="height", label="Height of the rack", kind=Whole(low=1, high=60, unit="U"), example="12"),
        Input(
            name="items",
            label="What stands in it",
            kind=Rows(
                cells=(
                    Cell("name", Word(30)),
                    Cell("units", Whole(high=60, unit="U"), required=False),
                    Cell("lowest unit", Whole(low=1, high=60), required=False),
                    Cell("weight", Quantity(unit="kg", high=500), required=False),
                    Cell("idle W", Quantity(unit="W", high=10_000), required=False),
                    Cell("greatest W", Quantity(unit="W", high=10_000), required=False),
                ),
                most=40,
            ),
            example=(
                "Amplifier 1, 2, 1, 18 lb, 40 W, 600 W\nAmplifier 2, 2, 4, 18 lb, 40 W, 600 W\n"
                "Switch, 1, 8, 3 kg, 20 W, 60 W\nRouter, 1, 10, 1 kg, 8 W, 15 W"
            ),
            help="One a line: name, units, lowest unit, weight, idle and greatest watts; leave out what is not known.",
        ),
        VOLTS,
        CIRCUIT,
        Input(
            name="ups_w",
            label="The UPS gives",
            kind=Quantity(unit="W", high=20_000, above=True),
            default="",
            example="1400 W",
        ),
        Input(
            name="ups_wh",
            label="Its battery holds",
            kind=Quantity(unit="Wh", high=100_000, above=True),
            default="",
            example="432 Wh",
            help="Volts × ampere-hours when new.",
        ),
        Input(
            name="carries",
            label="The rack may carry",
            kind=Quantity(unit="kg", high=2000, above=True),
            default="",
            example="150 kg",
        ),
        RISE,
    ),
    compute=rack,
    source="IEC 60297-3-100 (units); NEC 210.20(A) (80 %); International Table BTU; energy balance (air, battery).",
)
