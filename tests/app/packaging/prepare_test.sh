#!/bin/bash
# SPDX-License-Identifier: GPL-3.0-or-later
# prepare.sh on pretend machines: a folder that holds every part that packages.txt names, less those that a case takes away,
# and commands that write down how they were called. Nothing of the real machine is looked at or changed.
set -euo pipefail

prepare=$(cd "$(dirname "${BASH_SOURCE[0]}")/../../.." && pwd)/app/packaging/prepare.sh
bash=$BASH
machine=$(mktemp -d)
trap 'rm -rf "$machine"' EXIT
failures=0

# A command of the pretend machine; $2 is what it does.
command_that() {
    printf '#!%s\n%s\n' "$bash" "$2" >"$machine/bin/$1"
    chmod +x "$machine/bin/$1"
}

part() {
    mkdir -p "$machine/$(dirname "$1")"
    echo "${2:-}" >"$machine/$1"
}

# A machine with all parts, apt and sudo. apt knows every name but those in $machine/unknown.
a_machine() {
    rm -rf "${machine:?}"/*
    mkdir -p "$machine/bin"
    local kind what version
    while read -r group _ kind what version; do
        [[ -n $group && $group != \#* ]] || continue
        case $kind in
        command) command_that "$what" "echo '$what (invented) ${version:-1}.0'" ;;
        config) part "usr/lib/invented-linux-gnu/cmake/$what/${what}Config.cmake" ;;
        header) part "usr/include/$what" ;;
        file) part "${what//\*/any}" ;;
        *) echo "packages.txt has an unknown kind: $kind" && exit 1 ;;
        esac
    done <"$(dirname "$prepare")/packages.txt"
    part etc/os-release 'ID=debian
VERSION_ID="12"'
    : >"$machine/unknown"
    : >"$machine/calls"
    command_that apt-get "echo \"apt-get \$*\" >>'$machine/calls'; [[ \$1 != install ]] || . '$machine/on-install'"
    command_that apt-cache "while read -r name; do [[ \$2 != \"\$name\" ]] || exit 100; done <'$machine/unknown'"
    command_that sudo "echo \"sudo \$*\" >>'$machine/calls'; while [[ \$1 == *=* ]]; do shift; done; exec \"\$@\""
    : >"$machine/on-install"
}

without() {
    rm -r "${machine:?}/$1"
}

# Runs prepare.sh as the user with this number; leaves `output` and `code`.
prepared_as() {
    code=0
    output=$(PATH=$machine/bin POTWATCH_ROOT=$machine POTWATCH_UID=$1 "$bash" "$prepare" "${@:2}" </dev/null 2>&1) || code=$?
    calls=$(<"$machine/calls")
}

it() {
    fact=$1
}

expect() {
    if ! eval "$1"; then
        echo "FAILED: $fact"
        echo "  expected: $1"
        echo "  exit code $code, output:"
        echo "${output//$'\n'/$'\n'    }"
        echo "  calls: $calls"
        failures=$((failures + 1))
    fi
}

it "calls no package manager and no sudo when all is there"
a_machine
for user in 0 1000; do
    prepared_as $user build test fuzz bench
    expect '[[ $code == 0 && -z $output && -z $calls ]]'
done

it "names what is missing and prints the one line where it may not install"
a_machine
without usr/include/fast_float
without usr/lib/invented-linux-gnu/cmake/fmt
prepared_as 1000 build
expect '[[ $code == 1 && -z $calls ]]'
expect '[[ $output == *"libfast-float-dev"*"no header fast_float/fast_float.h"* ]]'
expect '[[ $output == *$'"'\n'"'"sudo apt-get update && sudo apt-get install -y --no-install-recommends libfast-float-dev libfmt-dev" ]]'

it "prints a line for su where there is no sudo"
without bin/sudo
prepared_as 1000 build
expect '[[ $code == 1 && $output == *"su -c '"'apt-get update && apt-get install -y --no-install-recommends libfast-float-dev libfmt-dev'"'" ]]'

it "installs as root, updating once, and looks again"
a_machine
without usr/include/fast_float
echo "/bin/mkdir -p '$machine/usr/include/fast_float'; : >'$machine/usr/include/fast_float/fast_float.h'" >"$machine/on-install"
prepared_as 0 build
expect '[[ $code == 0 ]]'
expect '[[ $calls == "apt-get update -q"$'"'\n'"'"apt-get install -y -q --no-install-recommends libfast-float-dev" ]]'

