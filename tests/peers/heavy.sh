#!/usr/bin/env bash
# Whole servers of others: Matrix Synapse (from PyPI) and the SMS gateway Kannel (Debian's package), with the real program.
# They are too heavy for every run; `tests/peers/heavy.sh matrix` and `tests/peers/heavy.sh kannel` run one each.
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
*)
    echo "usage: $0 matrix | kannel" >&2
    exit 2
    ;;
esac
