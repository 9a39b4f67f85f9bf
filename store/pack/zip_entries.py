"""The entries of a stranger's zip, believed only where its two directories agree and caps hold.

Python's zipfile reads the central directory. It cuts names at a NUL, lets one name stand twice, and
lets many entries share the same bytes (19 KB then give 2 GB), so all of that is looked at here
first, in the raw headers, before one byte is unpacked.
"""

import stat
import struct
import zipfile
from pathlib import Path
from typing import BinaryIO

from store.errors import BadPack, NotAPack
from store.files.passing import cannot_read_now, is_passing
from store.pack.names import check_names

MOST_FILES = 20_000
LARGEST_FILE_BYTES = 4_000_000_000
LARGEST_PACK_BYTES = 50_000_000_000
LARGEST_RATIO = 100  # of a file over 1 MB to its packed size; a ledger's is about 10
LARGEST_DIRECTORY_BYTES = 16_000_000
_SMALL_BYTES = 1_000_000
_END = struct.Struct("<4sHHHHIIH")
_LARGE_LOCATOR, _LARGE_END = struct.Struct("<4sIQI"), struct.Struct("<4sQHHIIQQQQ")
_LOCAL = struct.Struct("<4sHHHHHIIIHH")
_CENTRAL = struct.Struct("<4s24xHHHH10x")
_LONGEST_DESCRIPTOR = 24
_DESCRIPTOR = 0x8
_FLAGS_TAKEN = 0x2 | 0x4 | _DESCRIPTOR | 0x800  # how hard it was packed; sizes behind; UTF-8 name
_ENCRYPTED = 0x1
_OTHER_NAME = b"\x75\x70"  # an extra field that gives a file a second name
_NOT_HERE = 0xFFFFFFFF


def check_entries(path: Path) -> None:
    """Raise BadPack for a zip that is not plain, NotAPack for a file that is no zip.

    CannotRead where it could not be read now.
    """
    with path.open("rb") as file:
        _check_end(file)
        try:
            with zipfile.ZipFile(file) as archive:
                infos = archive.infolist()
                _check_infos(infos)
                _check_directory(file, len(infos), archive.start_dir)
                _check_places(file, infos, archive.start_dir)
        except (zipfile.BadZipFile, struct.error, RuntimeError, ValueError) as error:
            if is_passing(error):
                raise cannot_read_now(error, path.name) from error
            raise BadPack(f"the zip contradicts itself: {error}") from error


def files_of(archive: zipfile.ZipFile) -> list[zipfile.ZipInfo]:
    """Return the entries that are files, in the order of the directory."""
    return [info for info in archive.infolist() if not info.filename.endswith("/")]


def _check_end(file: BinaryIO) -> None:
    """Refuse a zip with anything after its end, or with a directory too large to be read."""
    size = file.seek(0, 2)
    if size < _END.size:
        raise NotAPack("it is no zip: it is too short")
    file.seek(size - _END.size)
    mark, disk, start_disk, here, count, directory_bytes, _, comment = _END.unpack(
        file.read(_END.size)
    )
    if mark != b"PK\x05\x06":
        file.seek(0)
        if file.read(2) == b"PK":
            raise BadPack("the zip has something after its end, or is cut off")
        raise NotAPack("it is no zip")
    if disk or start_disk or here != count or comment:
        raise BadPack("the zip is one of several, or has a comment that is not in it")
    if max(directory_bytes, _large_directory_bytes(file, size)) > LARGEST_DIRECTORY_BYTES:
        raise BadPack(f"the zip's directory is larger than {LARGEST_DIRECTORY_BYTES} bytes")
    if count > MOST_FILES:
        raise BadPack(f"the zip holds {count} files; at most {MOST_FILES} are taken")


def _large_directory_bytes(file: BinaryIO, size: int) -> int:
    """Return what the end record of a zip over 4 GB says of its directory, 0 if there is none."""
    begin = size - _END.size - _LARGE_LOCATOR.size
    if begin < 0:
        return 0
    file.seek(begin)
    mark, _, offset, _ = _LARGE_LOCATOR.unpack(file.read(_LARGE_LOCATOR.size))
    if mark != b"PK\x06\x07":
        return 0
    if offset > begin - _LARGE_END.size:
        raise BadPack("the zip contradicts itself on where it ends")
    file.seek(offset)
    return int(_LARGE_END.unpack(file.read(_LARGE_END.size))[8])


def _check_infos(infos: list[zipfile.ZipInfo]) -> None:
    if len(infos) > MOST_FILES:
        raise BadPack(f"the zip holds {len(infos)} files; at most {MOST_FILES} are taken")
    for info in infos:
        _check_info(info)
    total = sum(info.file_size for info in infos)
    if total > LARGEST_PACK_BYTES:
        raise BadPack(f"it unpacks to {total} bytes; at most {LARGEST_PACK_BYTES} are taken")
    # The name as it stands in the file: zipfile's own is cut at a NUL.
    check_names(info.orig_filename for info in infos if not info.orig_filename.endswith("/"))
    for info in infos:
        if info.orig_filename.endswith("/"):
            check_names([info.orig_filename.removesuffix("/")])


