"""A room on a real Matrix server (Synapse), the real program beside it: code, text, voice note, photo, restart, second delivery.

Usage: matrix_room.py PYTHON-WITH-SYNAPSE TALLYHAND-BINARY
The voice note says "six large hollies at Birch Lane" (a neural voice, made as tests/voice/make_clips.py says). With the folder of a
speech model in TALLYHAND_TEST_MODEL it has to come back as a price; without one, as the sentence that says so.
"""
import json
import os
import pathlib
import re
import signal
import socket
import sqlite3
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.parse
import urllib.request

python, binary = sys.argv[1:3]
voice = (pathlib.Path(__file__).parents[2] / "fixtures/speech/clips/hollies.ogg").read_bytes()
model = os.environ.get("TALLYHAND_TEST_MODEL")
opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))


def free_port() -> int:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        return taken.getsockname()[1]


def call(method, path, body=None, token=None, media=None):
    headers = {"content-type": media or "application/json"}
    if token:
        headers["authorization"] = f"Bearer {token}"
    data = body if isinstance(body, bytes) else (json.dumps(body).encode() if body is not None else None)
    request = urllib.request.Request(SERVER + path, data=data, headers=headers, method=method)
    with opener.open(request, timeout=30) as response:
        return json.load(response)


def until(what, seconds, look):
    end = time.time() + seconds
    while time.time() < end:
        found = look()
        if found:
            return found
        time.sleep(0.1)
    raise SystemExit(f"{what}: not within {seconds} s")


home = pathlib.Path(tempfile.mkdtemp(prefix="tallyhand-matrix-"))
port = free_port()
SERVER = f"http://127.0.0.1:{port}"
config = home / "homeserver.yaml"
subprocess.run(
    [python, "-m", "synapse.app.homeserver", "--server-name", "localhost.test", "--config-path", str(config),
     "--generate-config", "--report-stats=no"], check=True, cwd=home, capture_output=True)
