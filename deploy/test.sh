#!/usr/bin/env bash
# Runs every check and test of Tamis on a machine with only Go and apt: installs what is missing, builds the S3 server
# and the linter at fixed versions into a cache folder, then formats, vets, lints and tests. The tests start their own
# Redis and S3 servers on free loopback ports and stop them again.
#
#   deploy/test.sh            everything
#   TAMIS_TEST_RACE=off …     without the race detector's second pass
set -euo pipefail
cd "$(dirname "$0")/.."

S3_SERVER=github.com/versity/versitygw/cmd/versitygw@v1.8.0
LINTER=honnef.co/go/tools/cmd/staticcheck@v0.8.2
cache=${TAMIS_TEST_CACHE:-$HOME/.cache/tamis}/bin

say() { printf '\n== %s\n' "$*"; }

install_packages() {
  local missing=() pair
  for pair in redis-server:redis-server gs:ghostscript tiffcp:libtiff-tools pdftoppm:poppler-utils transicc:liblcms2-utils python3:python3; do
    command -v "${pair%%:*}" >/dev/null || missing+=("${pair##*:}")
  done
  for package in icc-profiles-free libgs-common palapeli-data pingus-data kgeography-data; do # profiles, and pictures
    dpkg -s "$package" >/dev/null 2>&1 || missing+=("$package")
  done
  [ ${#missing[@]} -eq 0 ] && return
  say "installing ${missing[*]}"
  apt-get update -qq
  DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "${missing[@]}" >/dev/null
}

# build TOOL@VERSION: into the cache, once; the version is part of the marker's name.
build() {
  local name=${1##*/}
  local marker=$cache/.${name/@/-}
  [ -e "$marker" ] && [ -x "$cache/${name%@*}" ] && return
  say "building $name"
  mkdir -p "$cache"
  GOBIN=$cache GOFLAGS=-mod=mod go install "$1"
  touch "$marker"
}

install_packages
build "$S3_SERVER"
build "$LINTER"
export PATH=$cache:$PATH
packages="./api/... ./worker/... ./pkg/... ./openapi ./deploy/... ./testdata ./testdata/demo/..."

say "format"
unformatted=$(gofmt -l api worker pkg openapi deploy testdata)
[ -z "$unformatted" ] || { echo "not formatted: $unformatted"; exit 1; }

say "vet and lint"
# shellcheck disable=SC2086 # the list is meant to split
go vet $packages
# shellcheck disable=SC2086
staticcheck $packages

say "tests"
# shellcheck disable=SC2086
go test $packages

say "the same bytes without assembly, and for a newer processor"
go test -tags purego ./pkg/inflate ./pkg/raster ./pkg/halftone ./pkg/film
go test -tags purego -run "Kernel|PNG|Pixels" ./pkg/separate ./pkg/artwork
GOAMD64=v3 go test -run SameBytes ./pkg/film

say "assembly is what its generator writes"
for pair in halftone/row raster/spread raster/contour film/changes separate/mix separate/sharp separate/deal artwork/alike artwork/pixels; do
  package=${pair%/*} kernel=${pair#*/}
  fresh=$(mktemp)
  (cd "pkg/$package/_asm" && go run "$kernel.go" -out "$fresh")
  # the first line is the command, which names the file written
  cmp <(tail -n +2 "$fresh") <(tail -n +2 "pkg/$package/${kernel}_amd64.s") ||
    { echo "pkg/$package/${kernel}_amd64.s is stale"; exit 1; }
  rm -f "$fresh"
  # the generator takes registers that only AVX-512 has where it runs out of others, and says nothing
  if ! grep -q '^// Requires:.*AVX512' "pkg/$package/${kernel}_amd64.s" &&
    grep -nE '\b([XY](1[6-9]|2[0-9]|3[01])|Z[0-9]+|K[0-7])\b' "pkg/$package/${kernel}_amd64.s"; then
    echo "pkg/$package/${kernel}_amd64.s needs AVX-512 and does not say so"; exit 1
  fi
done

if [ "${TAMIS_TEST_RACE:-on}" = on ]; then
  say "tests where goroutines meet, with the race detector"
  go test -race -short ./pkg/store ./pkg/queue ./worker/... ./api/... ./pkg/produce
fi

say "all passed"
