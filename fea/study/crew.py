"""Who computes a study: processes of this computer, or a cluster that runs already."""

import logging
import os
import signal
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from threading import current_thread, main_thread
from typing import TYPE_CHECKING, Self

from geometry.errors import SetupError

if TYPE_CHECKING:
    from distributed import Client

# Libraries with threads of their own keep to one, since every core has its process.
# This stands instead of what workers are given by default, which also makes them hand
# memory back at once: asking for it anew costs a fifth of a design's time.
ENVIRONMENT = dict.fromkeys(
    ("RAYON_NUM_THREADS", "OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"), "1"
)
CONNECT_SECONDS = 10


@dataclass(slots=True, kw_only=True)
class Crew:
    """Workers that are called when the first of them is needed; a context.

    Parameters
    ----------
    workers : processes of this computer; None for one a core
    address : of a scheduler that runs already, to use instead
    """

    workers: int | None = None
    address: str | None = None
    _client: "Client | None" = None
    _open: ExitStack = field(default_factory=ExitStack)

    def __enter__(self) -> Self:
        """Call nobody yet: a study that is finished needs no workers."""
        return self

    def __exit__(self, *_: object) -> None:
        """Dismiss this computer's workers; leave a cluster as it was."""
        self._open.close()

    @property
    def client(self) -> "Client":
        """What takes tasks.

        Raises
        ------
        SetupError
            No scheduler answers at the address.
        """
        if self._client is None:
            self._client = self._here() if self.address is None else self._there()
        return self._client

    def _here(self) -> "Client":
        import dask
        from distributed import Client, LocalCluster

        environment = {"distributed.nanny.pre-spawn-environ": ENVIRONMENT}
        with dask.config.set(environment), _without_interrupts():
            cluster = LocalCluster(
                n_workers=self.workers or os.cpu_count() or 1,
                threads_per_worker=1,
                processes=True,
                dashboard_address=None,
                # Its page for browsers cannot be left out: for this computer alone,
                # wherever there is room, so that two studies may run at once.
                scheduler_kwargs={"dashboard_address": "127.0.0.1:0"},
                # What goes wrong is said once, by whoever asked for the result.
                silence_logs=logging.CRITICAL,
                # The cache holds what was computed; nothing piles up in memory.
                memory_limit=0,
            )
        return self._open.enter_context(Client(self._open.enter_context(cluster)))

    def _there(self) -> "Client":
        from distributed import Client

        try:
            client = Client(self.address, timeout=CONNECT_SECONDS)
        except (OSError, ValueError) as error:
            message = (
                f"--cluster {self.address}: no scheduler answers there; start one, or "
                "leave the option out to use this computer"
            )
            raise SetupError(message) from error
        return self._open.enter_context(client)


@contextmanager
def _without_interrupts() -> Iterator[None]:
    """Start processes that leave the interrupt key to this one, which ends them."""
    if current_thread() is not main_thread():
        yield
        return
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
