"""The drawings of a library, in the order of `tracearm schedule FOLDER`: by path, part for part, as bytes."""

import functools
import os
import stat

import fsspec
from tracearm_batches import shown


class Library:
    """The drawings of a library.

    `drawings`: paths as bytes, or as fsspec has them (text) where `address` is not None.
    `complaints`: what could not be searched. `notes`: which drawings are left out since they are met twice.
    """

    def __init__(self, drawings, complaints, notes=(), address=None, root=""):
        self.drawings, self.complaints, self.notes = drawings, complaints, list(notes)
        self.address, self.root = address, root

    def named(self, begin, end):
        """Drawings begin … end − 1, each with the name that it has in the schedule."""
        if self.address is None:
            return [(path, shown(path)) for path in self.drawings[begin:end]]
        return [(path, below(self.address, within(path, self.root))) for path in self.drawings[begin:end]]


def library(source):
    """The library at a path or at an address of fsspec."""
    return at_address(source) if "://" in source else in_folder(os.fsencode(source))


def is_dxf(name):
    """Whether a file's name (bytes) ends in .dxf in any letter case; .dxf alone is a name without ending."""
    before, _, ending = name.rpartition(b".")
    return bool(before) and ending.lower() == b"dxf"


def in_folder(source):
    """The drawings of a folder, links followed, with tracearm's words for what could not be searched."""
    drawings, complaints, open_folders, linked = [], [], [], False

    def complain(path, error):
        complaints.append(
            f"{shown(path)}: this cannot be searched: {os.strerror(error.errno)} (os error {error.errno}): "
            "check that it is there and that you may read it"
        )

    def enter(path):
        try:
            about = os.stat(path)
            with os.scandir(path) as entries:
                last_first = sorted(entries, key=lambda entry: entry.name, reverse=True)
        except OSError as error:
            complain(path, error)
            return
        open_folders.append((path, (about.st_dev, about.st_ino), last_first))

    if not os.path.isdir(source):
        os.stat(source)  # Raises an error where there is nothing.
        return Library([source], [])
    enter(source)
    while open_folders:
        entries = open_folders[-1][2]
        if not entries:
            open_folders.pop()
            continue
        entry = entries.pop()
        try:
            mode, same = kind(entry)
        except OSError as error:
            complain(entry.path, error)
            continue
        linked = linked or same is not None
        if stat.S_ISDIR(mode):
            ancestor = next((path for path, this, _ in reversed(open_folders) if this == same), None)
            if ancestor is None:
                enter(entry.path)
            else:
                complaints.append(
                    f"{shown(entry.path)}: this link leads back to the folder {shown(ancestor)}, so it was not followed: "
                    "remove the link if drawings are missing"
                )
        elif stat.S_ISREG(mode) and is_dxf(entry.name):
            drawings.append(entry.path)
    # Without links each file has one path.
    drawings, notes = once(drawings) if linked else (drawings, [])
    return Library(drawings, complaints, notes)


def once(drawings):
    """The drawings, of those that are the same file the first alone; and a note on each of the others.

    The same file is what has the same path when all links in it are resolved.
    """
    real_folder = functools.cache(os.path.realpath)
    first, kept, notes = {}, [], []
    for path in drawings:
        folder, name = os.path.split(path)
        real = os.path.realpath(path) if os.path.islink(path) else os.path.join(real_folder(folder), name)
        other = first.setdefault(real, path)
        if other is path:
            kept.append(path)
        else:
            notes.append(f"{shown(path)}: the same drawing as {shown(other)}, which was measured once")
    return kept, notes


def kind(entry):
    """The mode of what an entry is or links to, and for a link which file it leads to."""
    if entry.is_symlink():
        about = os.stat(entry.path)
        return about.st_mode, (about.st_dev, about.st_ino)
    # Without asking the file system again: in a large library that is what takes time.
    if entry.is_dir(follow_symlinks=False):
        return stat.S_IFDIR, None
    return (stat.S_IFREG if entry.is_file(follow_symlinks=False) else 0), None


def at_address(address):
    """The drawings at an address. Links are followed as far as the file system behind it follows them."""
    complaints = []
    files, root = fsspec.core.url_to_fs(address)
    options = {}
    if getattr(files.find, "__func__", None) is fsspec.AbstractFileSystem.find:
        # It goes from folder to folder and is silent about those that can't be read; stores of objects list all at once.
        options["on_error"] = lambda error: complaints.append(f"{address}: {error}")
    drawings = [path for path in files.find(root, **options) if is_dxf(os.fsencode(path.rpartition("/")[2]))]
    drawings.sort(key=lambda path: [os.fsencode(part) for part in within(path, root).split("/")])
    return Library(drawings, complaints, address=address, root=root)


def within(path, root):
    """The path of a file within the root that was searched; nothing for the root itself."""
    return path.removeprefix(root).removeprefix("/") if root else path.removeprefix("/")


def below(address, path):
    """The address of a file below an address: `zip://a::s3://b.zip` goes on in its first link that has a path."""
    if path:
        links = address.split("::")
        place = next(k for k, link in enumerate(links) if "://" in link)
        links[place] += path if links[place].endswith("/") else f"/{path}"
        address = "::".join(links)
    return shown(address)
