"""Writes fixtures/references/pricing/quotes_python.txt: whole quotes, priced by a second program.

Run from the top of the repository:  python3 tests/reference/quotes.py > fixtures/references/pricing/quotes_python.txt

To price the sheets of another file and compare:  python3 tests/reference/quotes.py fixtures/pricing/quotes.txt

The rules of a price are written here a second time, from their description and not from the Rust code, with exact
fractions and one rounding each. Sheets are drawn by a generator written out here. The notation is that of
fixtures/pricing/quotes.txt.
"""

import platform
import sys
from decimal import ROUND_HALF_UP, Decimal, getcontext
from fractions import Fraction
from math import ceil, floor

getcontext().prec = 60


class Draw:
    """Numerical Recipes' 32-bit generator (a = 1664525, c = 1013904223)."""

    def __init__(self, seed):
        self.state = seed

    def below(self, limit):
        self.state = (1664525 * self.state + 1013904223) % 2**32
        return (self.state >> 8) % limit

    def one_of(self, choices):
        return choices[self.below(len(choices))]

    def chance(self, percent):
        return self.below(100) < percent


def to_cents(value):
    """A fraction of a dollar to whole cents, a half away from zero."""
    cents = abs(value) * 100
    whole = floor(cents + Fraction(1, 2))
    return Fraction(whole if value >= 0 else -whole, 100)


def dollars(value):
    cents = value * 100
    assert cents.denominator == 1
    sign = "-" if cents < 0 else ""
    cents = abs(cents.numerator)
    return f"{sign}{cents // 100}.{cents % 100:02d}"


def plain(value):
    """An exact decimal without zeros behind it."""
    number = Decimal(value.numerator) / Decimal(value.denominator)
    text = format(number, "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def to_places(value, places):
    number = Decimal(value.numerator) / Decimal(value.denominator)
    return number.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)


