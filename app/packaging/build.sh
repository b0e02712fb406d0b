#!/bin/bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Configures and builds a preset of CMakePresets.json: build.sh PRESET [TARGET...]. On a terminal the build shows one line that
# counts up; elsewhere it is silent. What CMake says goes to build/PRESET/configure.log, shown only when it fails.
set -euo pipefail

top=$(cd "$(dirname "${BASH_SOURCE[0]}")/../.." && pwd)
preset=${1:?usage: build.sh PRESET [TARGET...]}
shift
folder=$top/build/$preset
# The program lies where the tests find it; a folder that is set up for them serves it too.
[[ $preset != program ]] || folder=$top/build/release
cd "$top"

# The same cache for every copy of the tree.
export CCACHE_BASEDIR=$top CCACHE_NOHASHDIR=1 CCACHE_SLOPPINESS=${CCACHE_SLOPPINESS:-pch_defines,time_macros}

fresh=()
if [[ -f $folder/CMakeCache.txt ]] && ! grep -qxF "CMAKE_HOME_DIRECTORY:INTERNAL=$top" "$folder/CMakeCache.txt"; then
    fresh=(--fresh) # the tree was copied or moved together with its build folder
fi
without_tests=no
if [[ $preset == release ]] && grep -qs '^POTWATCH_BUILD_TESTS:BOOL=OFF' "$folder/CMakeCache.txt"; then
    without_tests=yes # app/run was here first
fi
if [[ ! -f $folder/build.ninja || ${#fresh[@]} -gt 0 || CMakePresets.json -nt $folder/build.ninja ||
    $without_tests == yes ]]; then
    echo "Configuring (preset $preset)."
    mkdir -p "$folder"
    if ! cmake --preset "$preset" "${fresh[@]}" >"$folder/configure.log" 2>&1; then
        cat "$folder/configure.log"
        echo "CMake could not configure the build; what it needs stands above."
        exit 1
    fi
    touch "$folder/build.ninja"
fi

echo "Building (preset $preset); the first time takes minutes."
quiet=()
[[ -t 1 ]] || quiet=(-- --quiet)
cmake --build --preset "$preset" ${1:+--target "$@"} "${quiet[@]}"
