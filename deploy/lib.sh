# shellcheck shell=bash
# What deploy/try and deploy/test share: words, the virtual environment, Debian packages.

say() { printf '%s\n' "$*"; }
heading() { printf '\n== %s\n' "$*"; }
stop() { printf 'stopped: %s\n' "$*" >&2; exit 1; }
have() { command -v "$1" >/dev/null 2>&1; }
may_install() { [ "$(id -u)" -eq 0 ] && have apt-get; }

# Install Debian packages, where we may. Its failure is the caller's to judge.
apt_install() {
    say "installing: $*"
    export DEBIAN_FRONTEND=noninteractive
    apt-get update -qq </dev/null >/dev/null &&
        apt-get install -y -qq --no-install-recommends "$@" </dev/null >/dev/null
}

# Print the first Python that is new enough.
new_enough_python() {
    local name
    for name in python3 python3.14 python3.13 python3.12 python3.11; do
        if have "$name" && "$name" -c 'import sys; sys.exit(sys.version_info < (3, 11))'; then
            command -v "$name"
            return
        fi
    done
    return 1
}

# Debian ships Python without the part that makes environments.
need_venv_of() {
    local python=$1 package
    if "$python" -c 'import ensurepip, venv' 2>/dev/null; then return; fi
    package=$("$python" -c 'import sys; print("python%d.%d-venv" % sys.version_info[:2])')
    if may_install; then apt_install "$package" || apt_install python3-venv || true; fi
    "$python" -c 'import ensurepip, venv' 2>/dev/null ||
        stop "Python can't make an environment here; run: sudo apt-get install $package"
}

make_venv() {
    local python
    if .venv/bin/python -c '' 2>/dev/null; then return; fi
    python=$(new_enough_python) ||
        stop "no Python 3.11 or newer found; run: sudo apt-get install python3 python3-venv"
    need_venv_of "$python"
    say "making .venv with $("$python" --version)"
    "$python" -m venv --clear .venv
}

# Install what pyproject.toml lists, unless that was done for this very file: base, or dev on top.
make_environment() {
    local kind=$1 stamp=.venv/installed state what=.
    make_venv
    state=$(sha256sum pyproject.toml | cut -d ' ' -f 1)
    if [ "$kind" = dev ]; then what='.[dev]'; fi
    if [ -f "$stamp" ] && grep -qx -e "$kind $state" -e "dev $state" "$stamp"; then return; fi
    say "installing the packages that pyproject.toml lists ($kind)"
    .venv/bin/python -m pip install --quiet --disable-pip-version-check -e "$what" </dev/null
    say "$kind $state" >"$stamp"
}
