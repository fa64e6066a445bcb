#!/bin/sh
# Installs Siskin @VERSION@ for this user; no administrator is needed.
#     sh install.sh           copies the plug-ins and the starting points, and says where
#     sh install.sh remove    removes what it copied
#
# Beside each copy lies a note, "....installed.txt". What has no note was put there by somebody else, and stays.
set -eu

version=@VERSION@
here=$(cd "$(dirname "$0")" && pwd)
case $(uname) in
Darwin)
    clap=$HOME/Library/Audio/Plug-Ins/CLAP/Siskin.clap
    vst3=$HOME/Library/Audio/Plug-Ins/VST3/Siskin.vst3
    presets=$HOME/Library/Audio/Presets/Siskin
    ;;
*)
    clap=$HOME/.clap/Siskin.clap
    vst3=$HOME/.vst3/Siskin.vst3
    presets=$HOME/.vst3/presets/Siskin
    ;;
esac

is_foreign() {
    [ -e "$1" ] && [ ! -e "$1.installed.txt" ]
}

# The version that the note beside $1 names; nothing where there is none.
installed_version() {
    if [ -e "$1.installed.txt" ]; then
        sed -n '1s/^Siskin \([0-9][0-9.]*\)$/\1/p' "$1.installed.txt"
    fi
}

# Whether version $1 is newer than version $2.
is_newer() {
    [ "$1" != "$2" ] &&
        [ "$(printf '%s\n%s\n' "$1" "$2" | sort -t . -k 1,1n -k 2,2n -k 3,3n | tail -n 1)" = "$1" ]
}

# Stops where $1 is somebody else's, and asks before it replaces a newer version.
check() {
    if is_foreign "$1"; then
        echo "$1 was not installed by this script: move it away, then run this again" >&2
        exit 1
    fi
    there=$(installed_version "$1")
    if [ -n "$there" ] && is_newer "$there" "$version"; then
        printf '%s is version %s, newer than %s. Replace it? [y/N] ' "$1" "$there" "$version"
        read -r answer || answer=n
        case $answer in
        y | Y | yes) ;;
        *)
            echo "nothing was changed"
            exit 1
            ;;
        esac
    fi
}

# Copies $1 to $2. The note comes first: a copy that is cut short can still be removed.
put() {
    mkdir -p "$(dirname "$2")"
    printf 'Siskin %s\nPut here by install.sh of Siskin. "sh install.sh remove" removes it.\n' "$version" \
        >"$2.installed.txt"
    rm -rf "$2"
    cp -R "$1" "$2"
    # macOS marks what a browser fetched, and loads no unsigned plug-in that has the mark.
    if command -v xattr >/dev/null; then
        xattr -dr com.apple.quarantine "$2" 2>/dev/null || true
    fi
    echo "installed $2"
}

take_away() {
    if is_foreign "$1"; then
        echo "left alone, not installed by this script: $1"
    elif [ -e "$1.installed.txt" ]; then
        rm -rf "$1" "$1.installed.txt"
        echo "removed $1"
    else
        echo "not installed: $1"
    fi
}

take_away_presets() {
    [ -d "$presets" ] || return 0
    find "$presets" -name '*.vstpreset.installed.txt' | while read -r note; do
        rm -f "${note%.installed.txt}" "$note"
        echo "removed ${note%.installed.txt}"
    done
    rmdir "$presets"/* "$presets" 2>/dev/null || true
}

put_presets() {
    for folder in "$here/presets"/*; do
        for preset in "$folder"/*.vstpreset; do
            target=$presets/$(basename "$folder")/$(basename "$preset")
            if is_foreign "$target"; then
                echo "left alone, not installed by this script: $target"
            else
                put "$preset" "$target"
            fi
        done
    done
}

case ${1:-install} in
install)
    check "$clap"
    check "$vst3"
    put "$here/Siskin.clap" "$clap"
    put "$here/Siskin.vst3" "$vst3"
    take_away_presets >/dev/null
    put_presets
    echo "To remove all of this: sh install.sh remove"
    ;;
remove)
    take_away "$clap"
    take_away "$vst3"
    take_away_presets
    ;;
*)
    echo "usage: sh install.sh [remove]" >&2
    exit 2
    ;;
esac
