"""Workbooks of ours, changed with openpyxl, recomputed by LibreOffice, and compared cell by cell with what is expected.

Reads `{"program": "soffice", "cases": [{"file": …, "changes": {"jobs!I2": 7}, "expected": {"jobs!N2": 12.5, …}}]}`.
openpyxl writes formulas without their values, so whatever LibreOffice gives is its own work.
"""
import json
import pathlib
import subprocess
import sys
import tempfile

import openpyxl

case = json.load(sys.stdin)


def cell(book, name):
    sheet, place = name.split("!")
    return book[sheet][place]


with tempfile.TemporaryDirectory() as folder:
    folder = pathlib.Path(folder)
    changed, recomputed = folder / "changed", folder / "recomputed"
    changed.mkdir()
    files = []
    for number, one in enumerate(case["cases"]):
        book = openpyxl.load_workbook(one["file"])
        for name, value in one["changes"].items():
            cell(book, name).value = value
        files.append(changed / f"{number}.xlsx")
        book.save(files[-1])
    profile = (folder / "profile").as_uri()
    command = [case["program"], "--headless", "--norestore", f"-env:UserInstallation={profile}"]
    command += ["--convert-to", "xlsx", "--outdir", str(recomputed), *map(str, files)]
    subprocess.run(command, check=True, timeout=240, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    for number, one in enumerate(case["cases"]):
        book = openpyxl.load_workbook(recomputed / f"{number}.xlsx", data_only=True)
        for name, wanted in one["expected"].items():
            found = cell(book, name).value
            if wanted is None:
                assert found in (None, ""), (number, name, found)
            else:
                assert isinstance(found, (int, float)), (number, name, found, wanted)
                assert abs(found - wanted) < 0.0005, (number, name, found, wanted)
print("ok")
