"""One copper conductor: its diameter, area and resistance, for AWG and metric sizes."""

import math
import re
from typing import Final, Literal, TypeAlias

from registry.engineering.bounds import in_range
from registry.engineering.limits import above_zero, zero_or_more

IecClass: TypeAlias = Literal["1/2 plain", "2 coated", "5 plain", "5 tinned"]

# International Annealed Copper Standard (IEC 60028; from memory): 1/58 Ω·mm²/m at 20 °C.
COPPER_OHM_M: Final = 1.7241e-8
COPPER_PER_KELVIN: Final = 0.00393
# Lay of the strands: 2 % more than solid (ASTM B8; from memory); within 0.6 % of NEC Chapter 9 Table 8, stranded.
STRANDING_FACTOR: Final = 1.02
COLDEST_C: Final = -50.0
HOTTEST_C: Final = 150.0

# Maximum resistance at 20 °C [Ω/km] by nominal area [mm²]: IEC 60228 Tables A.1 and A.2 (classes 1 and 2) and the one
# for class 5, as public restatements give them; the standard itself was not seen.
IEC_60228_MAXIMUM_OHM_PER_KM: Final[dict[IecClass, dict[float, float]]] = {
    "1/2 plain": {0.5: 36.0, 0.75: 24.5, 1.0: 18.1, 1.5: 12.1, 2.5: 7.41, 4.0: 4.61},
    "2 coated": {0.5: 36.7, 0.75: 24.8, 1.0: 18.2, 1.5: 12.2, 2.5: 7.56, 4.0: 4.70},
    "5 plain": {0.5: 39.0, 0.75: 26.0, 1.0: 19.5, 1.5: 13.3, 2.5: 7.98, 4.0: 4.95},
    "5 tinned": {0.5: 40.1, 0.75: 26.7, 1.0: 20.0, 1.5: 13.7, 2.5: 8.21, 4.0: 5.09},
}

_AWG = re.compile(r"(?:AWG\s*(\d{1,2}|[1-4]/0)|(\d{1,2}|[1-4]/0)\s*AWG)", re.IGNORECASE)
_METRIC = re.compile(r"(\d+(?:\.\d+)?)\s*mm(?:2|²)", re.IGNORECASE)


def awg_diameter_m(gauge: int) -> float:
    """Diameter of a solid AWG conductor: 0.127 mm × 92^((36 − gauge)/39).

    Parameters:
        gauge: −3 (written 4/0) to 40.
    Returns:
        Diameter [m].
    Raises:
        ValueError: gauge out of range or not a whole number.
    Source: ASTM B258 (No. 36 is 0.005 in; ratio 92 over 39 steps), as public restatements give it.

    >>> round(awg_diameter_m(18) * 1000, 3)
    1.024
    """
    if gauge != int(gauge) or not -3 <= gauge <= 40:
        raise ValueError(f"gauge must be a whole number from -3 (4/0) to 40, got {gauge}")
    return float(0.127e-3 * 92 ** ((36 - gauge) / 39))


def conductor_area_mm2(size: str) -> float:
    """Copper area of a conductor: π d²/4 of the AWG diameter, or the nominal metric area.

    Parameters:
        size: "18 AWG" (also "AWG 18", "2/0 AWG") or "1.5 mm2" (also "1.5 mm²"), 0.05 to 500 mm².
    Returns:
        Area [mm²].
    Raises:
        ValueError: a size that cannot be read or is out of range.
    Source: ASTM B258 for AWG; nominal cross-section of IEC 60228 for metric sizes.

    >>> round(conductor_area_mm2("18 AWG"), 3), conductor_area_mm2("1.5 mm²")
    (0.823, 1.5)
    """
    text = size.strip()
    if metric := _METRIC.fullmatch(text):
        area_mm2 = float(metric[1])
        return in_range("conductor", area_mm2, 0.05, 500, unit="mm²")
    if awg := _AWG.fullmatch(text):
        return math.pi / 4 * (awg_diameter_m(_gauge(awg[1] or awg[2])) * 1000) ** 2
    raise ValueError(f'size must look like "18 AWG" or "1.5 mm2", got {size!r}')


def temperature_coefficient_per_k(at_c: float = 20.0) -> float:
    """Temperature coefficient of copper's resistance, referred to a temperature: α(t) = α20/(1 + α20 (t − 20)).

    Parameters:
        at_c: the temperature that the resistance to be corrected was given at, −50 to 150 [°C].
    Returns:
        Coefficient [1/K].
    Raises:
        ValueError: temperature out of range.
    Source: α20 = 0.00393 of the International Annealed Copper Standard (IEC 60028; from memory); NEC Chapter 9
        Table 8 note 2 has 0.00323 at 75 °C (from memory).

    >>> round(temperature_coefficient_per_k(75.0), 5)
    0.00323
    """
    return COPPER_PER_KELVIN / temperature_factor(at_c)


