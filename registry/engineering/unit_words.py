"""The words that people may write behind a number, by kind of quantity; matching is never by guess."""

from types import MappingProxyType
from typing import NamedTuple


class Unit(NamedTuple):
    """A unit: the kind of quantity it measures and its name in the unit registry."""

    kind: str
    name: str


# kind -> registry name -> words that mean it. A word that could mean two things in the trade is left out:
# "M" (metre, mega), "ga" (AWG, SWG), "t" and "ton", "MB/s", "R" and "k" alone, megawatts (a slip for milliwatts).
_WORDS: dict[str, dict[str, str]] = {
    "length": {
        "metre": "m metre metres meter meters",
        "centimetre": "cm",
        "millimetre": "mm",
        "kilometre": "km",
        "inch": "in inch inches \" ″ ” '' ′′ ’’",
        "foot": "ft foot feet ' ′ ’",
        "yard": "yd yds yard yards",
    },
    "area": {
        "metre**2": "m2 m² m^2 sqm sq_m",
        "centimetre**2": "cm2 cm² cm^2",
        "millimetre**2": "mm2 mm² mm^2 sqmm sq_mm",
        "inch**2": "in2 in² in^2 sqin sq_in",
        "foot**2": "ft2 ft² ft^2 sqft sq_ft",
        "yard**2": "yd2 yd² yd^2 sqyd sq_yd",
    },
    "mass": {"kilogram": "kg kgs", "gram": "g", "pound": "lb lbs pound pounds", "ounce": "oz"},
    "power": {"watt": "W w watt watts", "kilowatt": "kW", "milliwatt": "mW"},
    "apparent power": {"volt * ampere": "VA", "kilovolt * ampere": "kVA"},
    "energy": {"watt * hour": "Wh", "kilowatt * hour": "kWh"},
    "voltage": {"volt": "V v volt volts", "millivolt": "mV", "kilovolt": "kV"},
    "current": {"ampere": "A a amp amps ampere amperes", "milliampere": "mA"},
    "resistance": {
        "ohm": "ohm ohms Ω \u2126",
        "kiloohm": "kohm kohms kΩ k\u2126",
        "milliohm": "mohm mohms mΩ m\u2126",
        "megaohm": "Mohm Mohms MΩ M\u2126",
    },
    "time": {
        "second": "s sec secs second seconds",
        "millisecond": "ms",
        "minute": "min mins minute minutes",
        "hour": "h hr hrs hour hours",
        "day": "day days",
    },
    "age": {"year": "year years yr yrs", "month": "month months"},
    "frequency": {"hertz": "Hz", "kilohertz": "kHz", "megahertz": "MHz", "gigahertz": "GHz"},
    "temperature": {"degC": "degC °C C deg_C", "degF": "degF °F F deg_F", "kelvin": "K"},
    "angle": {"degree": "degree degrees deg °"},
    "data rate": {
        "megabit / second": "Mbit/s Mbps",
        "kilobit / second": "kbit/s kbps",
        "gigabit / second": "Gbit/s Gbps",
    },
    "ratio in dB": {"dB": "dB"},
    "sound level": {"dB(A)": "dB(A) dBA dB_A dB"},
    "share": {"%": "% percent"},
    "rack height": {"U": "U u RU ru"},
}

# What a caller may ask for: the words of names.md and of the columns.
TARGETS = MappingProxyType(
    {
        "m": Unit("length", "metre"),
        "mm": Unit("length", "millimetre"),
        "m2": Unit("area", "metre**2"),
        "mm2": Unit("area", "millimetre**2"),
        "kg": Unit("mass", "kilogram"),
        "W": Unit("power", "watt"),
        "VA": Unit("apparent power", "volt * ampere"),
        "Wh": Unit("energy", "watt * hour"),
        "V": Unit("voltage", "volt"),
        "A": Unit("current", "ampere"),
        "ohm": Unit("resistance", "ohm"),
        "s": Unit("time", "second"),
        "min": Unit("time", "minute"),
        "h": Unit("time", "hour"),
        "year": Unit("age", "year"),
        "Hz": Unit("frequency", "hertz"),
        "degC": Unit("temperature", "degC"),
        "degree": Unit("angle", "degree"),
        "Mbit/s": Unit("data rate", "megabit / second"),
        "dB": Unit("ratio in dB", "dB"),
        "dB(A)": Unit("sound level", "dB(A)"),
        "%": Unit("share", "%"),
        "U": Unit("rack height", "U"),
    }
)


def _exact_words() -> dict[tuple[str, str], Unit]:
    return {
        (kind, word.replace("_", " ")): Unit(kind, name)
        for kind, units in _WORDS.items()
        for name, words in units.items()
        for word in words.split()
    }


def _prefixed(unit: Unit) -> bool:
    # mW or MW: a wrong capital is a factor of a thousand million, so it is never forgiven.
    return unit.name.startswith(("milli", "mega"))


_EXACT = _exact_words()
_ANY_CASE = {(k, w.lower()): u for (k, w), u in _EXACT.items() if len(w) > 1 and not _prefixed(u)}


def unit_of(word: str, kind: str) -> Unit | None:
    """The unit that a word means within one kind of quantity; None when it means none.

    The word is taken as it is written; capitals are forgiven only where no prefix hangs on them ("FT" is feet, "MW" is
    nothing).

    Parameters:
        word: what stood behind the number, without the number.
        kind: the kind of quantity that is wanted, as in `TARGETS`.
    Returns:
        The unit, or None.
    Raises:
        Nothing.
    Source: SI brochure (case of prefixes); the words are common practice.

    >>> unit_of("feet", "length")
    Unit(kind='length', name='foot')
    >>> unit_of("MW", "power") is None
    True
    """
    plain = " ".join(word.split())
    return _EXACT.get((kind, plain)) or _ANY_CASE.get((kind, plain.lower()))


def kind_of(word: str) -> str | None:
    """The first kind of quantity that knows a word, or None: used to tell a wrong unit from an unknown one.

    Parameters:
        word: what stood behind the number.
    Returns:
        The kind, or None.
    Raises:
        Nothing.
    Source: the table of words above.

    >>> kind_of("kg"), kind_of("furlong")
    ('mass', None)
    """
    return next((kind for kind in _WORDS if unit_of(word, kind)), None)


def words_for(kind: str) -> str:
    """The usual word of each unit of a kind, to tell a person what can be written.

    Parameters:
        kind: as in `TARGETS`.
    Returns:
        The words with commas between.
    Raises:
        KeyError: no such kind.
    Source: the table of words above.

    >>> words_for("mass")
    'kg, g, lb, oz'
    """
    return ", ".join(words.split()[0] for words in _WORDS[kind].values())
