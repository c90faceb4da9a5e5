"""A real SMS gateway (Kannel) between a phone and the real program: text in, answer out in segments, the same id again.

Usage: kannel_loop.py FOLDER-WITH-KANNEL TALLYHAND-BINARY     (the folder holds usr/sbin/bearerbox and so on)
Its stand-in for a carrier listens on every address, so this wants a network of its own: unshare -n, lo up; heavy.sh does that.
"""
import os
import pathlib
import re
import sqlite3
import subprocess
import sys
import tempfile
import time

root, binary = pathlib.Path(sys.argv[1]), sys.argv[2]
began = time.time()
home = pathlib.Path(tempfile.mkdtemp(prefix="tallyhand-kannel-"))
config = home / "kannel.conf"
config.write_text("""group = core
admin-port = 18000
admin-interface = 127.0.0.1
admin-password = local-test-only
smsbox-port = 18001
smsbox-interface = 127.0.0.1
box-allow-ip = 127.0.0.1
box-deny-ip = "*.*.*.*"
log-level = 1

group = smsc
smsc = fake
smsc-id = FAKE
port = 18002
connect-allow-ip = 127.0.0.1

group = smsbox
bearerbox-host = 127.0.0.1
sendsms-port = 18013
sendsms-interface = 127.0.0.1
global-sender = 15550100
http-request-retry = 10
http-queue-delay = 2

group = sendsms-user
username = tester
password = foobar
concatenation = true
max-messages = 9

group = sms-service
keyword = default
catch-all = true
max-messages = 0
omit-empty = true
send-sender = true
get-url = "http://127.0.0.1:18080/hooks/gateway?key=k3y&from=%p&to=%P&text=%a&id=%I&charset=%C&coding=%c&sent=%T"
""")
environment = {name: value for name, value in os.environ.items() if not name.startswith("TALLYHAND_")}
environment |= {
    "HOME": str(home), "XDG_DATA_HOME": str(home / "data"), "XDG_CONFIG_HOME": str(home / "config"),
    "TALLYHAND_DB": str(home / "book.sqlite"), "TALLYHAND_GATEWAY_URL": "http://127.0.0.1:18013/cgi-bin/sendsms",
    "TALLYHAND_GATEWAY_KEY": "k3y", "TALLYHAND_GATEWAY_USER": "tester", "TALLYHAND_GATEWAY_PASSWORD": "foobar",
    "TALLYHAND_GATEWAY_NUMBER": "15550100",
}
libraries = ":".join(str(root / path) for path in ("usr/lib/x86_64-linux-gnu", "lib/x86_64-linux-gnu"))
kannel = environment | {"LD_LIBRARY_PATH": libraries}
running = []


def start(arguments, env, log):
    process = subprocess.Popen(arguments, env=env, stdout=open(home / log, "wb"), stderr=subprocess.STDOUT,
                               stdin=subprocess.PIPE)
    running.append(process)
    return process


def serve():
    return start([binary, "serve", "--listen", "127.0.0.1:18080"], environment, "house.log")


def until(what, seconds, look):
    end = time.time() + seconds
    while time.time() < end:
        found = look()
        if found:
            return found
        time.sleep(0.2)
    raise SystemExit(f"{what}: not within {seconds} s; see {home}")


def phone():
    """What the stand-in for the carrier delivered to the phone."""
    return (home / "phone.log").read_bytes().decode("utf-8", "replace")


def text(words):
    """The phone sends a text. The carrier is one process here, so each text restarts it and the log goes on."""
    carrier = subprocess.Popen(
        [str(root / "usr/lib/kannel/test/fakesmsc"), "-H", "127.0.0.1", "-r", "18002", "-i", "0.1", "-m", "1",
         f"15550123 15550100 text {words}"],
        env=kannel, stdout=open(home / "phone.log", "ab"), stderr=subprocess.STDOUT)
    running.append(carrier)
    return carrier


try:
    (home / "phone.log").write_bytes(b"")
    start([str(root / "usr/sbin/bearerbox"), str(config)], kannel, "bearerbox.log")
    time.sleep(2)
    start([str(root / "usr/sbin/smsbox"), str(config)], kannel, "smsbox.log")
    time.sleep(2)
    test = subprocess.run([binary, "channels", "test", "gateway"], env=environment, capture_output=True, text=True)
    assert test.returncode == 0 and "takes user and password" in test.stdout, (test.stdout, test.stderr)
    wrong = subprocess.run([binary, "channels", "test", "gateway"], env=environment | {"TALLYHAND_GATEWAY_PASSWORD": "no"},
                           capture_output=True, text=True)
    assert wrong.returncode != 0 and "refuses user and password" in wrong.stderr, wrong
    house = serve()
    time.sleep(1)
    say = subprocess.run([binary, "say", "connect gateway"], env=environment, check=True, capture_output=True, text=True)
    code = next(line for line in say.stdout.splitlines() if len(line) == 14)
    carrier = text(code.replace("-", ""))
    until("the code", 20, lambda: "You are in" in phone() or "You+are+in" in phone())
    carrier.terminate()
    carrier.wait()
    print("a code by text connects the phone")
    # The house is down when the text comes: the gateway tries again under the same id.
    house.kill()
    house.wait()
    carrier = text("12 small 3 medium crapes, 5 large hollies and 40 ft hedge at Alder Ct")
    time.sleep(3)
    house = serve()
    until("the price", 40, lambda: "Total" in phone())
    time.sleep(2)
    carrier.terminate()
    carrier.wait()
    count = sqlite3.connect(home / "book.sqlite").execute("SELECT count(*) FROM message WHERE channel = 'gateway'").fetchone()[0]
    assert count == 1, count
    # What was written while the house was down counts at the time that the gateway gives (%T), not when it came.
    sent = sqlite3.connect(home / "book.sqlite").execute(
        "SELECT unixepoch(sent_at), unixepoch(received_at) FROM waiting WHERE channel = 'gateway' ORDER BY id").fetchall()
    assert len(sent) == 2 and all(at is not None and abs(at - began) < 60 for at, _ in sent), sent
    assert sent[1][1] - sent[1][0] >= 2, sent
    # The header of each segment: which message, how many there are, which it is (3GPP TS 23.040, 9.2.3.24.1).
    headers = re.findall(r"udh %05%00%03%(..)%(..)%(..) data", phone())
    segments = [header[1:] for header in headers if header[0] == headers[-1][0]]
    assert segments == [(segments[0][0], f"{number:02}") for number in range(1, int(segments[0][0]) + 1)], headers
    print(f"a price after the house came back, {sent[1][1] - sent[1][0]} s after it was asked for, in {len(segments)} segments")
    check = subprocess.run([binary, "check"], env=environment, capture_output=True, text=True)
    assert check.returncode == 0 and not check.stdout, check.stdout
    print("Kannel: code, text in while the house was down, answer out in segments, once")
finally:
    for process in reversed(running):
        if process.poll() is None:
            process.terminate()
            try:
                process.wait(10)
            except subprocess.TimeoutExpired:
                process.kill()
