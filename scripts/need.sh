#!/usr/bin/env bash
# Installs the named programs with the system's package manager where they are missing and that can be done.
set -euo pipefail
declare -A package=([node]=nodejs [npm]=npm [chromium]=chromium [postgres]=postgresql)
for program in "$@"; do
  command -v "$program" >/dev/null && continue
  echo "installing $program" >&2
  if command -v apt-get >/dev/null; then
    as=""; [ "$(id -u)" = 0 ] || as=sudo
    $as apt-get update -qq && DEBIAN_FRONTEND=noninteractive $as apt-get install -y -qq "${package[$program]}" >/dev/null
  else
    echo "please install $program" >&2; exit 1
  fi
done