text = config.read_text()
text = re.sub(r"listeners:\n(?:  .*\n|\s*\n)+", f"""listeners:
  - port: {port}
    bind_addresses: ['127.0.0.1']
    type: http
    tls: false
    resources: [{{names: [client, media], compress: false}}]
""", text)
text = re.sub(r"trusted_key_servers:\n(?:  .*\n)+", "trusted_key_servers: []\n", text)
text += f"""
federation_domain_whitelist: []
presence: {{enabled: false}}
url_preview_enabled: false
public_baseurl: {SERVER}/
rc_message: {{per_second: 1000, burst_count: 1000}}
rc_login: {{address: {{per_second: 1000, burst_count: 1000}}, account: {{per_second: 1000, burst_count: 1000}}}}
"""
config.write_text(text)
synapse = subprocess.Popen([python, "-m", "synapse.app.homeserver", "--config-path", str(config)], cwd=home,
                           stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
house = None
try:
    def up():
        try:
            return call("GET", "/_matrix/client/versions")
        except (urllib.error.URLError, ConnectionError):
            return None

    until("the server", 60, up)
    tokens = {}
    register = pathlib.Path(python).with_name("register_new_matrix_user")
    for user in ("owner", "yard", "mallory"):
        subprocess.run([str(register), "-u", user, "-p", f"pw-{user}", "--no-admin", "-c", str(config), SERVER],
                       check=True, capture_output=True)
        answer = call("POST", "/_matrix/client/v3/login", {
            "type": "m.login.password", "identifier": {"type": "m.id.user", "user": user}, "password": f"pw-{user}"})
        tokens[user] = answer["access_token"]
    book = home / "book.sqlite"
    environment = {name: value for name, value in os.environ.items() if not name.startswith("TALLYHAND_")}
    environment |= {
        "HOME": str(home), "XDG_DATA_HOME": str(home / "data"), "XDG_CONFIG_HOME": str(home / "config"),
        "TALLYHAND_DB": str(book), "TALLYHAND_MATRIX_SERVER": SERVER, "TALLYHAND_MATRIX_TOKEN": tokens["yard"],
        "TALLYHAND_MATRIX_USER": "@yard:localhost.test",
    }
    if model:
        subprocess.run([binary, "speech", "install", "--from", model], env=environment, check=True, capture_output=True)

    def serve():
        return subprocess.Popen([binary, "serve", "--listen", f"127.0.0.1:{free_port()}"], env=environment,
                                stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)

    def say(words):
        out = subprocess.run([binary, "say", words], env=environment, check=True, capture_output=True, text=True)
        return out.stdout

    test = subprocess.run([binary, "channels", "test", "matrix"], env=environment, check=True, capture_output=True, text=True)
    assert "the token is good" in test.stdout, test.stdout
    house = serve()
    time.sleep(2)
    room = call("POST", "/_matrix/client/v3/createRoom", {"preset": "private_chat", "invite": ["@yard:localhost.test"]},
                tokens["owner"])["room_id"]
    quoted = urllib.parse.quote(room)

    def members():
        answer = call("GET", f"/_matrix/client/v3/rooms/{quoted}/joined_members", token=tokens["owner"])
        return "@yard:localhost.test" in answer["joined"]

    until("the hand joins", 60, members)
    counter = 0

    def send(content, who="owner"):
        global counter
        counter += 1
        return call("PUT", f"/_matrix/client/v3/rooms/{quoted}/send/m.room.message/t{counter}", content, tokens[who])["event_id"]

    def told():
        answer = call("GET", f"/_matrix/client/v3/rooms/{quoted}/messages?dir=b&limit=100", token=tokens["owner"])
        ours = [event for event in answer["chunk"]
                if event["sender"] == "@yard:localhost.test" and event["type"] == "m.room.message"]
        return [event["content"]["body"] for event in reversed(ours)]

    code = next(line for line in say("connect matrix").splitlines() if len(line) == 14)
    call("POST", f"/_matrix/client/v3/rooms/{quoted}/invite", {"user_id": "@mallory:localhost.test"}, tokens["owner"])
    call("POST", f"/_matrix/client/v3/rooms/{quoted}/join", {}, tokens["mallory"])
    send({"msgtype": "m.text", "body": "12 small crapes"}, "mallory")
    send({"msgtype": "m.text", "body": code})
    until("the code", 30, lambda: len(told()) == 1 and told()[0].startswith("You are in"))
    started = time.time()
    send({"msgtype": "m.text", "body": "rate 95"})
    send({"msgtype": "m.text", "body": "12 small 3 medium crapes at Alder Ct"})
    until("the price", 30, lambda: any("Total $171.00" in body for body in told()))
    print(f"a price after {time.time() - started:.2f} s")
    uri = call("POST", "/_matrix/media/v3/upload?filename=voice.ogg", voice, tokens["owner"], "audio/ogg")["content_uri"]
    note = {"msgtype": "m.audio", "body": "Voice message", "url": uri,
            "info": {"mimetype": "audio/ogg", "size": len(voice), "duration": 4200},
            "org.matrix.msc1767.audio": {"duration": 4200, "waveform": [0, 256, 512]}, "org.matrix.msc3245.voice": {}}
    before = len(told())
    started = time.time()
    send(note)
    until("an answer to the voice note", 120, lambda: len(told()) > before)
    heard = told()[-1]
    print(f"after {time.time() - started:.2f} s to the voice note: {heard!r}")
    if model:
        assert "6 holly large" in heard and "Total $190.00" in heard, heard
    else:
        assert "model" in heard, heard
    kept = sqlite3.connect(book).execute("SELECT count(*), max(length(bytes)) FROM file WHERE media_type LIKE 'audio/%'").fetchone()
    assert kept == (1, len(voice)), kept
    # The power goes while messages come in, and the same are there when it is back: each once, in order.
    for number in range(20):
        send({"msgtype": "m.text", "body": f"note number {number}"})
        if number == 10:
            house.send_signal(signal.SIGKILL)
            house.wait()
    house = serve()

    def notes():
        return [body for body in told() if "number " in body]

    until("every note", 120, lambda: len(set(notes())) >= 20)
    time.sleep(2)
    assert [re.search(r"number \d+$", body).group(0) for body in notes()] == [f"number {number}" for number in range(20)], notes()
    count = sqlite3.connect(book).execute("SELECT count(*) FROM message WHERE text LIKE 'note number%'").fetchone()[0]
    assert count == 20, count
    check = subprocess.run([binary, "check"], env=environment, capture_output=True, text=True)
    assert check.returncode == 0 and not check.stdout, check.stdout
    shown = subprocess.run([binary, "channels"], env=environment, check=True, capture_output=True, text=True).stdout
    print(shown)
    print("Matrix: code, price, voice note, kill and restart, 20 of 20 notes once and in order")
finally:
    for process in (house, synapse):
        if process and process.poll() is None:
            process.terminate()
            process.wait(20)
