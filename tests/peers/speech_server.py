"""A speech server of others (open-asr-server 0.3.0 with faster-whisper) on the loopback, and the real program that has it
hear a note: `speech_server.py VENV MODEL_FOLDER TALLYHAND`. `tests/peers/heavy.sh speech` installs and runs it."""

import json
import os
import pathlib
import socket
import subprocess
import sys
import tempfile
import time

CLIPS = pathlib.Path(__file__).parents[2] / "fixtures/speech/clips"


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def waits_for(port, server):
    for _ in range(600):
        if server.poll() is not None:
            sys.exit("the speech server ended by itself")
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.2)
    sys.exit("the speech server did not come up")


def says(binary, home, clip, port, model, key):
    own = {"HOME": home, "PATH": os.environ["PATH"], "XDG_DATA_HOME": f"{home}/data", "XDG_CONFIG_HOME": f"{home}/config",
           "TALLYHAND_SPEECH_URL": f"http://127.0.0.1:{port}/v1/audio/transcriptions", "TALLYHAND_SPEECH_KEY": key,
           "TALLYHAND_SPEECH_SERVER_MODEL": f"faster-whisper:{model}"}
    said = subprocess.run([binary, "say", "--json", "--voice", str(CLIPS / clip)], env=own, check=True, stdout=subprocess.PIPE)
    return json.loads(said.stdout)


def main():
    venv, model, binary = sys.argv[1:4]
    port = free_port()
    server = subprocess.Popen(
        [f"{venv}/bin/open-asr-server", "serve", "--host", "127.0.0.1", "--port", str(port)],
        env={**os.environ, "HF_HUB_OFFLINE": "1", "OPEN_ASR_SERVER_API_KEY": "k1"}, stderr=subprocess.DEVNULL)
    try:
        waits_for(port, server)
        with tempfile.TemporaryDirectory() as home:
            for clip in ("opus.ogg", "aac.m4a", "sound.mp3", "phone.amr"):
                began = time.time()
                answer = says(binary, home, clip, port, model, "k1")
                print(f"{clip} -> {answer.get('heard')} ({time.time() - began:.1f} s with the program's start)")
                assert "medium" in answer["heard"].lower(), answer
            refused = says(binary, home, "opus.ogg", port, model, "not the key")
            print("with a wrong key ->", refused["text"])
            assert "heard" not in refused and "quote" not in refused, refused
    finally:
        server.terminate()
        server.wait()


if __name__ == "__main__":
    main()
