#!/usr/bin/env bash
# Tests the store on PostgreSQL: on the server that TACKLINE_POSTGRES names, or on a throw-away one that is made in a temporary
# folder, reached by a socket there, and removed at the end. Where there can be none it says so and gives no error.
set -euo pipefail
cd "$(dirname "$0")/.."
check() { go test ./store -count=1 -run PostgreSQL; }
untested() { echo "NOT TESTED: the store on PostgreSQL: $1. Set TACKLINE_POSTGRES to a server, such as postgres://user@host/database." >&2; exit 0; }
programs() { dirname "$(command -v initdb || ls -v /usr/lib/postgresql/*/bin/initdb 2>/dev/null | tail -1)"; } # "." where there is none

[ -z "${TACKLINE_POSTGRES:-}" ] || { check; exit; }
[ "$(programs)" != . ] || scripts/need.sh postgres || untested "it will not install"
bin=$(programs)
[ "$bin" != . ] || untested "there is no initdb"

dir=$(mktemp -d)
as=()
stop() { "${as[@]}" "$bin/pg_ctl" stop -s -D "$dir/data" -m immediate 2>/dev/null || true; rm -rf "$dir"; }
trap stop EXIT
if [ "$(id -u)" = 0 ]; then # PostgreSQL does not run as root
  user=nobody; ! id postgres >/dev/null 2>&1 || user=postgres
  as=(setpriv --reuid "$user" --regid "$(id -g "$user")" --clear-groups)
  chown "$user" "$dir"
fi
export LC_ALL=C
"${as[@]}" "$bin/initdb" -D "$dir/data" -U tackline -A trust -E UTF8 --no-sync >"$dir/said" 2>&1 &&
  "${as[@]}" "$bin/pg_ctl" start -s -w -D "$dir/data" -l "$dir/data/log" \
    -o "-c listen_addresses= -c unix_socket_directories=$dir -c fsync=off" >>"$dir/said" 2>&1 ||
  { cat "$dir/said" "$dir/data/log" >&2 || true; untested "it does not start"; }
TACKLINE_POSTGRES="postgres:///postgres?user=tackline&host=$dir" check