def _check_info(info: zipfile.ZipInfo) -> None:
    name = ascii(info.orig_filename[:80])
    kind = stat.S_IFMT(info.external_attr >> 16)
    is_folder = info.orig_filename.endswith("/")
    if kind not in {0, stat.S_IFDIR if is_folder else stat.S_IFREG}:
        raise BadPack(f"{name} is a link or a device, not a file")
    if info.flag_bits & _ENCRYPTED:
        raise BadPack(f"{name} is encrypted")
    if info.flag_bits & ~_FLAGS_TAKEN:
        raise BadPack(f"{name} is marked as packed in a way that is not taken")
    if info.compress_type not in {zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED}:
        raise BadPack(f"{name} is packed in a way that is not taken: only stored and deflated")
    if _OTHER_NAME in info.extra:
        raise BadPack(f"{name} has a second name")
    if info.file_size > LARGEST_FILE_BYTES:
        raise BadPack(f"{name} has {info.file_size} bytes; at most {LARGEST_FILE_BYTES} are taken")
    if info.compress_type == zipfile.ZIP_STORED and info.file_size != info.compress_size:
        raise BadPack(f"{name} is stored, and has two sizes")
    if is_folder and info.file_size:
        raise BadPack(f"{name} is a folder with bytes in it")
    if info.file_size > max(_SMALL_BYTES, LARGEST_RATIO * info.compress_size):
        raise BadPack(f"{name} unpacks to more than {LARGEST_RATIO} times its size")


def _check_directory(file: BinaryIO, count: int, start: int) -> None:
    """Refuse a directory that is not just as many entries as it says, one behind the other."""
    file.seek(start)
    for _ in range(count):
        mark, name_bytes, extra_bytes, comment_bytes, disk = _CENTRAL.unpack(
            file.read(_CENTRAL.size)
        )
        if mark != b"PK\x01\x02" or disk:
            raise BadPack("the zip's directory is not in one piece, or is one of several")
        file.seek(name_bytes + extra_bytes + comment_bytes, 1)
    after = file.tell()
    size = file.seek(0, 2)
    file.seek(size - _END.size)
    said = _END.unpack(file.read(_END.size))[4]
    file.seek(min(after, size))
    is_large = file.read(4) == b"PK\x06\x06"
    if not (after == size - _END.size or is_large) or said not in {count, 0xFFFF * is_large}:
        raise BadPack("the zip's directory is longer or shorter than it says")


def _check_places(file: BinaryIO, infos: list[zipfile.ZipInfo], directory: int) -> None:
    """Refuse entries that overlap, leave gaps for something else, or differ from their headers."""
    end, gap = 0, 0
    for info in sorted(infos, key=lambda each: each.header_offset):
        if not end <= info.header_offset <= end + gap:
            raise BadPack("two files of the zip share bytes, or something lies between them")
        end = _check_local(file, info)
        gap = _LONGEST_DESCRIPTOR if info.flag_bits & _DESCRIPTOR else 0
    if not end <= directory <= end + gap:
        raise BadPack("the zip holds bytes that belong to no file")


def _check_local(file: BinaryIO, info: zipfile.ZipInfo) -> int:
    """Return where an entry's bytes end; refuse one whose own header differs from the directory."""
    file.seek(info.header_offset)
    head = file.read(_LOCAL.size)
    if len(head) < _LOCAL.size or not head.startswith(b"PK\x03\x04"):
        raise BadPack(f"{info.orig_filename[:80]!a} is not where the directory says")
    _, _, flags, method, time, date, crc, packed, size, name_bytes, extra_bytes = _LOCAL.unpack(
        head
    )
    name = file.read(name_bytes)
    said = (name, method, flags)
    if said != (info.orig_filename.encode("ascii"), info.compress_type, info.flag_bits):
        raise BadPack(f"{name[:80]!a} is called otherwise in the zip's directory")
    if (time, date) != _dos_time(info):
        raise BadPack(f"{name[:80]!a} has another time in the zip's directory")
    if not flags & _DESCRIPTOR:
        known = {(size, info.file_size), (packed, info.compress_size)}
        if crc != info.CRC or any(a not in {b, _NOT_HERE} for a, b in known):
            raise BadPack(f"{name[:80]!a} has another size in the zip's directory")
    return int(file.tell() + extra_bytes + info.compress_size)


def _dos_time(info: zipfile.ZipInfo) -> tuple[int, int]:
    """Return a file's time and date as the two numbers of its headers (APPNOTE 4.4.6)."""
    year, month, day, hour, minute, second = info.date_time
    return hour << 11 | minute << 5 | second // 2, (year - 1980) << 9 | month << 5 | day
