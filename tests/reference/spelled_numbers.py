"""Writes fixtures/references/language/spelled_numbers.tsv: numbers spelled out by the num2words library.

Run from the top of the repository, with num2words 0.5.14 installed:
    python3 tests/reference/spelled_numbers.py > fixtures/references/language/spelled_numbers.tsv

All 10,000 cardinals would be half a megabyte, so rows are kept for 0 to 120 and for every 97th number, and the SHA-256 of
all of them, a line each, stands for the rest. The same for the minutes of a day, said in hours and minutes; the library
spells the numbers, the words "hour", "minute" and "and" around them are put there by this file.
"""

import hashlib
from datetime import date
from importlib.metadata import version

from num2words import num2words


def duration(total):
    hours, minutes = divmod(total, 60)
    parts = []
    if hours:
        parts.append(num2words(hours) + (" hour" if hours == 1 else " hours"))
    if minutes or not hours:
        parts.append(num2words(minutes) + (" minute" if minutes == 1 else " minutes"))
    return " and ".join(parts)


def digest(lines):
    return hashlib.sha256("".join(line + "\n" for line in lines).encode()).hexdigest()


cardinals = [num2words(n) for n in range(10_000)]
durations = [duration(n) for n in range(1_441)]

print(f"# Numbers spelled out by num2words {version('num2words')} from PyPI, language en.")
print(f"# Written by tests/reference/spelled_numbers.py on {date.today()}; not edited by hand.")
print("# kind\tnumber\twords")
print(f"cardinals sha256\t{len(cardinals)}\t{digest(cardinals)}")
print(f"durations sha256\t{len(durations)}\t{digest(durations)}")
for n, words in enumerate(cardinals):
    if n <= 120 or n % 97 == 0:
        print(f"cardinal\t{n}\t{words}")
for n, words in enumerate(durations):
    if n <= 125 or n % 37 == 0:
        print(f"duration\t{n}\t{words}")
