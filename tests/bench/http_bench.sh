#!/usr/bin/env bash
# The server under 64 connections of wrk, each figure beside a bare one of the same run; then how it answers while it is abused.
# Two runs differ by up to a third: read the ratios.
#   tests/bench/http_bench.sh BUILD_FOLDER BASE_FOLDER [SECONDS]      seconds for each load (30), at most 300
# Only 127.0.0.1 is asked. nginx stands beside it where it is installed; wrk has to be.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
build=${1:?build folder} base=${2:?folder of the bases} seconds=${3:-30}
[ "$seconds" -ge 1 ] && [ "$seconds" -le 300 ] || { echo "http_bench: 1 to 300 seconds" >&2; exit 2; }
command -v wrk >/dev/null || { echo "http_bench: wrk is not installed" >&2; exit 2; }
server=$build/server/stillroom-server bare=$build/tests/bench/http_bare
for program in "$server" "$bare"; do
  [ -x "$program" ] || { echo "http_bench: $program is not built" >&2; exit 2; }
done
scratch=$(mktemp -d)
chmod 755 "$scratch"
running=
stop() {
  if [ -n "$running" ]; then
    kill "$running" 2>/dev/null || true
    wait "$running" 2>/dev/null || true
    running=
  fi
}
trap 'stop; rm -rf "$scratch"' EXIT
failed=0

port_free() { python3 -c 'import socket; s = socket.socket(); s.bind(("127.0.0.1", 0)); print(s.getsockname()[1])'; }

# start ADDRESS COMMAND...: runs it and waits until the address answers
start() {
  local address=$1
  shift
  "$@" >"$scratch/log" 2>&1 &
  running=$!
  for _ in $(seq 200); do
    curl -s -o "$scratch/first" "http://127.0.0.1:$port$address" && return
    sleep 0.05
  done
  cat "$scratch/log" >&2
  exit 1
}

# load QUESTIONS: throughput, p50 and p99 in ms, answers that were none
load() {
  HTTP_QUESTIONS=$1 wrk -t2 -c64 --timeout 10s -d"${seconds}s" --latency -s "$here/http_load.lua" "http://127.0.0.1:$port" |
    sed -n 's/^RESULT //p'
}

no_figures() { echo "http_bench: wrk gave no figures" >&2; exit 1; }

say() { printf '%-34s %9s/s   p50 %8s ms   p99 %8s ms   failed %s\n' "$1" "$2" "$3" "$4" "$5"; }
ratio() { awk -v a="$1" -v b="$2" 'BEGIN { printf "%.2f", (b > 0 ? a / b : 0) }'; }
# target TEXT VALUE LEAST
target() {
  local good=reached
  awk -v a="$2" -v b="$3" 'BEGIN { exit !(a >= b) }' || { good=MISSED; failed=1; }
  printf '  %-48s %s (target %s: %s)\n' "$1" "$2" "$3" "$good"
}

echo "64 connections, $seconds s each, $(nproc) cores shared with the load"
port=$(port_free)
none=
if command -v nginx >/dev/null; then
  mkdir "$scratch/files"
  head -c 4096 /dev/zero | tr '\0' x >"$scratch/files/4k.json"
  cat >"$scratch/nginx.conf" <<CONF
daemon off; worker_processes 2; pid $scratch/nginx.pid; error_log $scratch/nginx.log;
events { worker_connections 1024; }
http { access_log off; sendfile on; tcp_nopush on; keepalive_requests 1000000000;
  types { application/json json; }
  client_body_temp_path $scratch/a; proxy_temp_path $scratch/b; fastcgi_temp_path $scratch/c;
  uwsgi_temp_path $scratch/d; scgi_temp_path $scratch/e;
  server { listen 127.0.0.1:$port backlog=1024; root $scratch/files; } }
CONF
  start /4k.json nginx -c "$scratch/nginx.conf" -p "$scratch"
  read -r nginx_rate p50 p99 bad < <(load "$none") || no_figures
  stop
  say "nginx, static 4 KB" "$nginx_rate" "$p50" "$p99" "$bad"
else
  nginx_rate=
  echo "nginx is not installed: no figure beside it"
fi
start /4k.json "$bare" fixed "$port"
read -r fixed_rate p50 p99 bad < <(load "$none") || no_figures
stop
say "cpp-httplib bare, 4 KB" "$fixed_rate" "$p50" "$p99" "$bad"
start /4k.json "$bare" layer "$port"
read -r layer_rate p50 p99 bad < <(load "$none") || no_figures
stop
say "our HTTP layer, 4 KB" "$layer_rate" "$p50" "$p99" "$bad"
[ -n "$nginx_rate" ] && target "4 KB against nginx" "$(ratio "$layer_rate" "$nginx_rate")" 0.45
printf '  %-48s %s\n' "4 KB against bare cpp-httplib" "$(ratio "$layer_rate" "$fixed_rate")"

for what in find swap; do
  questions=$here/http_$what.txt
  inside=$("$bare" inside "$base" "$questions" $((seconds < 10 ? seconds : 10)))
  printf '%-34s %9s/s\n' "$what, two threads without HTTP" "$inside"
  start "$(head -1 "$questions")" "$bare" answers "$port" "$base"
  read -r bare_rate p50 p99 bad < <(load "$questions") || no_figures
  stop
  say "$what, cpp-httplib bare" "$bare_rate" "$p50" "$p99" "$bad"
  start /api/v1/health "$server" --port "$port" --base "$base"
  read -r rate p50 p99 bad < <(load "$questions") || no_figures
  say "$what, stillroom-server" "$rate" "$p50" "$p99" "$bad"
  [ "$bad" -eq 0 ] || failed=1
  target "$what against the rate without HTTP" "$(ratio "$rate" "$inside")" 0.50
  printf '  %-48s %s\n' "$what against bare cpp-httplib" "$(ratio "$rate" "$bare_rate")"
  stop
done

start /api/v1/health "$server" --port "$port" --base "$base"
echo "500 idle and 500 dripping connections, a new one every 50 ms, 20 s:"
printf '  '
"$bare" abuse "$port" 20 || { failed=1; echo "  MISSED: each within 500 ms"; }
stop
exit "$failed"
