"""A kernel of this very Python, whose traffic no other user of the machine can read.

It does not matter which kernels are registered, or whether any is. Where the system has them the
channels are sockets in a folder that only this user can enter; elsewhere they are encrypted.
"""

import os
import sys
from importlib.util import find_spec
from pathlib import Path
from typing import Any
from weakref import WeakSet

from jupyter_client.kernelspec import KernelSpec
from jupyter_client.manager import AsyncKernelManager
from traitlets.config import Config

import planner
from planner.deliver.errors import KernelError

LONGEST_FOLDER = 80  # [characters] so that a socket in it has a path that every system takes
STARTED: "WeakSet[PrivateKernel]" = WeakSet()


class PrivateKernel(AsyncKernelManager):
    """Starts this interpreter, with nothing of the user's own start-up files and history."""

    def __init__(self, **options: Any) -> None:
        super().__init__(**options)
        STARTED.add(self)

    @property
    def kernel_spec(self) -> KernelSpec:
        """How the kernel is started; it imports this package from where it stands."""
        environment = {"IPYTHONDIR": str(Path(self.connection_file).parent)}
        home = Path(planner.__file__).parents[1]
        if home.name not in ("site-packages", "dist-packages"):
            path = os.environ.get("PYTHONPATH")
            environment["PYTHONPATH"] = os.pathsep.join([str(home), *([path] if path else [])])
        start = [sys.executable, "-m", "ipykernel_launcher", "-f", "{connection_file}"]
        return KernelSpec(
            argv=[*start, "--log-level=CRITICAL"],  # it would report its own end as an error
            env={name: value.replace("$", "$$") for name, value in environment.items()},
            display_name="Python 3",
            language="python",
            metadata={"supported_encryption": ["curve"]},
        )


def require_kernel() -> None:
    """Raise KernelError where this Python cannot start a kernel."""
    if find_spec("ipykernel") is None:
        raise KernelError(f"kernel: must have ipykernel installed for {sys.executable}")


def private_channels(folder: Path) -> Config:
    """Settings that keep a kernel's traffic private; `folder` must admit this user alone.

    Raises KernelError where sockets in a folder cannot be had, nor encryption.
    """
    settings = {"connection_file": str(folder / "kernel.json")}
    if os.name == "posix" and len(str(folder)) <= LONGEST_FOLDER:
        settings["transport"] = "ipc"
    elif PrivateKernel.class_traits().get("transport_encryption"):
        settings["transport_encryption"] = "required"
    else:
        raise KernelError("kernel: must have private channels (update jupyter-client)")
    return Config({"PrivateKernel": settings})


def end_kernels() -> None:
    """Kill every kernel that still runs, so that nobody waits for its notebook."""
    for kernel in list(STARTED):
        process = getattr(kernel.provisioner, "process", None)
        if process is not None:
            process.kill()
