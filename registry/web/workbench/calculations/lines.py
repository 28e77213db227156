"""Lines of loudspeakers: equal ones, taps of a constant-voltage line, listed ones, and their single faults."""

from registry.engineering.amplifier import Channel, RatedLoad
from registry.engineering.cable import Cable
from registry.engineering.line import Coil, LineKind, String, constant_voltage_line, low_impedance_line
from registry.engineering.line_parts import LINE_VOLTS
from registry.web.workbench.declaring import Answer, Calculation, Input, InputError
from registry.web.workbench.kinds import Choice, Quantity, Whole
from registry.web.workbench.kinds_joined import OHM, WATTS, CablePiece, Rating, Several, line_kinds
from registry.web.workbench.line_answers import line_answer

MOST_LOUDSPEAKERS = 48
NO_CABLE = Cable(None, 0.0)
LOW_SOURCE = (
    "Ohm's law (OpenStax, College Physics 2e); lowest impedance 80 % of nominal: IEC 60268-5, 16.1, as restated; the "
    "channel as √(P·R) of its rated loads."
)
HIGH_SOURCE = (
    "V²/P of each tap and Ohm's law, solved exactly from loudspeaker to loudspeaker; 20 % margin: common practice."
)
RATED = Input(
    name="rated",
    label="The channel is rated for",
    kind=Several(of=Rating(), most=6),
    default="",
    example="60 W at 8 ohm, 100 W at 4 ohm",
    help="Its rated loads; gives the power of every loudspeaker.",
)
MINIMUM = Input(
    name="minimum",
    label="Lowest load the channel allows",
    kind=Quantity(unit="ohm", high=1000, above=True),
    default="",
    example="4 ohm",
    help="Left empty, the lowest rated load counts.",
)


def channel_of(rated: tuple[RatedLoad, ...], minimum: float | None) -> Channel:
    """The channel of a low-impedance line as it was typed."""
    if len({each.load_ohm for each in rated}) < len(rated):
        raise InputError("rated", "the same load is given twice: allowed is one power for each load")
    return Channel(rated, minimum)


def equal_loudspeakers(
    *,
    strings: int,
    in_series: int,
    impedance: float,
    rated_power: float | None,
    cable: Cable | None,
    rated: tuple[RatedLoad, ...],
    minimum: float | None,
) -> Answer:
    """Solve strings of equal loudspeakers in parallel on one channel."""
    if strings * in_series > MOST_LOUDSPEAKERS:
        raise InputError("strings", f"{strings * in_series} loudspeakers: allowed is {MOST_LOUDSPEAKERS} together")
    wired = [
        String(
            str(s + 1),
            tuple(
                Coil(
                    f"LS{s * in_series + place + 1}",
                    impedance_ohm=impedance,
                    rated_power_w=rated_power,
                    cable=NO_CABLE if place or cable is None else cable,
                )
                for place in range(in_series)
            ),
        )
        for s in range(strings)
    ]
    return line_answer(low_impedance_line(strings=wired, channel=channel_of(rated, minimum)))


def constant_voltage(
    *,
    line: LineKind,
    taps: tuple[float, ...],
    cable: tuple[Cable, ...],
    insertion_loss: float | None,
    rated: float | None,
) -> Answer:
    """Solve one daisy chain of taps."""
    line_v = LINE_VOLTS[line]
    pieces = cable * len(taps) if len(cable) == 1 else cable or (NO_CABLE,) * len(taps)
    if len(pieces) != len(taps):
        raise InputError(
            "cable", f"{len(cable)} pieces for {len(taps)} loudspeakers: allowed is one for all, or one for each"
        )
    coils = tuple(
        Coil(f"LS{number}", tap_w=tap, insertion_loss_db=insertion_loss, cable=piece)
        for number, (tap, piece) in enumerate(zip(taps, pieces, strict=True), start=1)
    )
    channel = Channel(line_power_w={} if rated is None else {line_v: rated})
    return line_answer(constant_voltage_line(line_v=line_v, strings=[String("1", coils)], channel=channel))


EQUAL_LOUDSPEAKERS = Calculation(
    name="equal-loudspeakers",
    title="Equal loudspeakers on a channel",
    question="Strings of equal loudspeakers in parallel: what does the channel see, and what does each one get?",
    inputs=(
        Input(name="strings", label="Strings in parallel", kind=Whole(low=1, high=48), example="3"),
        Input(name="in_series", label="In series in each string", kind=Whole(low=1, high=8), default="1", example="2"),
        Input(name="impedance", label="Impedance of each", kind=OHM, example="8 ohm"),
        Input(name="rated_power", label="Rated power of each", kind=WATTS, default="", example="30 W"),
        Input(
            name="cable",
            label="Cable to each string",
            kind=CablePiece(),
            default="",
            example="60 ft of 16 AWG",
            help="One-way length of size; left empty, no cable is counted.",
        ),
        RATED,
        MINIMUM,
    ),
    compute=equal_loudspeakers,
    source=LOW_SOURCE,
)

CONSTANT_VOLTAGE = Calculation(
    name="constant-voltage-line",
    title="70.7 and 100 V line",
    question="Does the amplifier carry these taps, and what does the cable cost the last loudspeaker?",
    inputs=(
        Input(
            name="line",
            label="Line voltage",
            kind=Choice({kind: words for kind, words in line_kinds().items() if kind != "low"}),
            example="70.7",
        ),
        Input(
            name="taps",
            label="Taps in wiring order",
            kind=Several(of=WATTS, most=MOST_LOUDSPEAKERS, counted=True),
            example="6 x 5 W, 2 x 10 W",
        ),
        Input(
            name="cable",
            label="Cable before each loudspeaker",
            kind=Several(of=CablePiece(), most=MOST_LOUDSPEAKERS, counted=True),
            default="",
            example="30 ft of 18 AWG",
            help="One piece for all, or one for each; left empty, no cable is counted.",
        ),
        Input(
            name="insertion_loss",
            label="Insertion loss of the transformers",
            kind=Quantity(unit="dB", high=6),
            default="",
            example="0.5 dB",
        ),
        Input(
            name="rated",
            label="The amplifier is rated at that voltage",
            kind=WATTS,
            default="",
            example="75 W",
        ),
    ),
    compute=constant_voltage,
    source=HIGH_SOURCE,
)
