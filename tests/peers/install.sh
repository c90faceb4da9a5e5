#!/usr/bin/env bash
# Installs the clients and libraries of others that `tests/it/peers.rs` runs, into target/peers (or where TALLYHAND_PEERS says).
set -euo pipefail
here="${TALLYHAND_PEERS:-$(cd "$(dirname "$0")/../.." && pwd)/target/peers}"
python3 -m venv "$here"
"$here/bin/pip" install --quiet --disable-pip-version-check \
    python-telegram-bot==22.8 twilio==9.13.0 pywa==4.5.0 standardwebhooks==1.1.0 icalendar==7.3.2 openpyxl==3.1.5
