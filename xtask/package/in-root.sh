# in-root.sh ROOT PROGRAM [ARGUMENT...]: runs a program of this machine in another root file system, where the folders of
# $SISKIN_FOLDERS (a colon between two) lie as they do here. Run by `unshare --mount`: what is mounted ends with the program.
set -eu
root=$1
shift
here=$(pwd)
IFS=:
for folder in /proc /dev $SISKIN_FOLDERS; do
    mkdir -p "$root$folder"
    mount --rbind "$folder" "$root$folder"
done
exec chroot "$root" /bin/sh -c 'cd "$0" && exec "$@"' "$here" "$@"
