"""Downloads with a limit on size, packed and unpacked, and on the time that a file takes in total."""

from __future__ import annotations

import io
import time
import urllib.request
import zlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any
from urllib.response import addinfourl

LARGEST_BYTES = 64 << 20  # of one file, packed or unpacked
LONGEST_S = 120.0  # that one file takes
CHUNK = 1 << 16
GZIP = b"\x1f\x8b"


class DownloadLimitError(OSError):
    """A file that is too large, or takes too long."""


def read_within_limits(read: Callable[[int], bytes], begun_s: float) -> bytes:
    """Bytes of a download.

    Parameters
    ----------
    read : callable
        Takes a number of bytes and returns at most so many, as soon as some are there; none at the end.
    begun_s : float
        When the download began, by `time.monotonic` [s].

    Raises
    ------
    DownloadLimitError
        When it is larger than `LARGEST_BYTES`, packed or unpacked, or takes longer than `LONGEST_S`.
    """
    parts: list[bytes] = []
    size, unpacked, counted = 0, 0, 0
    unpacker = zlib.decompressobj(31)
    while True:
        part = read(CHUNK)
        if time.monotonic() - begun_s > LONGEST_S:
            raise DownloadLimitError(f"not complete after {LONGEST_S:.0f} s")
        if not part:
            return b"".join(parts)
        parts.append(part)
        size += len(part)
        if size > 1 and (b"".join(parts[:2]) if len(parts[0]) < 2 else parts[0]).startswith(GZIP):
            fresh = b"".join(parts[counted:])
            unpacked, counted = unpacked + _unpacked_size(unpacker, fresh, LARGEST_BYTES - unpacked), len(parts)
        if max(size, unpacked) > LARGEST_BYTES:
            raise DownloadLimitError(f"larger than {LARGEST_BYTES >> 20} MiB")


def _unpacked_size(unpacker: Any, part: bytes, most: int) -> int:
    """How many bytes a part of a gzip file gives; counting ends above a limit. A broken file gives none."""
    size = 0
    while part and size <= most:
        try:
            size += len(unpacker.decompress(part, CHUNK))
        except zlib.error:
            return size
        part = unpacker.unconsumed_tail
    return size


class _Bounded(urllib.request.BaseHandler):
    """Reads every response at once, within the limits."""

    handler_order = 900  # before errors are told apart, which reads nothing

    def http_request(self, request: urllib.request.Request) -> urllib.request.Request:
        """Note when the request begins."""
        request.begun_s = time.monotonic()  # type: ignore[attr-defined]
        return request

    def http_response(self, request: urllib.request.Request, response: Any) -> Any:
        """The same response with its bytes read."""
        if response.status != 200:
            return response
        begun_s = getattr(request, "begun_s", time.monotonic())
        with response:
            data = read_within_limits(response.read1, begun_s)
        bounded = addinfourl(io.BytesIO(data), response.headers, response.url, response.status)
        bounded.msg = response.msg  # type: ignore[attr-defined]
        return bounded

    https_request, https_response = http_request, http_response


class _ReadResponse:
    """The part of a response of requests that the archive's package uses, its bytes read."""

    def __init__(self, status_code: int, content: bytes) -> None:
        self.status_code = status_code
        self.content = content

    def iter_content(self, chunk_size: int = CHUNK) -> Iterator[bytes]:
        """The bytes in parts."""
        for first in range(0, len(self.content), chunk_size):
            yield self.content[first : first + chunk_size]


@contextmanager
def bounded_downloads(network: Any) -> Iterator[None]:
    """Put the limits on every download inside: those of urllib, and those of a service with a method `get`.

    Parameters
    ----------
    network : object
        The service; its `get` takes an address and options, and returns a response of requests.
    """
    plain_get = network.get

    def bounded_get(url: str, *arguments: Any, **options: Any) -> _ReadResponse:
        begun_s = time.monotonic()
        response = plain_get(url, *arguments, **{**options, "stream": True})
        if response.status_code != 200:
            return _ReadResponse(response.status_code, b"")
        with response:
            content = read_within_limits(lambda size: response.raw.read1(size, decode_content=True), begun_s)
        return _ReadResponse(response.status_code, content)

    network.get = bounded_get
    urllib.request.install_opener(urllib.request.build_opener(_Bounded()))
    try:
        yield
    finally:
        urllib.request.install_opener(None)
        del network.get
