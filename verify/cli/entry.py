"""From start to exit status: no traceback passes here."""

from __future__ import annotations

import atexit
import errno
import signal
import sys

import click

from verify.cli.status import INTERRUPTED, NOT_STARTED, OUTPUT_CLOSED
from verify.cli.streams import prepare_streams, seal_streams
from verify.ending import Ending, ended_by_signals
from verify.errors import EveryedgeError
from verify.report.closed import OutputClosed

__all__ = ["run"]


def run() -> None:
    """Run the command line and leave."""
    prepare_streams()
    status = INTERRUPTED
    try:
        with ended_by_signals() as ending:
            try:
                status = _guarded(ending)
            except KeyboardInterrupt:
                status = ending.status or INTERRUPTED
    finally:
        sealed = seal_streams()
        atexit.register(signal.signal, signal.SIGINT, signal.SIG_DFL)  # all is said: no traceback any more
    sys.exit(status if sealed or status else NOT_STARTED)


def _guarded(ending: Ending) -> int:
    from verify.cli.commands import everyedge  # noqa: PLC0415 -- inside, so that Ctrl-C is heard early

    try:
        status = everyedge.main(prog_name=_called(), standalone_mode=False, obj=ending)
    except click.exceptions.Abort:
        raise KeyboardInterrupt from None
    except click.ClickException as error:
        error.show()
        return error.exit_code
    except (BrokenPipeError, OutputClosed, SystemExit):  # click leaves by SystemExit when a pipe breaks
        return OUTPUT_CLOSED
    except EveryedgeError as error:
        return _told(error)
    except Exception as error:  # noqa: BLE001 -- the last line of defence
        return _told(_named(error))
    return status if isinstance(status, int) else 0


def _named(error: Exception) -> EveryedgeError:
    """An output that takes no more is not a fault of ours; all the rest is."""
    if isinstance(error, OSError) and error.errno in (errno.ENOSPC, errno.EDQUOT, errno.EIO):
        return EveryedgeError(f"the output could not be written: {error.strerror}")
    from verify.report.crash import crash_of  # noqa: PLC0415 -- only when needed

    return crash_of(error)


def _called() -> str:
    """What the user typed to get here, for the help."""
    return "python -m verify" if sys.argv[0].endswith("__main__.py") else "everyedge"


def _told(error: EveryedgeError) -> int:
    """Plain words to standard error, without the machinery that may just have failed."""
    place = f"{error.place}: " if error.place is not None else "everyedge: "
    click.echo(f"{place}error: {error.message}", err=True)
    if error.advice:
        click.echo(error.advice, err=True)
    return NOT_STARTED
