# SPDX-License-Identifier: GPL-3.0-or-later
# shellcheck shell=bash disable=SC2034
# Shared by app/run, tests/run and .ci/run: installs what is missing on Debian 12, then configures and builds.
# Sourced, not run.

fw_root=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)

# What the program is built from and what its sheets are set in.
fw_build_packages=(
    g++ cmake ninja-build ccache pkg-config
    qt6-base-dev qt6-svg-dev qt6-charts-dev libqt6opengl6-dev qt6-wayland
    libgdal-dev libproj-dev libgeographiclib-dev libsqlite3-dev
    libcli11-dev libtomlplusplus-dev nlohmann-json3-dev libfmt-dev libxlsxwriter-dev libqrencode-dev
    fonts-noto-core fonts-noto-cjk
)
# What the tests need on top: frameworks, judges that share no code with the program, locale sources.
fw_test_packages=(catch2 libembree-dev libgeos-dev coinor-libcbc-dev poppler-utils gdal-bin locales xvfb)
# What a change has to pass besides: clang builds what runs under a sanitizer, in half the time that g++ takes, and llvm
# gives its reports names and lines.
fw_ci_packages=(git clang-16 llvm-16 libclang-rt-16-dev clang-tidy-16 clang-format-14)

fw_say() { printf '%s\n' "$*" >&2; }

# Of the packages named, those that are not installed.
fw_missing() {
    comm -23 <(printf '%s\n' "$@" | sort -u) \
        <(dpkg-query -W -f='${db:Status-Abbrev} ${Package}\n' "$@" 2>/dev/null | awk '$1 == "ii" { print $2 }' | sort -u)
}

# fw_install PACKAGE...: installs what is missing, and says so first. Instant when nothing is.
fw_install() {
    if ! command -v dpkg-query >/dev/null || ! command -v apt-get >/dev/null; then
        fw_say "This is not a Debian system, so nothing is installed. Needed, by their Debian 12 names: $*"
        return 0
    fi
    local missing as_root=()
    mapfile -t missing < <(fw_missing "$@")
    ((${#missing[@]})) || return 0
    fw_say "Installing from the system's package sources: ${missing[*]}"
    if ((EUID != 0)); then
        if ! command -v sudo >/dev/null; then
            fw_say "That needs root. As root, run: apt-get update && apt-get install --no-install-recommends ${missing[*]}"
            return 3
        fi
        as_root=(sudo)
    fi
    "${as_root[@]}" apt-get -qq update &&
        "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive \
            apt-get -qq -y install --no-install-recommends "${missing[@]}" >&2
}

# fw_build PRESET [TARGET...]: configures and builds with every core of the machine.
fw_build() {
    local preset=$1
    shift
    (
        cd "$fw_root" || exit 4
        talk=$(cmake --preset "$preset" 2>&1) || {
            printf '%s\n' "$talk"
            exit 1
        }
        cmake --build --preset "$preset" -j "$(nproc)" ${1:+--target "$@"}
    ) >&2
}