def minimal(number):
    text = format(number, "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def draw_line(draw):
    line = {"quantity": Fraction(draw.one_of(["1", "2", "3", "7", "12", "40", "250", "0.5", "2.75", "1200"]))}
    minutes = Fraction(draw.one_of(["0.2", "1.5", "4", "6", "7", "9", "12.25", "25", "40", "90"]))
    if draw.chance(15):
        line["whole"] = Fraction(draw.one_of(["80", "35", "127.5", "7"]))
    else:
        line["each"] = minutes
    if draw.chance(20):
        line["own rate"] = Fraction(draw.one_of(["75", "90", "143.5"]))
    if draw.chance(25):
        line["material"] = Fraction(draw.one_of(["38", "4.15", "0.085", "12.3333"]))
    if draw.chance(15):
        line["fixed"] = Fraction(draw.one_of(["15.5", "9", "0.0875", "33.33"]))
    return line


def draw_sheet(draw):
    sheet = {
        "rate": Fraction(draw.one_of(["120", "95", "85", "63.75", "200", "119.99"])),
        "lines": [draw_line(draw) for _ in range(1 + draw.below(4))],
    }
    for name, percent, choices in [
        ("rate said", 15, ["110", "140"]),
        ("crew", 50, ["2", "3", "4"]),
        ("set-up", 30, ["15", "7", "12.5"]),
        ("haul", 25, ["20", "35"]),
        ("drive", 20, ["10", "23"]),
        ("dump fee", 25, ["25", "18.4"]),
        ("minimum", 40, ["95", "150", "92", "400"]),
        ("markup", 30, ["15", "12.5", "7.75"]),
        ("price said", 15, ["250", "99.99", "1000"]),
    ]:
        if draw.chance(percent):
            sheet[name] = Fraction(draw.one_of(choices))
    if draw.chance(40):
        sheet["step"] = (draw.one_of(["nearest", "up"]), Fraction(draw.one_of(["5", "10", "1", "0.25"])))
    if draw.chance(30):
        sheet["discount"] = (draw.one_of(["%", "$"]), Fraction(draw.one_of(["10", "5", "2.5"])))
        if draw.chance(40):
            sheet["more off"] = (draw.one_of(["%", "$"]), Fraction(draw.one_of(["10", "5", "2.5"])))
    if draw.chance(40):
        sheet["tax"] = (draw.one_of(["all", "materials"]), Fraction(draw.one_of(["7", "8.25", "6.625"])))
    return sheet


def note(sheet):
    parts = [f"rate {plain(sheet['rate'])}"]
    for name in ["rate said", "crew", "set-up", "haul", "drive", "dump fee", "minimum"]:
        if name in sheet:
            parts.append(f"{name} {plain(sheet[name])}")
    if "step" in sheet:
        way, step = sheet["step"]
        parts.append(f"round {'up ' if way == 'up' else ''}to {plain(step)}")
    for name in ["discount", "more off"]:
        if name in sheet:
            kind, amount = sheet[name]
            parts.append(f"{name} {plain(amount)}{'%' if kind == '%' else ''}")
    if "price said" in sheet:
        parts.append(f"price said {plain(sheet['price said'])}")
    if "tax" in sheet:
        what, percent = sheet["tax"]
        parts.append(f"tax {'materials ' if what == 'materials' else ''}{plain(percent)}%")
    if "markup" in sheet:
        parts.append(f"markup {plain(sheet['markup'])}%")
    for line in sheet["lines"]:
        text = plain(line["quantity"])
        text += f" at {plain(line['each'])}" if "each" in line else f" in {plain(line['whole'])}"
        for name in ["own rate", "material", "fixed"]:
            if name in line:
                text += f", {name} {plain(line[name])}"
        parts.append(text)
    return "; ".join(parts)


def read(text):
    """The way back from `note`."""
    sheet = {"lines": []}
    for part in text.split("; "):
        if part[0].isdigit():
            counted, *rest = part.split(", ")
            word = " at " if " at " in counted else " in "
            quantity, minutes = counted.split(word)
            microseconds = floor(Fraction(minutes) * 60_000_000 + Fraction(1, 2))
            line = {"quantity": Fraction(quantity)}
            line["each" if word == " at " else "whole"] = Fraction(microseconds, 60_000_000)
            line.update((name, Fraction(figure)) for name, figure in (item.rsplit(" ", 1) for item in rest))
            sheet["lines"].append(line)
            continue
        name, figure = part.rsplit(" ", 1)
        if name in ("round to", "round up to"):
            sheet["step"] = ("up" if "up" in name else "nearest", Fraction(figure))
        elif name in ("discount", "more off"):
            sheet[name] = ("%" if figure.endswith("%") else "$", Fraction(figure.rstrip("%")))
        elif name in ("tax", "tax materials"):
            sheet["tax"] = ("materials" if "materials" in name else "all", Fraction(figure.rstrip("%")))
        else:
            sheet[name] = Fraction(figure.rstrip("%"))
    return sheet


def price_lines(sheet):
    shown, total, materials, work = [], Fraction(0), Fraction(0), Fraction(0)
    for line in sheet["lines"]:
        minutes = line["whole"] if "whole" in line else line["quantity"] * line["each"]
        rate = sheet.get("rate said", line.get("own rate", sheet["rate"]))
        material = line["quantity"] * line.get("material", 0) * (1 + sheet.get("markup", 0) / Fraction(100))
        if "fixed" in line:
            price, each = to_cents(line["quantity"] * line["fixed"]), line["fixed"]
        else:
            whole = minutes * rate / 60 + material
            price = to_cents(whole)
            each = to_cents(whole / line["quantity"])
            if each < Fraction(1, 10):
                each = to_cents(whole / line["quantity"] * 100) / 100
        each_text = dollars(each) if (each * 100).denominator == 1 else plain(each)
        shown.append(f"{dollars(price)} @{each_text}")
        total, materials, work = total + price, materials + to_cents(material), work + minutes
    return shown, total, materials, work


def price(sheet):
    shown, total, materials, work = price_lines(sheet)
    rate = sheet.get("rate said", sheet["rate"])
    extras = []

    def extra(name, amount):
        nonlocal total
        total += amount
        extras.append(f"{name} {dollars(amount)}")

    for name in ["set-up", "haul", "drive"]:
        if sheet.get(name):
            work += sheet[name]
            extra(name, to_cents(sheet[name] * rate / 60))
    fees = sheet.get("dump fee", Fraction(0))
    if fees:
        extra("dump fee", fees)
    minimum = sheet.get("minimum", Fraction(0))
    if "price said" in sheet:
        if sheet["price said"] != total:
            extra("price said", sheet["price said"] - total)
    else:
        if total < minimum:
            extra("minimum", minimum - total)
        if "step" in sheet:
            way, step = sheet["step"]
            steps = ceil(total / step) if way == "up" else floor(total / step + Fraction(1, 2))
            if steps == 0 or steps * step < minimum:
                steps = ceil(total / step)
            if steps * step != total:
                extra("rounding", steps * step - total)
    discount = Fraction(0)
    for name in ["discount", "more off"]:
        if name in sheet:
            kind, amount = sheet[name]
            discount += to_cents(total * amount / 100) if kind == "%" else amount
    before_tax = total - discount
    tax = Fraction(0)
    if "tax" in sheet:
        what, percent = sheet["tax"]
        tax = to_cents((min(materials, before_tax) if what == "materials" else before_tax) * percent / 100)
    made = to_places((before_tax - materials - fees) * 60 / work, 2) if work else "nothing"
    text = ", ".join(shown) + " | " + (", ".join(extras) or "none")
    text += f" | {dollars(total)} - {dollars(discount)} + {dollars(tax)} = {dollars(before_tax + tax)}"
    elapsed = to_places(work / sheet.get("crew", Fraction(1)), 2)
    text += f" | work {plain(work)}, elapsed {minimal(elapsed)}, made {made}"
    if before_tax < minimum:
        text += f", short {dollars(minimum - before_tax)}"
    return text


def compare(path):
    cases, wrong = 0, 0
    for number, line in enumerate(open(path, encoding="utf-8"), 1):
        if line.startswith("#") or " => " not in line:
            continue
        left, expected = line.rstrip("\n").split(" => ")
        cases += 1
        if price(read(left)) != expected:
            wrong += 1
            print(f"{path}:{number}: {left}\n  expected {expected}\n  here     {price(read(left))}")
    print(f"{cases} cases, {wrong} differ")
    return 1 if wrong else 0


def main():
    if len(sys.argv) > 1:
        sys.exit(compare(sys.argv[1]))
    draw = Draw(7)
    print("# Quotes priced by tests/reference/quotes.py with Python %s on 2026-11-25; not edited by hand." % platform.python_version())
    for _ in range(300):
        sheet = draw_sheet(draw)
        if "discount" in sheet and sheet["discount"][0] == "$" and sheet.get("price said", 1000) < sheet["discount"][1]:
            continue
        print(f"{note(sheet)} => {price(sheet)}")


if __name__ == "__main__":
    main()
