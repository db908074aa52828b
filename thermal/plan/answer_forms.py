"""The forms in which people write an answer: "$0.17", "two", "4x8 ft", "1,2 m", "goldfish and lettuce"."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from contextlib import suppress

from thermal.core import quantities
from thermal.core.quantities import Kind
from thermal.core.suggest import nearest

WORDS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
NOTHING = ("", "none", "no", "nothing", "0", "zero", "-", "without")
UNSURE = ("?", "don't know", "dont know", "do not know", "not sure", "no idea", "unknown", "idk", "skip", "default")
CENTS = r"cents?|ct|c|¢|p|pence|pennies|öre|øre|ore"
SIGNS = {"us$": "USD", "usd": "USD", "eur": "EUR", "euro": "EUR", "euros": "EUR", "dollar": "$", "dollars": "$"}
SHOWN = 60  # characters of an answer in a message


def tidy(text: str) -> str:
    """An answer with plain quotes and single spaces, without control characters."""
    plain = re.sub("[’′‘]", "'", re.sub("[”″“]", '"', text))
    return re.sub(r"\s+", " ", "".join(letter for letter in plain if letter.isprintable() or letter.isspace())).strip()


def is_nothing(text: str) -> bool:
    """Whether an answer says that there is none."""
    return tidy(text).lower() in NOTHING


def is_unsure(text: str) -> bool:
    """Whether an answer says that the person does not know."""
    return tidy(text).lower().rstrip(".!") in UNSURE


def with_points(text: str) -> str:
    """A text with decimal points in place of decimal commas; ValueError where a comma may part thousands."""
    if match := re.search(r"(?<!\d)[1-9]\d{0,2},\d{3}(?!\d)", text):
        whole, point = match[0].replace(",", ""), match[0].replace(",", ".")
        raise ValueError(f"{match[0]!r} can mean {whole} or {point}; write it without the comma")
    return re.sub(r"(?<=\d),(?=\d)", ".", text)


def plain_number(text: str, example: str) -> float:
    """A number from "2", "two", "0,25"; ValueError for any other text."""
    word = tidy(text).lower()
    if word in WORDS:
        return float(WORDS.index(word))
    if not re.fullmatch(r"[-+]?(\d{1,12}([.,]\d{1,12})?|[.,]\d{1,12})", word):
        raise ValueError(f"{text[:SHOWN]!r} is not a number; write for example {example}")
    return float(with_points(word).replace(",", "."))


def whole_number(text: str, most: int) -> int:
    """A count from 0, "none" or "two" to a limit; ValueError for any other text."""
    if is_nothing(text):
        return 0
    word = re.sub(r"\s+(?:\w+ )?(?:beds?|pieces?|pcs)$", "", tidy(text), flags=re.IGNORECASE)
    number = plain_number(word, "2")
    if number != int(number) or not 0 <= number <= most:
        raise ValueError(f"{text[:SHOWN]!r} is not a whole number from 0 to {most}; write for example 2")
    return int(number)


def price_and_currency(text: str) -> tuple[float, str]:
    """Price of a kWh and the currency written with it, "" where none is: "$0.17", "17 cents", "1,45 kr".

    Raises
    ------
    ValueError
        When the text is no price.
    """
    example = '0.17, "$0.17" or "17 cents"'
    word = re.sub(r"\s*(?:/|per|a|an)\s*kwh$", "", tidy(text), flags=re.IGNORECASE).strip()
    match = re.fullmatch(r"([^\d.,+-]{0,12}?)\s*([-+]?[\d.,]{1,20})\s*([^\d.,]{0,12}\.?)", word)
    if not match:
        raise ValueError(f"{text[:SHOWN]!r} is not a price per kWh; write for example {example}")
    before, digits, after = (part.strip() for part in match.groups())
    number = plain_number(digits, example)
    if number < 0.0:
        raise ValueError(f"{text[:SHOWN]!r} is below zero; write for example {example}")
    if re.fullmatch(CENTS, after.lower().rstrip(".")) and not before:
        return round(number / 100.0, 6), ""
    sign = before or after.rstrip(".")
    if len(sign) > 8:
        raise ValueError(f"{text[:SHOWN]!r} is not a price per kWh; write for example {example}")
    return number, SIGNS.get(sign.lower(), sign)


def quantity_text(text: str, kind: Kind) -> str:
    """A quantity as a plan writes it, from "1,2 m", "50F", "275 gallons"; ValueError for any other text."""
    word = with_points(re.sub(r"(?i)^(?:about|approx\.?|around|ca\.?|~|\+)\s*", "", tidy(text)))
    word = re.sub(r"(?i)(?<=\d)\s*(?:deg(?:rees?)?\s*|°\s*)([CF])(?:elsius|ahrenheit)?$", r" deg\1", word)
    quantities.parse(word, kind)
    return word


def is_volume(text: str) -> bool:
    """Whether a text is a volume, such as "275 gal" or "1,000 L"."""
    with suppress(ValueError):
        return quantities.parse(with_points(tidy(text)), quantities.VOLUME) > 0.0
    return False


def lengths(text: str, counts: tuple[int, ...], example: str) -> list[str]:
    """Lengths from "4x8 ft", "48 in x 40 in", "4' by 8'"; a length without a unit has that of the next one.

    Parameters
    ----------
    text : str
        The answer.
    counts : tuple of int
        How many lengths there may be.
    example : str
        What to write instead.

    Raises
    ------
    ValueError
        When the lengths cannot be read, or are too many or too few.
    """
    word = re.sub(r"(?i)\b(?:long|wide|high|deep|tall|across|in diameter|diameter)\b", " ", tidy(text))
    parts = [part.strip() for part in re.split(r"(?i)\s*(?:[x×*]|\bby\b)\s*(?=[\d.])", with_points(word))]
    parts = [part for part in parts if part]
    if len(parts) not in counts:
        expected = " or ".join(WORDS[count] for count in counts)
        word = "length is" if counts == (1,) else "lengths are"
        raise ValueError(f"{expected} {word} needed, not {text[:SHOWN]!r}; write for example {example}")
    unit = ""
    for index in reversed(range(len(parts))):
        if re.fullmatch(r"[\d.]+", parts[index]) and unit:
            parts[index] = f"{parts[index]} {unit}"
        elif match := re.search(r"[^\d\s.]+\.?$", parts[index]):
            unit = match[0].rstrip(".")
            parts[index] = parts[index].rstrip(".")
        quantities.parse(parts[index], quantities.LENGTH)
    return parts


def names(text: str) -> list[str]:
    """The names in "goldfish and lettuce", "kale, mint & chives"."""
    return [name for name in re.split(r"\s*(?:,|;|&|\+|\band\b)\s*", tidy(text), flags=re.IGNORECASE) if name]


def known_name(name: str, known: Mapping[str, object], what: str) -> str:
    """A name as a table writes it, with other spaces or a plural understood; ValueError with the nearest one.

    Parameters
    ----------
    name : str
        The name as written.
    known : mapping
        The names of the table.
    what : str
        What they are in messages, with its article.
    """

    def squeeze(word: str) -> str:
        return re.sub(r"[\s_-]+", "", word.lower())

    same = {squeeze(word): word for word in known}
    for form in (squeeze(name), squeeze(name).removesuffix("s"), squeeze(name).removesuffix("es")):
        if form in same:
            return same[form].lower()
    raise ValueError(f"{name[:SHOWN]!r} is not {what}; {nearest(name[:SHOWN], known)}")


def circuits(text: str) -> list[str]:
    """Circuits from "15 A 120 V", "15A/120V", "15 amps at 120 volts, 20 A 120 V"; any other text is kept."""
    taken = []
    for part in re.split(r"\s*(?:,|;|\band\b|\+)\s*", with_points(tidy(text)), flags=re.IGNORECASE):
        match = re.fullmatch(
            r"(\d+(?:\.\d+)?)\s*(?:A|amps?|amperes?)\s*(?:/|at|@|,)?\s*(\d+(?:\.\d+)?)\s*(?:V|volts?)",
            part,
            re.IGNORECASE,
        )
        taken.append(f"{match[1]} A {match[2]} V" if match else part)
    return [part for part in taken if part]


def depth_of(volume: str, across: str, system: str) -> str:
    """Depth of a volume of water in the tank, as the plan writes it.

    Parameters
    ----------
    volume : str
        Volume of the water.
    across : str
        Diameter of the tank, or its length x width.
    system : str
        The unit system, "metric" or "us".

    Raises
    ------
    ValueError
        When the depth is none that a tank has.
    """
    sizes = [quantities.parse(part.strip(), quantities.LENGTH) for part in across.split(" x ")]
    area = math.pi * sizes[0] ** 2 / 4.0 if len(sizes) == 1 else sizes[0] * sizes[1]
    depth = quantities.parse(volume, quantities.VOLUME) / area
    shown = f"{depth:.3g} m" if system == "metric" else f"{depth / 0.0254:.3g} in"
    if not 0.03 <= depth <= 20.0:
        raise ValueError(f"{volume} in a tank of {across} is {shown} deep; correct one of them")
    return shown
