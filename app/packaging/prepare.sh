#!/bin/bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Makes sure of the parts that Potwatch is built from: prepare.sh GROUP..., with the groups of packages.txt.
# It looks first, for commands, headers and CMake files rather than for packages. All there: it ends, and calls no package
# manager and no sudo. Something missing: it says what, and installs it as root, or with sudo after a yes typed on a terminal;
# else it prints the one line to type. Exit: 0 all there; 1 something is missing; 2 wrong usage.
#
# For its test: POTWATCH_ROOT is looked through instead of /, POTWATCH_UID stands for the user's number, and commands come
# from PATH (the script itself needs none but those that it looks for, apt-get, apt-cache and sudo).
set -euo pipefail
shopt -s nullglob

root=${POTWATCH_ROOT:-}
uid=${POTWATCH_UID:-$EUID}
list=${BASH_SOURCE[0]%/*}/packages.txt

for group in "${@:-none}"; do
    if [[ " build test fuzz bench " != *" $group "* ]]; then
        echo "usage: prepare.sh GROUP...   (build, test, fuzz, bench)" >&2
        exit 2
    fi
done

# Whether version $1 is $2 or newer, by their first two numbers.
is_at_least() {
    local -a have want
    IFS=. read -r -a have <<<"$1"
    IFS=. read -r -a want <<<"$2"
    ((have[0] > want[0] || (have[0] == want[0] && ${have[1]:-0} >= ${want[1]:-0})))
}

# $1 is too old a version of $2: the reason it counts as missing.
too_old() {
    reason="$2 is $1, $3 or newer is needed"
}

has_command() {
    reason="no command $1"
    command -v "$1" >/dev/null || return 1
    [[ -n ${2:-} ]] || return 0
    local first version
    first=$("$1" --version 2>/dev/null) || return 1
    first=${first%%$'\n'*}
    version=${first##* }
    [[ $version =~ ^[0-9]+(\.[0-9]+)* ]] || [[ $first =~ [0-9]+(\.[0-9]+)+ ]] || return 1
    version=${BASH_REMATCH[0]}
    is_at_least "$version" "$2" || { too_old "$version" "$1" "$2"; return 1; }
}

has_config() {
    reason="no CMake package $1"
    local -a prefixes
    local prefix folder file line
    IFS=':;' read -r -a prefixes <<<"${CMAKE_PREFIX_PATH:-}"
    for prefix in "${prefixes[@]}" "$root/usr/local" "$root/usr"; do
        for folder in "$prefix"/lib/{*/,}cmake/"$1"{,-[0-9]*} "$prefix"/share/cmake/"$1"{,-[0-9]*} \
            "$prefix"/share/*/cmake "$prefix"/lib/{*/,}"$1"; do
            [[ -e $folder/$1Config.cmake || -e $folder/${1,,}-config.cmake ]] || continue
            [[ -n ${2:-} ]] || return 0
            for file in "$folder"/"$1"ConfigVersion*.cmake "$folder"/"${1,,}"-config-version*.cmake; do
                while IFS= read -r line; do
                    if [[ $line =~ ^[[:space:]]*set\(PACKAGE_VERSION\ \"?([0-9.]+) ]]; then
                        is_at_least "${BASH_REMATCH[1]}" "$2" && return 0
                        too_old "${BASH_REMATCH[1]}" "$1" "$2"
                        continue 3
                    fi
                done <"$file"
            done
            return 0 # it states no version: CMake will judge
        done
    done
    return 1
}

has_header() {
    reason="no header $1"
    local folder
    for folder in "$root"/usr/include{,/*-linux-gnu} "$root"/usr/local/include; do
        [[ ! -e $folder/$1 ]] || return 0
    done
    return 1
}

has_file() {
    reason="no file /$1"
    # shellcheck disable=SC2206 # the pattern is meant to expand
    local found=("$root"/$1)
    ((${#found[@]} > 0)) && [[ -e ${found[0]} ]]
}

# Fills `missing` with the package names and `reasons` with what was not found.
look() {
    missing=()
    reasons=()
    local group packages kind what version
    while read -r group packages kind what version; do
        [[ -n $group && $group != \#* && " $groups " == *" $group "* ]] || continue
        if ! "has_$kind" "$what" "$version"; then
            missing+=("$packages")
            reasons+=("$reason")
        fi
    done <"$list"
}

# The first of the names a|b|c that apt knows; the first of all where it knows none.
name_for_apt() {
    local name
    local -a names
    IFS='|' read -r -a names <<<"$1"
    if command -v apt-cache >/dev/null; then
        for name in "${names[@]}"; do
            if apt-cache show "$name" >/dev/null 2>&1; then
                echo "$name"
                return
            fi
        done
    fi
    echo "${names[0]}"
}

choose_names() {
    chosen=()
    local packages
    for packages in "${missing[@]}"; do
        chosen+=("$(name_for_apt "$packages")")
    done
}

# The line to type, with the word that stands before apt-get.
line_to_type() {
    local install="apt-get install -y --no-install-recommends ${chosen[*]}"
    if command -v sudo >/dev/null; then
        echo "sudo apt-get update && sudo $install"
    else
        echo "su -c 'apt-get update && $install'"
    fi
}

# Installs what is missing; the arguments are the words before apt-get.
install_parts() {
    echo "Installing them with apt-get: some minutes, and up to 1 GB on the disk."
    if "$@" apt-get update -q >/dev/null && choose_names &&
        "$@" apt-get install -y -q --no-install-recommends "${chosen[@]}" >/dev/null; then
        return
    fi
    echo "apt-get did not succeed. Once it does, run this again; the line is:"
    choose_names
    line_to_type
    exit 1
}

groups="$*"
look
((${#missing[@]} > 0)) || exit 0

echo "Potwatch is built from parts that are not here yet:"
for i in "${!missing[@]}"; do
    printf '  %-28s %s\n' "${missing[i]%%|*}" "(${reasons[i]})"
done
os=
if [[ -r $root/etc/os-release ]]; then
    # shellcheck disable=SC1091 # a file of the machine
    os=$(. "$root/etc/os-release" && echo "${ID:-} ${VERSION_ID:-}")
fi
case $os in
"debian 12") ;;
"debian 13" | "ubuntu 24.04") echo "The names are those of Debian 12; on this system they were not tried." ;;
*) echo "Supported are Debian 12 and 13 and Ubuntu 24.04 (tried: Debian 12), not ${os:-this system}." ;;
esac

if ! command -v apt-get >/dev/null; then
    echo "There is no apt-get here: install these parts with the package manager of this system, and run this again."
    exit 1
fi
if ((uid == 0)); then
    export DEBIAN_FRONTEND=noninteractive
    install_parts
else
    answer=no
    if [[ -t 0 ]] && command -v sudo >/dev/null; then
        read -r -p "Install them now with sudo? [yes/no] " answer || answer=no
    fi
    case ${answer,,} in
    yes | y) install_parts sudo DEBIAN_FRONTEND=noninteractive ;;
    *)
        choose_names
        echo "Install them with this line, and run this again:"
        line_to_type
        exit 1
        ;;
    esac
fi

look
if ((${#missing[@]} > 0)); then
    echo "Installed, but still not found:"
    printf '  %s\n' "${reasons[@]}"
    exit 1
fi