def temperature_factor(temperature_c: float, *, alpha_per_k: float = COPPER_PER_KELVIN) -> float:
    """Resistance at a temperature over resistance at 20 °C: 1 + α (t − 20).

    Parameters:
        temperature_c: −50 to 150 [°C].
        alpha_per_k: coefficient at 20 °C, above 0 up to 0.01 [1/K]. IEC 60228 rounds it to 0.004.
    Returns:
        Factor, 1 at 20 °C.
    Raises:
        ValueError: temperature or coefficient out of range.
    Source: International Annealed Copper Standard (IEC 60028; from memory).

    >>> round(temperature_factor(75.0), 3)
    1.216
    """
    in_range("temperature_c", temperature_c, COLDEST_C, HOTTEST_C, unit="°C")
    in_range("alpha_per_k", alpha_per_k, 0, 0.01, unit="1/K", open_low=True)
    return 1 + alpha_per_k * (temperature_c - 20)


def resistance_ohm(*, length_m: float, area_mm2: float, resistivity_ohm_m: float = COPPER_OHM_M) -> float:
    """Resistance of a wire: R = ρ l / A.

    Parameters:
        length_m: length of the wire itself, 0 or more [m].
        area_mm2: copper area, above 0 [mm²].
        resistivity_ohm_m: above 0 [Ω·m]; annealed copper at 20 °C unless given.
    Returns:
        Resistance [Ω].
    Raises:
        ValueError: a value out of range.
    Source: OpenStax, College Physics 2e, "Resistance and Resistivity".

    >>> round(resistance_ohm(length_m=20, area_mm2=3.31), 4)
    0.1042
    """
    zero_or_more(length_m=length_m)
    above_zero(area_mm2=area_mm2, resistivity_ohm_m=resistivity_ohm_m)
    return resistivity_ohm_m * length_m / (area_mm2 * 1e-6)


def conductor_resistance_ohm_per_m(
    size: str, temperature_c: float = 20.0, *, stranded: bool = False, iec_60228_maximum: bool = False
) -> float:
    """Resistance of one metre of one conductor, from geometry and annealed copper, or the most that IEC 60228 allows.

    Parameters:
        size: as for `conductor_area_mm2`.
        temperature_c: of the copper, −50 to 150 [°C].
        stranded: add 2 % for the lay of the strands (not to an IEC maximum, which has it already).
        iec_60228_maximum: the pessimistic choice: the maximum of class 5 plain copper (flexible), 0.5 to 4 mm² only.
    Returns:
        Resistance of one conductor [Ω/m]; a loop has two.
    Raises:
        ValueError: size or temperature out of range, or a size without a published maximum.
    Source: ASTM B258; copper 1.7241e-8 Ω·m and 0.00393 1/K (IEC 60028; from memory); IEC 60228, class 5, restated.

    >>> round(conductor_resistance_ohm_per_m("18 AWG") * 1000, 2)
    20.95
    >>> conductor_resistance_ohm_per_m("0.75 mm2", iec_60228_maximum=True) * 1000
    26.0
    """
    factor = temperature_factor(temperature_c)
    if iec_60228_maximum:
        return factor * iec_60228_maximum_ohm_per_m(size)
    solid = resistance_ohm(length_m=1.0, area_mm2=conductor_area_mm2(size))
    return factor * solid * (STRANDING_FACTOR if stranded else 1.0)


def iec_60228_maximum_ohm_per_m(size: str, conductor: IecClass = "5 plain") -> float:
    """The most resistance at 20 °C that one metre of one conductor may have.

    Parameters:
        size: a metric size of the table: 0.5, 0.75, 1, 1.5, 2.5 or 4 mm².
        conductor: class and coating: "1/2 plain", "2 coated", "5 plain" or "5 tinned".
    Returns:
        Maximum resistance [Ω/m].
    Raises:
        ValueError: a size or class that the table does not hold.
    Source: IEC 60228 Tables A.1 and A.2 and class 5, as public restatements give them.

    >>> round(iec_60228_maximum_ohm_per_m("1.5 mm2", "1/2 plain"), 5)
    0.0121
    """
    if conductor not in IEC_60228_MAXIMUM_OHM_PER_KM:
        raise ValueError(f"conductor must be one of {sorted(IEC_60228_MAXIMUM_OHM_PER_KM)}, got {conductor!r}")
    maxima = IEC_60228_MAXIMUM_OHM_PER_KM[conductor]
    area_mm2 = conductor_area_mm2(size)
    if area_mm2 not in maxima:
        sizes = ", ".join(f"{area:g}" for area in maxima)
        raise ValueError(f"IEC 60228 maxima are held for {sizes} mm², not for {size!r}; use the geometric resistance")
    return maxima[area_mm2] / 1000


def _gauge(text: str) -> int:
    """4/0 and its kin count downward from 0: 2/0 is −1."""
    return 1 - int(text[0]) if text.endswith("/0") else int(text)