it "says so when a part is still missing after the installation"
a_machine
without usr/include/fast_float
prepared_as 0 build
expect '[[ $code == 1 && $output == *"still not found"*"no header fast_float/fast_float.h"* ]]'

it "stops with the line when apt-get fails"
a_machine
without usr/include/fast_float
echo "exit 100" >"$machine/on-install"
prepared_as 0 build
expect '[[ $code == 1 && $output == *"apt-get did not succeed"*"libfast-float-dev" ]]'

# The same on a terminal on which $2 is typed.
prepared_on_a_terminal_as() {
    code=0
    output=$(echo "$2" | PATH=$machine/bin POTWATCH_ROOT=$machine POTWATCH_UID=$1 "$script" -qec "$bash $prepare ${*:3}" /dev/null 2>&1) ||
        code=$?
    output=${output//$'\r'/}
    calls=$(<"$machine/calls")
}

if script=$(command -v script); then
    it "installs with sudo after a yes on a terminal"
    a_machine
    without usr/include/fast_float
    echo "/bin/mkdir -p '$machine/usr/include/fast_float'; : >'$machine/usr/include/fast_float/fast_float.h'" >"$machine/on-install"
    prepared_on_a_terminal_as 1000 yes build
    expect '[[ $code == 0 && $calls == *"sudo "*"apt-get update"*"sudo "*"apt-get install"*"libfast-float-dev"* ]]'

    it "prints the line after a no on a terminal"
    a_machine
    without usr/include/fast_float
    prepared_on_a_terminal_as 1000 no build
    expect '[[ $code == 1 && -z $calls && $output == *"sudo apt-get update && sudo apt-get install"*"libfast-float-dev"* ]]'
else
    echo "not tried: a terminal (there is no command script)"
fi

it "asks for no more than the groups that are wanted"
a_machine
without usr/include/gtest
prepared_as 1000 build
expect '[[ $code == 0 ]]'
prepared_as 1000 build test
expect '[[ $code == 1 && $output == *libgtest-dev* ]]'

it "takes the first name that apt knows"
a_machine
without usr/lib/invented-linux-gnu/cmake/Qt6Charts
prepared_as 1000 build
expect '[[ $output == *" qt6-charts-dev" ]]'
echo qt6-charts-dev >"$machine/unknown"
prepared_as 1000 build
expect '[[ $output == *" libqt6charts6-dev" ]]'

it "counts a compiler, a CMake and a Qt that are too old as missing"
a_machine
command_that g++ 'echo "g++ (invented 10.2.1-6) 10.2.1"'
command_that cmake 'echo "cmake version 3.24.9"'
part usr/lib/invented-linux-gnu/cmake/Qt6Widgets/Qt6WidgetsConfigVersion.cmake 'set(PACKAGE_VERSION "6.2.4")'
prepared_as 1000 build
expect '[[ $code == 1 && $output == *"g++ is 10.2.1, 12 or newer is needed"* ]]'
expect '[[ $output == *"cmake is 3.24.9, 3.25 or newer is needed"* ]]'
expect '[[ $output == *"Qt6Widgets is 6.2.4, 6.4 or newer is needed"* ]]'

it "says which systems are supported, and which of them was not tried"
a_machine
without usr/include/GL
prepared_as 1000 build
expect '[[ $output != *"not tried"* && $output != *"Supported are"* ]]'
part etc/os-release 'ID=ubuntu
VERSION_ID="24.04"'
prepared_as 1000 build
expect '[[ $output == *"on this system they were not tried"* ]]'
part etc/os-release 'ID=arch'
prepared_as 1000 build
expect '[[ $output == *"Supported are Debian 12 and 13 and Ubuntu 24.04"* ]]'

it "says what to do where there is no apt-get"
without bin/apt-get
prepared_as 0 build
expect '[[ $code == 1 && $output == *"with the package manager of this system"* ]]'

it "finds what stands under CMAKE_PREFIX_PATH"
a_machine
without usr/lib/invented-linux-gnu/cmake/CLI11
part opt/lib/cmake/CLI11/CLI11Config.cmake
CMAKE_PREFIX_PATH=$machine/opt prepared_as 1000 build
expect '[[ $code == 0 ]]'

it "refuses a group that there is not"
prepared_as 1000 everything
expect '[[ $code == 2 ]]'

if ((failures > 0)); then
    echo "$failures expectations failed"
    exit 1
fi
echo "all expectations hold"
