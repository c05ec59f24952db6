#!/usr/bin/env python3
"""Packs places.json into the table that core compiles in. Python's standard library only.

Usage: python3 pack.py OUTPUT      (core/src/need/climate/places.bin)

Layout, in this order, for n places sorted by name:
  2 bytes       n, unsigned, little end first
  n x 12 bytes  evapotranspiration, January first, steps of 0.05 mm a day
  n x 12 bytes  rain, January first: 8 x square root of the month's mm
  n x 2 bytes   latitude in hundredths of a degree, signed, little end first
  n x 2 bytes   longitude likewise
  n x 2 bytes   country, two letters as in zone.tab
  the rest      names in UTF-8, one a line: the last part of the time-zone name, `_` read as a space
"""
import json
import math
import pathlib
import sys


def nearest(number):
    return math.floor(number + 0.5)


def pack(places):
    name = lambda p: p["tz"].rsplit("/", 1)[1].replace("_", " ")
    rows = sorted(((name(p), p) for p in places), key=lambda row: row[0])
    signed = lambda number: nearest(number * 100).to_bytes(2, "little", signed=True)
    return b"".join(
        [len(rows).to_bytes(2, "little")]
        + [bytes(nearest(mm * 20) for mm in p["eto_mm_d_HS1975"]) for _, p in rows]
        + [bytes(nearest(math.sqrt(mm) * 8) for mm in p["rain_mm"]) for _, p in rows]
        + [signed(p["lat"]) for _, p in rows]
        + [signed(p["lon"]) for _, p in rows]
        + [p["cc"].encode("ascii") for _, p in rows]
        + ["".join(name + "\n" for name, _ in rows).encode("utf-8")]
    )


if __name__ == "__main__":
    source = pathlib.Path(__file__).with_name("places.json")
    places = json.loads(source.read_text(encoding="utf-8"))["places"]
    pathlib.Path(sys.argv[1]).write_bytes(pack(places))
