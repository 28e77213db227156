"""Electric power in a rack: heat, air, current on its circuit, minutes on a battery."""

from typing import Final

from registry.engineering.limits import above_zero, share_of_one, zero_or_more

# 1 BTU (International Table) is 1055.05585262 J.
BTU_PER_H_PER_W: Final = 3600 / 1055.05585262
# Air at about 20 °C and sea level: 1.2 kg/m³ and 1006 J/(kg·K) (from memory).
AIR_J_PER_M3_K: Final = 1.2 * 1006
M3_PER_H_PER_CFM: Final = 1.69901082
# NEC 210.20(A): the overcurrent device is rated 125 % of a continuous load, which so takes 80 % of the rating.
CONTINUOUS_FACTOR: Final = 1.25


def heat_btu_per_h(watts: float) -> float:
    """Heat that electric power becomes: BTU/h = W × 3600/1055.056.

    Parameters:
        watts: 0 or more [W].
    Returns:
        Heat [BTU/h].
    Raises:
        ValueError: watts out of range.
    Source: International Table BTU; trade courses round the factor to 3.4 or 3.413.

    >>> round(heat_btu_per_h(500.0))
    1706
    """
    zero_or_more(watts=watts)
    return watts * BTU_PER_H_PER_W


def airflow_m3_per_h(*, heat_w: float, rise_k: float) -> float:
    """Air that carries heat away at an allowed rise of temperature: Q = P / (ρ c ΔT).

    Parameters:
        heat_w: 0 or more [W].
        rise_k: outlet above inlet, above 0 [K].
    Returns:
        Flow [m³/h], for air at 20 °C and sea level; thin air at height needs more.
    Raises:
        ValueError: a value out of range.
    Source: fan application note "Establishing Cooling Requirements": CFM = 3.16 W/ΔT(°F).

    >>> round(airflow_m3_per_h(heat_w=1000.0, rise_k=10.0), 1)
    298.2
    """
    zero_or_more(heat_w=heat_w)
    above_zero(rise_k=rise_k)
    return 3600 * heat_w / (AIR_J_PER_M3_K * rise_k)


def airflow_cfm(*, heat_w: float, rise_f: float) -> float:
    """The same in cubic feet per minute for a rise in degrees Fahrenheit.

    Parameters:
        heat_w: 0 or more [W].
        rise_f: outlet above inlet, above 0 [°F difference].
    Returns:
        Flow [CFM].
    Raises:
        ValueError: a value out of range.
    Source: as `airflow_m3_per_h`.

    >>> round(airflow_cfm(heat_w=1500.0, rise_f=20.0))
    237
    """
    return airflow_m3_per_h(heat_w=heat_w, rise_k=rise_f / 1.8) / M3_PER_H_PER_CFM


def current_a(*, watts: float, volts: float, power_factor: float = 1.0) -> float:
    """Current that a load draws: I = P / (V × power factor).

    Parameters:
        watts: 0 or more [W].
        volts: of the circuit, above 0 [V].
        power_factor: above 0 up to 1; 1 unless known.
    Returns:
        Current [A rms].
    Raises:
        ValueError: a value out of range.
    Source: definition of power factor (IEC 60050-131, from memory).

    >>> current_a(watts=1200.0, volts=120.0)
    10.0
    """
    zero_or_more(watts=watts)
    above_zero(volts=volts)
    share_of_one(power_factor=power_factor)
    return watts / (volts * power_factor)


def circuit_limit_a(circuit_a: float) -> float:
    """Most current for a load that runs three hours or more: 80 % of the circuit's rating.

    Parameters:
        circuit_a: rating of the circuit's overcurrent device, above 0 [A].
    Returns:
        Limit [A]. Local codes and licensed practice decide.
    Raises:
        ValueError: rating out of range.
    Source: NEC 210.20(A), as quoted in a data bulletin: 125 percent of the continuous load.

    >>> circuit_limit_a(20.0)
    16.0
    """
    above_zero(circuit_a=circuit_a)
    return circuit_a / CONTINUOUS_FACTOR


def smallest_circuit_a(*, continuous_a: float, noncontinuous_a: float = 0.0) -> float:
    """Smallest rating of the overcurrent device for a load: noncontinuous plus 125 % of continuous.

    Parameters:
        continuous_a: load for three hours or more, 0 or more [A].
        noncontinuous_a: the rest, 0 or more [A].
    Returns:
        Rating [A]; take the next larger one that is made. Local codes and licensed practice decide.
    Raises:
        ValueError: a value out of range.
    Source: NEC 210.20(A), as quoted in a data bulletin.

    >>> smallest_circuit_a(continuous_a=24.0)
    30.0
    """
    zero_or_more(continuous_a=continuous_a, noncontinuous_a=noncontinuous_a)
    return noncontinuous_a + CONTINUOUS_FACTOR * continuous_a


def ups_minutes(*, load_w: float, energy_wh: float, efficiency: float = 0.9, usable_share: float = 0.8) -> float:
    """Minutes that a battery carries a load: 60 E η u / P. An energy balance only.

    Lead-acid batteries give much less at high discharge rates and with age, so this is the most to hope for: test it.

    Parameters:
        load_w: above 0 [W].
        energy_wh: of the battery when new, volts × ampere-hours, above 0 [Wh].
        efficiency: of the inverter, above 0 up to 1; 0.9 is common practice.
        usable_share: of the energy, above 0 up to 1; 0.8 is common practice.
    Returns:
        Time [min].
    Raises:
        ValueError: a value out of range.
    Source: energy balance.

    >>> round(ups_minutes(load_w=150.0, energy_wh=216.0), 1)
    62.2
    """
    above_zero(load_w=load_w, energy_wh=energy_wh)
    share_of_one(efficiency=efficiency, usable_share=usable_share)
    return 60 * energy_wh * efficiency * usable_share / load_w


def battery_used_ah(*, load_w: float, battery_v: float, minutes: float, efficiency: float = 0.9) -> float:
    """Charge that a load takes from a battery: P t / (η V). An energy balance only.

    Parameters:
        load_w: 0 or more [W].
        battery_v: above 0 [V].
        minutes: 0 or more [min].
        efficiency: of the inverter, above 0 up to 1; 0.9 is common practice.
    Returns:
        Charge [Ah].
    Raises:
        ValueError: a value out of range.
    Source: energy balance.

    >>> round(battery_used_ah(load_w=100.0, battery_v=12.0, minutes=24.0, efficiency=0.8), 2)
    4.17
    """
    zero_or_more(load_w=load_w, minutes=minutes)
    above_zero(battery_v=battery_v)
    share_of_one(efficiency=efficiency)
    return load_w / (efficiency * battery_v) * minutes / 60
