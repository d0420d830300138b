#!/bin/bash
# Proves that a machine with nothing on it can build, run and check the project: a minimal Debian 12 is made in a temporary folder,
# the repository's HEAD is cloned into it, and `make demo` and `make check` are run there by chroot. Needs root, debootstrap and the
# package mirror this machine's apt uses. Leaves nothing behind.
# usage: tools/bare-root.sh [--tree] [COMMAND]
#   --tree   the working tree as it stands instead of HEAD
#   COMMAND  run in place of `make demo && make check`
set -euo pipefail
cd "$(dirname "$0")/.."

if [ "$(id -u)" != 0 ]; then
	echo "bare-root: must be root" >&2
	exit 1
fi
# In mount and process name spaces of its own: whatever is mounted or left running in the bare root ends with this script.
if [ -z "${RW_BARE_ROOT_INSIDE:-}" ]; then
	export RW_BARE_ROOT_INSIDE=1
	exec unshare --mount --propagation private --pid --fork --kill-child bash "$PWD/tools/bare-root.sh" "$@"
fi

tree=false
if [ "${1:-}" = --tree ]; then
	tree=true
	shift
fi
command=${1:-make demo && make check}

suite=bookworm
targets=$(apt-get indextargets --format '$(REPO_URI) $(CODENAME) $(COMPONENT)' 'Created-By: Packages')
mirror=$(awk -v s=$suite '$2 == s && $3 == "main" { print $1; exit }' <<<"$targets")
if [ -z "$mirror" ]; then
	echo "bare-root: apt on this machine knows no mirror of $suite main" >&2
	exit 1
fi

work=$(mktemp -d "${TMPDIR:-/var/tmp}/bare-root.XXXXXX")
root=$work/root
clean() {
	umount -R "$root/proc" "$root/dev/shm" 2>/dev/null || true
	rm -rf --one-file-system "$work"
}
trap clean EXIT
trap 'exit 130' INT TERM

start=$SECONDS
if ! debootstrap --variant=minbase --include=make,git,ca-certificates $suite "$root" "$mirror" >"$work/log" 2>&1; then
	tail -30 "$work/log" "$root/debootstrap/debootstrap.log" >&2 || true
	echo "bare-root: debootstrap failed" >&2
	exit 1
fi
echo "bare-root: minimal $suite made in $((SECONDS - start)) s"

# The same sources, proxies and names as this machine; for the bare root only.
awk -v s=$suite '$3 == "main" && ($2 == s || $2 == s "-updates" || $2 == s "-security") { print "deb", $1, $2, $3 }' <<<"$targets" |
	sort -u >"$root/etc/apt/sources.list"
apt-config dump | grep -iE '^Acquire::[a-z]+::Proxy' >"$root/etc/apt/apt.conf.d/90proxy" || true
for file in /etc/resolv.conf /etc/hosts; do
	[ ! -e $file ] || cp -L $file "$root$file"
done
mount -t proc proc "$root/proc"
node() { [ -e "$root/dev/$1" ] || mknod -m 666 "$root/dev/$1" c "$2" "$3"; }
node null 1 3; node zero 1 5; node full 1 7; node random 1 8; node urandom 1 9; node tty 5 0
[ -e "$root/dev/fd" ] || ln -s /proc/self/fd "$root/dev/fd"
mkdir -p "$root/dev/shm"
mount -t tmpfs -o size=512m tmpfs "$root/dev/shm"

if $tree; then
	mkdir -p "$root/src/rfwright"
	tar --exclude=./build --exclude=./.git -cf - . | tar --no-same-owner -xf - -C "$root/src/rfwright"
else
	git clone -q --no-hardlinks "$PWD" "$root/src/rfwright"
fi

# A clean environment. The BLAS library's choice of processor must follow where one is set: it is a fact of the processor.
keep=()
for name in http_proxy https_proxy no_proxy; do
	[ -z "${!name:-}" ] || keep+=("$name=${!name}")
done
start=$SECONDS
status=0
chroot "$root" /usr/bin/env -i PATH=/usr/sbin:/usr/bin:/sbin:/bin HOME=/root LANG=C.UTF-8 "${keep[@]}" \
	/bin/sh -c "cd /src/rfwright && $command" </dev/null || status=$?
echo "bare-root: '$command' ended with $status after $((SECONDS - start)) s"
exit $status
