"""The load of every line of a design, cables included: what `check_site` will say once it is wired."""

from registry.audio.models import LineKind
from registry.engineering.cable import Cable
from registry.engineering.line import Channel, Coil, LineLoad, String, constant_voltage_line, low_impedance_line
from registry.planning.design import DesignedCoil, DesignedLine


def load_of(line: DesignedLine, channel: Channel) -> LineLoad:
    """Return the load of a designed line on a channel."""
    strings = tuple(String(name, tuple(map(_plain, coils))) for name, coils in line.strings.items())
    if line.kind == LineKind.LOW:
        return low_impedance_line(strings=strings, channel=channel)
    return constant_voltage_line(line_v=float(line.kind), strings=strings, channel=channel)


def _plain(coil: DesignedCoil) -> Coil:
    wired, run = coil.wired, coil.run
    return Coil(
        label=wired.loudspeaker,
        coil=wired.coil,
        impedance_ohm=wired.impedance_ohm,
        min_impedance_ohm=wired.min_impedance_ohm,
        rated_power_w=wired.power_w,
        tap_w=wired.tap_w,
        taps_w=wired.taps_w,
        insertion_loss_db=wired.insertion_loss_db,
        model=f"{wired.make} {wired.model}".strip(),
        cable=Cable(run.cable or None, run.cable_m) if run.cable or run.cable_m is not None else None,
    )
