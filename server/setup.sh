# setup.sh - brings in what a build or a test run needs, and only what is missing.
#
# Read in (with `.`) by server/start and tests/all, which set `top` to the project's folder first. What is there already is
# found without the network and in a fraction of a second: dpkg's own records for packages, a hash for npm's.
# Every failure is one sentence for a person and one of these exit codes:
#
#   90  not a Debian-like system: no apt to install with
#   91  something is missing and there is no way to become root
#   92  Debian packages could not be installed, most often for want of a network
#   93  npm packages could not be installed, most often for want of a network
#   94  the build failed
#   95  the project's own folder cannot be written

say() {
    printf 'sternboard: %s\n' "$*" >&2
}

# give_up CODE SENTENCE
give_up() {
    code=$1
    shift
    say "$*"
    exit "$code"
}

# The folder for all that is made; its absence of write permission is met here, before anything else can trip over it.
make_build_folder() {
    mkdir -p "$top/.build" 2>/dev/null
    if [ ! -w "$top/.build" ]; then
        give_up 95 "cannot write to $top/.build; start as the user who owns this folder, or give it back with chown."
    fi
}

# missing_packages LIST...: prints the packages of the lists that are neither installed nor stood in for by a command.
missing_packages() {
    installed=$(dpkg-query -W -f '${db:Status-Abbrev} ${Package}\n' 2>/dev/null | sed -n 's/^.i *//p')
    sed -e 's/#.*//' -e '/^ *$/d' "$@" | while read -r package command; do
        if [ -n "$command" ] && command -v "$command" >/dev/null 2>&1; then
            continue
        fi
        printf '%s\n' "$installed" | grep -qx -- "$package" || printf '%s ' "$package"
    done
}

# apt_get ARGUMENTS...: as root, quietly, waiting for another apt to finish; what it said is in .build/setup.log.
apt_get() {
    as_root=
    [ "$(id -u)" = 0 ] || as_root=sudo
    $as_root env DEBIAN_FRONTEND=noninteractive apt-get -q -o DPkg::Lock::Timeout=600 "$@" >>"$top/.build/setup.log" 2>&1
}

# install_packages LIST...: the Debian packages named in the lists.
install_packages() {
    if ! command -v dpkg-query >/dev/null 2>&1 || ! command -v apt-get >/dev/null 2>&1; then
        give_up 90 "this needs Debian 12 or a system like it: there is no apt here to install with."
    fi
    missing=$(missing_packages "$@")
    [ -n "$missing" ] || return 0
    if [ "$(id -u)" != 0 ] && ! command -v sudo >/dev/null 2>&1; then
        give_up 91 "run this once as root, then start again: apt-get install ${missing% }"
    fi
    say "installing what is missing, once: ${missing% }"
    : >"$top/.build/setup.log"
    # The package lists may be in use by another apt; its lock gives no way to wait but to ask again.
    tries=0
    until apt_get update; do
        tries=$((tries + 1))
        if [ "$tries" -ge 60 ] || ! grep -q 'Could not get lock' "$top/.build/setup.log"; then
            break
        fi
        sleep 5
    done
    # shellcheck disable=SC2086 # the list is meant to fall into words
    apt_get install -y --no-install-recommends $missing || packages_failed
    missing=$(missing_packages "$@")
    [ -z "$missing" ] || packages_failed
}

packages_failed() {
    give_up 92 "could not install ${missing% }; connect this computer to the internet once and start again" \
        "(all that apt said: .build/setup.log)."
}

# install_npm FOLDER [ARGUMENTS OF NPM]: exactly what the folder's package-lock.json pins; nothing when that is there
# already. A full installation does for one without the development packages too. Packages run no scripts of their own.
install_npm() {
    folder=$1
    shift
    [ -f "$folder/package-lock.json" ] || return 0
    lock=$(sha256sum <"$folder/package-lock.json")
    stamp=$folder/node_modules/.installed
    if [ -f "$stamp" ]; then
        read -r had how <"$stamp" || had=
        if [ "$had" = "${lock%% *}" ] && { [ "$how" = full ] || [ $# -gt 0 ]; }; then
            return 0
        fi
    fi
    say "installing the npm packages of ${folder#"$top"/}, once"
    if ! (cd "$folder" && npm ci --ignore-scripts --prefer-offline --no-audit --no-fund --fetch-retries=2 \
        --fetch-retry-mintimeout=1000 --fetch-retry-maxtimeout=5000 "$@") >"$top/.build/npm.log" 2>&1; then
        give_up 93 "could not install the npm packages of ${folder#"$top"/}; connect this computer to the internet once" \
            "and start again (all that npm said: .build/npm.log)."
    fi
    how=full
    [ $# -eq 0 ] || how=part
    echo "${lock%% *} $how" >"$stamp"
}
