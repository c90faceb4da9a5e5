"""Writes fixtures/references/pricing/rounding_python.tsv: roundings done by Python's decimal module.

Run from the top of the repository:  python3 tests/reference/rounding.py > fixtures/references/pricing/rounding_python.tsv

Every figure is computed with 60 digits and rounded once, half up; a quotient that cannot be told from a half at 60
digits does not occur, because every operand is a decimal of at most 20 digits. The operands are drawn by a linear
congruential generator written out here, so that any version of Python draws the same ones; a part of them is aimed at
halves of a cent.
"""

import platform
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal, getcontext

getcontext().prec = 60
CENT = Decimal("0.01")
EIGHT = Decimal("0.00000001")
MICROSECOND = Decimal("0.000001")


class Draw:
    """Numerical Recipes' 32-bit generator (a = 1664525, c = 1013904223)."""

    def __init__(self, seed):
        self.state = seed

    def below(self, limit):
        self.state = (1664525 * self.state + 1013904223) % 2**32
        return (self.state >> 8) % limit

    def decimal(self, least, greatest, places):
        scale = 10**places
        span = int((greatest - least) * scale) + 1
        high, low = self.below(2**20), self.below(2**20)
        return Decimal(int(least * scale) + (high * 2**20 + low) % span) / scale


def cents(value, rounding=ROUND_HALF_UP):
    return value.quantize(CENT, rounding=rounding)


def plain(value):
    return format(value, "f")


def rows():
    draw = Draw(20261125)
    for _ in range(150):
        quantity = draw.decimal(1, 10000, draw.below(3))
        minutes = draw.decimal(Decimal("0.25"), 600, 2)
        rate = draw.decimal(1, 10000, draw.below(3))
        yield "line", quantity, minutes, rate, cents(quantity * minutes * rate / 60)
    # 3/10 of a minute at a whole rate is a whole number of half cents, so half of these lie on a half.
    for _ in range(60):
        rate = Decimal(1 + draw.below(400))
        yield "line", Decimal(1), Decimal("0.3"), rate, cents(Decimal("0.3") * rate / 60)
    for _ in range(80):
        quantity = draw.decimal(1, 5000, 1)
        each = draw.decimal(0, 50, 4)
        markup = draw.decimal(0, 60, draw.below(3))
        yield "material", quantity, each, markup, cents(quantity * each * (100 + markup) / 100)
    for _ in range(120):
        amount = draw.decimal(0, 100000, 2)
        percent = draw.decimal(0, 100, draw.below(5))
        yield "percent", amount, percent, "", cents(amount * percent / 100)
    for _ in range(60):
        amount = Decimal(10 * draw.below(20000) + 5) / 10
        yield "percent", amount, Decimal(1 + 2 * draw.below(12)), "", None
    for _ in range(80):
        amount = draw.decimal(0, 20000, 2)
        step = Decimal(["0.05", "0.25", "1", "5", "10", "25", "2.5", "7.35"][draw.below(8)])
        yield "nearest", amount, step, "", (amount / step).quantize(Decimal(1), rounding=ROUND_HALF_UP) * step
        yield "up", amount, step, "", (amount / step).quantize(Decimal(1), rounding=ROUND_CEILING) * step
    for _ in range(80):
        price = draw.decimal(0, 50000, 2)
        work = draw.decimal(Decimal("0.25"), 60000, 2)
        yield "rate made", price, work, "", (price * 60 / work).quantize(EIGHT, rounding=ROUND_HALF_UP)
    for _ in range(80):
        price = draw.decimal(0, 50000, 2)
        rate = draw.decimal(1, 10000, draw.below(3))
        seconds = (price * 3600 / rate).quantize(MICROSECOND, rounding=ROUND_HALF_UP)
        yield "work for price", price, rate, "", (seconds / 60).quantize(EIGHT, rounding=ROUND_HALF_UP)


def main():
    print("# Roundings by the decimal module of Python %s, all half up but `up`." % platform.python_version())
    print("# Written by tests/reference/rounding.py on 2026-11-25; not edited by hand.")
    print("#")
    print("# line            quantity x minutes each / 60 x rate, to the cent")
    print("# material        quantity x price each, with a markup in percent, to the cent")
    print("# percent         that many percent of an amount, to the cent")
    print("# nearest, up     an amount to a multiple of a step")
    print("# rate made       price x 60 / man-minutes, to eight decimals")
    print("# work for price  price x 60 / rate, to the microsecond, in minutes to eight decimals")
    print("what\ta\tb\tc\tresult")
    for what, a, b, c, result in rows():
        if result is None:
            result = cents(a * b / 100)
        print("\t".join([what, plain(a), plain(b), plain(c) if c != "" else "", plain(result)]))


if __name__ == "__main__":
    main()
